"""Does the replayer catch every way to spoil an order of work, and does it find nothing in sound ones?"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from tests.ground import Ground
from tests.replayer import complaints, shuffled
from tests.strategies import lab_of

from falsework.analyses.raising.result import Doing, Moment, Plan, StateMove, Step
from falsework.units import ThreePoint

LAB = lab_of(
    """
lab: A laptop stands in for names
power:
  strip: {is: strip}
machines:
  hub: {is: switch, ports: 8, fed by: strip}
  desk-1..3: {is: node, fed by: strip, needs: {to build: [names]}}
wire:
  cables: [desk-* -- hub]
services:
  names: {on: [desk-1, desk-3], reached at: 10.1.1.5}
  leases: {on: desk-1}
  pages: {on: desk-2, needs: {to run: [names]}}
  mail: {on: desk-2, needs: {to start: [names]}}
data:
  book: {of: [names, leases], in: desk-1, size: 1 GiB}
stand-ins:
  laptop: {for: names, address: 10.1.1.40, costs: 1 h, gathers: 1 GiB}
  phone: {for: leases, costs: 2 h, gathers: 1 MiB}
  mirror: {for: names, costs: 3 h, needs: {to start: [names]}}
"""
)
"""Small enough to see at a glance what is wrong with an order."""
HOUR = ThreePoint(low=3600, likely=3600, high=3600)
MOVE = StateMove(
    state="book",
    source="laptop",
    target="desk-1",
    size=1e9,
    speed=1e9,
    slowest="its port",
    seconds=8.0,
    in_use=False,
    assumed=False,
)


def step(doing: Doing, *things: str, **more: Any) -> Step:
    """A step without a number."""
    cut = {"of": "laptop"} if doing not in (Doing.BRING, Doing.LEND) else {}
    return Step(number=0, doing=doing, things=things, says="", takes=HOUR, **{**cut, **more})


SOUND = (
    step(Doing.BRING, "strip"),
    step(Doing.BRING, "hub"),
    step(Doing.LEND, "laptop"),
    step(Doing.BRING, "desk-1", "desk-2", "desk-3"),
    step(Doing.BRING, "pages"),
    step(Doing.BRING, "names", "leases", notes=("no redundancy yet",)),
    step(Doing.FREEZE, "names"),
    step(Doing.COPY, "names", moves=(MOVE,)),
    step(Doing.CHECK, "names"),
    step(Doing.HAND_OVER, "names"),
    step(Doing.REPOINT, "pages"),
    step(Doing.PROVE, "names"),
    step(Doing.RETIRE, "laptop"),
    step(Doing.BRING, "mail"),
)
LEND, DESKS, PAGES, NAMES, FREEZE, COPY, CHECK, OVER, REPOINT, PROVE, RETIRE, MAIL = range(2, 14)


def planned(steps: list[Step], **more: Any) -> Plan:
    """A plan whose every step waits for the one before it, with moments and owners that agree with it."""
    made, lent, serving, owners = dict[str, None](), list[str](), dict[str, str](), dict[str, str]()
    services = ("names", "leases", "pages", "mail")
    moments = [Moment(step=0, built=frozenset(), lent=frozenset(), serving={})]
    numbered = []
    for number, each in enumerate(steps, start=1):
        if each.doing is Doing.BRING:
            made.update(dict.fromkeys(each.things))
            made.update(dict.fromkeys(f"{name}.1" for name in each.things if name in services))
            made.update(dict.fromkeys(f"{name}.2" for name in each.things if name == "names"))
        elif each.doing is Doing.LEND and each.things[0] in ("laptop", "mirror"):
            lent.append(each.things[0])
            serving.setdefault("names", each.things[0])
            owners.setdefault("book", each.things[0])
        elif each.doing is Doing.LEND and each.things[0] == "phone":
            lent.append("phone")
            serving["leases"] = owners["book"] = "phone"
        elif each.doing is Doing.HAND_OVER:
            serving["names"] = owners["book"] = "names"
        elif each.doing is Doing.RETIRE and each.things[0] in lent:
            lent.remove(each.things[0])
        after = (number - 1,) if number > 1 else ()
        numbered.append(replace(each, number=number, after=each.after or after, owners=dict(owners)))
        moments.append(
            Moment(step=number, built=frozenset(made), lent=frozenset(lent), serving=dict(serving))
        )
    whole: dict[str, Any] = {
        "steps": tuple(numbered),
        "already": (),
        "stand_ins": ("laptop",),
        "cost_s": 3600.0,
        "bound_s": 3600.0,
        "stuck": (),
        "circle": (),
        "would_do": (),
        "moments": tuple(moments),
    }
    return Plan(**{**whole, **more})


def without(number: int) -> list[Step]:
    """The sound steps but for one."""
    return [each for at, each in enumerate(SOUND) if at != number]


def moved(number: int, to: int) -> list[Step]:
    """The sound steps, one of them in another place."""
    steps = without(number)
    steps.insert(to, SOUND[number])
    return steps


def changed(number: int, **values: Any) -> list[Step]:
    """The sound steps, one of them otherwise."""
    return [replace(each, **values) if at == number else each for at, each in enumerate(SOUND)]


def added(at: int, *more: Step) -> list[Step]:
    """The sound steps and some more."""
    return [*SOUND[:at], *more, *SOUND[at:]]


SPOILT: dict[str, tuple[list[Step], str]] = {
    "power comes late": (moved(0, 1), "step 1 (bring hub) brings hub, which lacks hub.supply-1"),
    "no stand-in yet": (moved(LEND, DESKS), "brings desk-1, which lacks names"),
    "the switch between comes last": (moved(1, MAIL), "brings mail.1, which lacks names"),
    "a host comes late": (moved(DESKS, PAGES), "brings pages.1, which lacks desk-2"),
    "a thing twice": (added(6, step(Doing.BRING, "desk-1")), "brings desk-1 a second time"),
    "a service twice": (added(6, step(Doing.BRING, "pages")), "brings pages a second time"),
    "what nobody makes": (added(6, step(Doing.BRING, "book")), "brings book, which nobody makes"),
    "forgotten things": (without(MAIL), "in the end mail.1 were never brought"),
    "lent twice": (added(4, step(Doing.LEND, "laptop")), "lends laptop a second time"),
    "lends what is no stand-in": (added(2, step(Doing.LEND, "hub")), "speaks of hub, which is no stand-in"),
    "a stand-in that needs what it stands in for": (
        added(2, step(Doing.LEND, "mirror")),
        "lends mirror, which lacks names",
    ),
    "two that write": (
        added(DESKS, step(Doing.LEND, "phone")),
        "makes phone a second owner of book beside laptop",
    ),
    "a second copy that is none": (
        changed(NAMES, notes=()),
        "adds a copy of names while laptop holds its state",
    ),
    "not frozen": (without(FREEZE), "copies book while it is written"),
    "frozen after it was copied": (moved(FREEZE, COPY), "copies book while it is written"),
    "not copied": (without(COPY), "hands over names, and book stays with laptop"),
    "copied before its home is there": (
        [
            *SOUND[:3],
            SOUND[FREEZE],
            SOUND[COPY],
            *SOUND[3:FREEZE],
            *SOUND[CHECK:],
        ],
        "copies book to desk-1, which is not there",
    ),
    "copied from somewhere else": (
        changed(COPY, moves=(replace(MOVE, source="desk-2"),)),
        "copies book from desk-2, and laptop is relieved",
    ),
    "not checked": (without(CHECK), "the copy of book was not checked"),
    "checked before it was copied": (moved(CHECK, COPY), "the copy of book was not checked"),
    "never handed over": (without(OVER), "retires laptop while it serves names"),
    "handed over before it serves": (moved(NAMES, OVER), "hands over names, which does not serve yet"),
    "handed over twice": (
        added(PROVE, step(Doing.HAND_OVER, "names")),
        "hands over names, which laptop does not serve",
    ),
    "not repointed": (without(REPOINT), "leaves pages pointing at laptop for names"),
    "repointed too early": (moved(REPOINT, COPY), "points clients away from laptop before anything"),
    "repoints a stranger": (changed(REPOINT, things=("pages", "gulls")), "repoints gulls"),
    "not proved": (without(PROVE), "retires laptop before names was proved without it"),
    "proved too early": (moved(PROVE, OVER), "proves names before it was handed over"),
    "never retired": (without(RETIRE), "in the end laptop are still lent"),
    "retired twice": (
        added(MAIL, step(Doing.RETIRE, "laptop")),
        "retires laptop, which is not lent",
    ),
    "retired too early": (moved(RETIRE, OVER), "retires laptop while it serves names"),
    "retires what was never lent": (
        [*SOUND, step(Doing.RETIRE, "phone")],
        "retires phone, which is not lent",
    ),
}


def test_a_sound_plan_is_sound():
    """What nothing is wrong with gets no complaint, in any order that it allows."""
    assert complaints(planned(list(SOUND)), LAB) == []


@pytest.mark.parametrize("case", SPOILT)
def test_a_spoilt_plan_is_caught(case):
    """Each way to spoil the sound plan is named."""
    steps, says = SPOILT[case]
    found = complaints(planned(steps), LAB)
    assert any(says in each for each in found), found


def test_a_client_that_knows_an_address_that_stays_need_not_be_told():
    """Where the stand-in has the address that the service will have, nobody is repointed."""
    text = LAB.files
    same = lab_of(next(iter(text.values())).replace("address: 10.1.1.40", "address: 10.1.1.5"))
    assert complaints(planned(without(REPOINT)), same) == []


@pytest.mark.parametrize("stands", ["floats: 10.1.1.40", "named: names.lab from far"])
def test_a_name_or_a_floating_address_stands_between(stands):
    """Where clients know a name, or the stand-in holds the address that floats, nobody is repointed."""
    text = next(iter(LAB.files.values())).replace("reached at: 10.1.1.5", stands)
    text = text.replace("power:", "outside: {far: others answer for names}\npower:")
    assert complaints(planned(without(REPOINT)), lab_of(text)) == []


def test_a_floating_address_that_the_stand_in_does_not_have_is_no_help():
    """The stand-in's own address ends with it, whatever floats afterwards."""
    text = next(iter(LAB.files.values())).replace("reached at: 10.1.1.5", "floats: 10.1.1.2")
    assert any("pointing at laptop" in each for each in complaints(planned(without(REPOINT)), lab_of(text)))


SPOILT_PLANS: dict[str, tuple[Callable[[Plan], Plan], str]] = {
    "a wrong number": (
        lambda plan: replace(plan, steps=(replace(plan.steps[0], number=7), *plan.steps[1:])),
        "step 1 is numbered 7",
    ),
    "waits for what comes later": (
        lambda plan: replace(plan, steps=(replace(plan.steps[0], after=(3,)), *plan.steps[1:])),
        "step 1 waits for step 3, which is not before it",
    ),
    "waits for too little": (
        lambda plan: replace(
            plan,
            steps=tuple(replace(each, after=()) if each.number == 4 else each for each in plan.steps),
        ),
        "which `after` allows",
    ),
    "a moment too few": (
        lambda plan: replace(plan, moments=plan.moments[:-1]),
        "there is not one moment before the first step and one after each",
    ),
    "a moment with too much": (
        lambda plan: replace(
            plan,
            moments=(replace(plan.moments[0], built=frozenset({"hub"})), *plan.moments[1:]),
        ),
        "before the first step the moment and the steps differ about ['hub']",
    ),
    "a moment with a stand-in too many": (
        lambda plan: replace(
            plan,
            moments=(*plan.moments[:-1], replace(plan.moments[-1], lent=frozenset({"laptop"}))),
        ),
        "are said to be lent",
    ),
    "a moment in which the wrong one serves": (
        lambda plan: replace(
            plan,
            moments=(*plan.moments[:-1], replace(plan.moments[-1], serving={"names": "laptop"})),
        ),
        "is said to serve",
    ),
    "a wrong owner": (
        lambda plan: replace(
            plan, steps=tuple(replace(each, owners={"book": "names"}) for each in plan.steps)
        ),
        "book is owned by names and ought to be by laptop",
    ),
    "a stand-in that it does not name": (lambda plan: replace(plan, stand_ins=()), "says that it takes []"),
    "a wrong cost": (lambda plan: replace(plan, cost_s=60.0), "cost 3600 s and not 60 s"),
    "steps although stuck": (
        lambda plan: replace(plan, stuck=("pages",)),
        "there are steps although something is stuck",
    ),
    "stuck without need": (
        lambda plan: replace(plan, stuck=("pages",), steps=()),
        "['pages'] can be made, and are called stuck",
    ),
}


@pytest.mark.parametrize("case", SPOILT_PLANS)
def test_what_a_plan_says_of_itself_is_held_against_it(case):
    """Numbers, moments, owners, costs and what is stuck must agree with the steps."""
    spoil, says = SPOILT_PLANS[case]
    found = complaints(spoil(planned(list(SOUND))), LAB, shuffles=20)
    assert any(says in each for each in found), found


def test_a_shuffled_order_keeps_to_after():
    """Whatever the lot, no step comes before one that it waits for, and none is lost."""
    steps = planned(list(SOUND)).steps
    free = tuple(replace(each, after=each.after if each.number % 3 else ()) for each in steps)
    for seed in range(20):
        order = shuffled(free, random.Random(seed))
        numbers = [each.number for each in order]
        assert sorted(numbers) == list(range(1, len(free) + 1))
        assert all(
            numbers.index(before) < numbers.index(each.number) for each in order for before in each.after
        )


def test_how_far_one_gets_without_and_with_stand_ins():
    """By hand: without names no desk is made; the laptop is enough, and costs an hour."""
    ground = Ground(LAB)
    assert ground.unmade([])[0] == "desk-1"
    assert ground.unmade(["mirror"]) == ground.unmade([])
    assert ground.unmade(["laptop"]) == []
    assert ground.cheapest() == 3600.0
