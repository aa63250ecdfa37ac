"""Which of all ways to lay out a heap of drives are worth a look, and with which figures?"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.drives.choosing import choices
from falsework.analyses.drives.enduring import HIGH, LOW, USUAL, Belief, Mending, odds, rebuilt
from falsework.analyses.drives.front import Measures, coarse, front, pruned, used
from falsework.analyses.drives.machines import machine_plans
from falsework.analyses.drives.network import network_plans
from falsework.analyses.drives.result import Apart, Bays, Layout, Plan, Stick, Survives, Wanted
from falsework.analyses.drives.surviving import cut_off, heals, survives
from falsework.engines.durability.chain import Durability
from falsework.units import Quantity

Progress = Callable[[str, int, int], None]
EVERY = 25
"""After so many layouts one hears how far it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What layouts are compared for.

    Attributes:
        sticks: the drives.
        bays: where they may go.
        wanted: what a layout must give.
        mending: how rebuilds go.
        fails: failures a year of each node and enclosure.
        prices: of drives, where known, as written.
    """

    sticks: tuple[Stick, ...]
    bays: tuple[Bays, ...]
    wanted: Wanted
    mending: Mending
    fails: Mapping[str, float]
    prices: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What was found.

    Attributes:
        tried: ways that there are.
        layouts: those on the front first.
        complete: whether nobody stopped it.
    """

    tried: int
    layouts: tuple[Layout, ...]
    complete: bool


def plans_of(asked: Question, tell: Progress = lambda *_: None) -> tuple[Plan, ...]:
    """Every sensible way, those that take all drives first.

    Ways that survive less than is wanted are left out, unless there are no others.

    Args:
        asked: the question.
        tell: how far it is.
    """
    return _thought_of(asked, tell)[0]


def _thought_of(asked: Question, tell: Progress) -> tuple[tuple[Plan, ...], bool]:
    """The same, and whether nobody stopped it."""
    some = choices(asked.sticks)
    found: list[Plan] = []
    complete = True
    try:
        for least in range(asked.wanted.most_lost, -1, -1):
            for number, chosen in enumerate(some):
                tell("thinking of layouts", number, len(some))
                found += machine_plans(chosen, asked.bays, least=least, wanted=asked.wanted.room_bytes)
                found += network_plans(chosen, asked.bays, least=least)
            if found:
                break
    except KeyboardInterrupt:
        complete = False
    return tuple(_with_idle(plan, asked.sticks) for plan in found), complete


def _with_idle(plan: Plan, sticks: Sequence[Stick]) -> Plan:
    """With the drives that it leaves over."""
    taken = used(plan)
    return replace(plan, idle=tuple(each.name for each in sticks if each.name not in taken))


def compared(asked: Question, *, every: bool = False, tell: Progress = lambda *_: None) -> Compared:
    """The layouts that are worth a look, with all their figures.

    Each is looked at roughly first; the full figures are for those to which no other is as good in all respects, of
    which small differences do not count.

    Args:
        asked: the question.
        every: give the full figures of the others too.
        tell: how far it is.
    """
    every_plan, complete = _thought_of(asked, tell)
    tell("sorting out", 0, 1)
    plans = pruned(every_plan)
    rough: list[tuple[Plan, Measures]] = []
    try:
        for number, plan in enumerate(plans):
            if number % EVERY == 0:
                tell("looking at layouts", number, len(plans))
            rough.append((plan, _measures(plan, asked)))
    except KeyboardInterrupt:
        complete = False
    leading = front([(index, measures) for index, (_, measures) in enumerate(rough)])
    wanted = [index for index, (plan, _) in enumerate(rough) if every or index in set(leading)]
    ahead, found = set(leading), []
    try:
        for number, index in enumerate(wanted):
            if number % EVERY == 0:
                tell("weighing layouts", number, len(wanted))
            found.append(_layout(rough[index][0], asked, index in ahead))
    except KeyboardInterrupt:
        complete = False
    found.sort(key=_order)
    return Compared(
        tried=len(every_plan),
        layouts=tuple(replace(each, number=number) for number, each in enumerate(found, 1)),
        complete=complete,
    )


def odds_of(plan: Plan, asked: Question, belief: Belief = USUAL, *, rough: bool = False) -> Durability:
    """How durable one of the ways is."""
    return odds(plan, asked.bays, asked.mending, belief, rough=rough)


def _measures(plan: Plan, asked: Question) -> Measures:
    """What is compared: room, what is survived, chance of loss, rebuild time and watts, each in coarse steps."""
    roughly = odds_of(plan, asked, rough=True)
    may = survives(plan, asked.bays)
    rebuild_s = max(each for times in roughly.rebuild_s for each in times)
    return (
        coarse(plan.usable_bytes, 1.1),
        may.drives,
        may.nodes,
        may.enclosures,
        -coarse(max(roughly.lost, 1e-15), 3.0),
        -coarse(rebuild_s, 2.0),
        -coarse(_watts(plan).high, 1.2),
    )


def _layout(plan: Plan, asked: Question, ahead: bool) -> Layout:
    usual = odds_of(plan, asked)
    rebuild = rebuilt(plan, usual)
    return Layout(
        number=0,
        plan=plan,
        survives=survives(plan, asked.bays),
        heals=heals(plan, asked.bays),
        usual=usual,
        # For what is off the front the ends from the mean time alone will do: they take two thirds of the time.
        low=odds_of(plan, asked, LOW, rough=not ahead),
        high=odds_of(plan, asked, HIGH, rough=not ahead),
        rebuild_s=rebuild.seconds,
        begins_s=0.0 if plan.spares else asked.mending.replaced_s(plan),
        read_errors=rebuild.read_errors,
        read_chance=rebuild.read_chance,
        cut_off=cut_off(plan, asked.bays, asked.fails),
        watts=_watts(plan),
        price=_price(plan, asked.prices),
        front=ahead,
    )


def _order(layout: Layout) -> tuple[float, ...]:
    """The front first; then by what is survived, room and chance."""
    may: Survives = layout.survives
    return (
        not layout.front,
        -may.drives,
        -may.nodes,
        -may.enclosures,
        -layout.usable_bytes,
        layout.usual.lost,
        list(Apart).index(layout.plan.apart),
    )


def _watts(plan: Plan) -> Quantity:
    return Quantity(
        low=sum(each.draws_w.low for each in plan.sticks), high=sum(each.draws_w.high for each in plan.sticks)
    )


def _price(plan: Plan, prices: Mapping[str, str]) -> str:
    """What its drives cost, by currency; empty where one of them tells none."""
    sums: defaultdict[str, float] = defaultdict(float)
    for each in plan.sticks:
        match = re.fullmatch(r"(\d{1,9}(?:\.\d{1,2})?) ?([A-Za-z]{3}|[€$£])", prices.get(each.name, ""))
        if match is None:
            return ""
        sums[match.group(2)] += float(match.group(1))
    return " and ".join(f"{amount:g} {unit}" for unit, amount in sums.items())
