"""Is the order of work for the bare observatory sound, cheapest, and does it undo each of its knots?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.ground import Ground
from tests.replayer import complaints

from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.result import Doing, Plan
from falsework.model.build import load
from falsework.model.services import Service
from falsework.support.standing import Standing

BARE = Path(__file__).parents[3] / "examples" / "observatory" / "bare.yaml"


@pytest.fixture(scope="module")
def lab():
    """The observatory in crates."""
    return load(BARE)


@pytest.fixture(scope="module")
def found(lab):
    """Its order of work."""
    return plan(Standing(lab))


def number(found: Plan, doing: Doing, name: str) -> int:
    """The number of the first step that does this with a thing, its first copy, or of a stand-in."""
    return next(
        step.number
        for step in found.steps
        if step.doing is doing and ({name, f"{name}.1"} & set(step.things) or step.of == name)
    )


@pytest.mark.slow
def test_it_is_sound(found, lab):
    """The replayer has nothing to complain of, in the order that is listed or in others that it allows."""
    assert complaints(found, lab, shuffles=3) == []


def test_it_takes_the_cheapest_stand_ins(found, lab):
    """Six small ones for 6 h 45 min, and not the rented machine for 9 h: proved, and the same by trying every set."""
    assert set(found.stand_ins) == {
        "laptop",
        "first hoist",
        "first book",
        "first front",
        "stick shelf",
        "paper seal",
    }
    assert found.cost_s == 6.75 * 3600 == Ground(lab).cheapest()
    assert found.proven


def test_names_time_and_addresses_come_from_the_laptop_first(found):
    """Before the first box is installed the laptop serves; it goes once names, leases and clock have taken over."""
    lent = number(found, Doing.LEND, "laptop")
    assert lent < number(found, Doing.BRING, "desk-1")
    gone = number(found, Doing.RETIRE, "laptop")
    for name in ("names", "leases", "clock"):
        assert found.moments[lent].serving[name] == "laptop"
        assert number(found, Doing.BRING, name) < number(found, Doing.HAND_OVER, name) < gone


def test_the_second_installer_counts_only_with_the_state(found):
    """The book of boxes moves from desk-1's own disk into the state before the installer is two."""
    over = number(found, Doing.HAND_OVER, "installer")
    assert number(found, Doing.BRING, "state") < over
    moved = next(step for step in found.steps if any(move.state == "book of boxes" for move in step.moves))
    assert moved.number < over
    assert moved.of == "first hoist"
    assert moved.moves[0].target == "state"


def test_state_is_raised_by_what_it_then_serves(found):
    """First hoist and first book are there before the state; installer and sign-in come after it."""
    state = number(found, Doing.BRING, "state")
    for first, then in (("first hoist", "installer"), ("first book", "sign-in")):
        assert number(found, Doing.LEND, first) < state < number(found, Doing.BRING, then)
        assert state < number(found, Doing.HAND_OVER, then)


def test_the_front_keeps_the_address_that_floats(found, lab):
    """Nobody is told of the front: its stand-in has the address that floats afterwards."""
    front = lab.things["front"]
    assert isinstance(front, Service)
    assert front.floats is not None
    assert lab.things["first front"].address in front.floats.address
    told = [step for step in found.steps if step.doing is Doing.REPOINT and step.of == "first front"]
    assert not told
    assert number(found, Doing.BRING, "state") < number(found, Doing.HAND_OVER, "front")


def test_only_the_stick_shelf_has_clients_to_tell_of_an_address(found):
    """The installer learns the one address that goes away again, and is told before the shelf is retired."""
    told = next(step for step in found.steps if step.doing is Doing.REPOINT and step.of == "stick shelf")
    assert "installer" in told.things
    assert "10.20.10.33" in told.says
    assert told.number < number(found, Doing.RETIRE, "stick shelf")


def test_images_come_home_to_the_wall_that_they_put_up(found):
    """The wall is put up from the stick shelf, and the images then move onto it."""
    wall = number(found, Doing.BRING, "wall")
    assert number(found, Doing.LEND, "stick shelf") < wall < number(found, Doing.BRING, "images")
    move = next(move for step in found.steps for move in step.moves if move.state == "image shelf")
    assert (move.source, move.target) == ("stick shelf", "wall")


def test_certificates_are_signed_on_paper_first(found):
    """The hosts get certificates by hand; the authority runs on them and takes over."""
    assert number(found, Doing.LEND, "paper seal") < number(found, Doing.BRING, "cluster")
    assert number(found, Doing.BRING, "cluster") < number(found, Doing.HAND_OVER, "certs")


def test_logs_and_alarms_come_last(found):
    """After the logs only checks, notifier and alarms are made."""
    logs = number(found, Doing.BRING, "logs")
    after = {name for step in found.steps[logs:] if step.doing is Doing.BRING for name in step.things}
    assert {"checks", "notifier", "pager", "bell"} <= after
    assert not after & {"mail", "archive", "counts", "pages", "state", "cluster"}


def test_what_is_delivered_late_is_not_begun_before(found, lab):
    """The third twin and the circuit that is still to be drawn have their days, and so have their steps."""
    for name in ("twin-3", "c2"):
        step = found.steps[number(found, Doing.BRING, name) - 1]
        assert step.not_before == lab.things[name].raising.comes_on


def test_the_owners_commands_are_printed(found):
    """Where the owner says a command, a check or a way back, the step has them word by word."""
    step = found.steps[number(found, Doing.BRING, "installer") - 1]
    assert (step.command, step.check) == ("./hoist itself", "hoist hide-2 again from each of the two")
