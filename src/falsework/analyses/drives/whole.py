"""How are the drives of a heap laid out best, and how durable are the stores that there are?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from falsework import units
from falsework.analyses.drives.comparing import Progress, Question, compared, odds_of
from falsework.analyses.drives.disputing import disputed
from falsework.analyses.drives.enduring import rebuilt
from falsework.analyses.drives.figures import (
    AS_TAKEN,
    BAYS,
    DRAWS,
    FAILS,
    IN_COMMON,
    READ_ERRORS,
    REBUILD_GETS,
    SPEED,
    Figures,
)
from falsework.analyses.drives.mending import mending
from falsework.analyses.drives.naming import chance_says
from falsework.analyses.drives.recommending import best, nearest
from falsework.analyses.drives.result import Drives, HeapLayouts, Layout, Plan, Stick, Wanted
from falsework.analyses.drives.stock import Stock, stock
from falsework.analyses.drives.stores import store_odds
from falsework.analyses.drives.trading import needed, reasons, trades
from falsework.errors import QuestionError, listed, shortened
from falsework.errors import nearest as nearest_name
from falsework.model.heaps import Heap
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Enclosure, Node
from falsework.model.services import Store
from falsework.support.figure import Figure
from falsework.support.taken import Taken
from falsework.units import Dimension, Quantity


def drives(
    lab: Lab,
    *,
    heaps: Sequence[str] = (),
    want: str | None = None,
    every: bool = False,
    tell: Progress = lambda *_: None,
) -> Drives:
    """The layouts of heaps and the odds of stores.

    Args:
        lab: the lab.
        heaps: names of those that are asked for; all, and the stores, where none is named.
        want: the room that is wanted, in place of what the heaps say.
        every: whether full figures are wanted of layouts, too, that are worse than another in all respects.
        tell: how far it is.

    Raises:
        QuestionError: a heap that is none, or a room that is none.
    """
    known = [str(heap.id) for heap in lab.heaps]
    for name in heaps:
        if name not in known:
            close = nearest_name(name, known)
            raise QuestionError(
                f"no heap is called {shortened(name)!r}",
                (f"Did you mean {close}? " if close else "")
                + (f"Heaps of this lab: {listed(known)}." if known else "This lab has no `heaps`."),
            )
    if not known and not lab.of(Store):
        raise QuestionError(
            f"{lab.name!r} has no heap and no store, so there are no drives to tell of",
            "Add a heap, such as `heaps: {crate: {drives: 6 old-2t}}`, with the kind of its drives under `kinds`.",
        )
    room = _room(want)
    asked = [heap for heap in lab.heaps if not heaps or str(heap.id) in heaps]
    return Drives(
        heaps=tuple(_heap(lab, heap, room, every, tell) for heap in asked),
        stores=() if heaps else store_odds(lab),
        taken=() if heaps else tuple(_stores_taken(lab)),
    )


def _room(want: str | None) -> float | None:
    """The room that is asked for on the command line, byte."""
    if want is None:
        return None
    found = units.asked(want, Dimension.DATA, by="--want")
    if found <= 0:
        raise QuestionError(f"--want {shortened(want)!r} is no room", "Give more than 0, such as '6 TB'.")
    return found


def question(lab: Lab, heap: Heap, room: float | None, figures: Figures = AS_TAKEN) -> Question:
    """What is asked of one heap.

    Args:
        lab: the lab.
        heap: one of it.
        room: what is wanted in place of what the heap says, byte.
        figures: those that are not taken as usual.
    """
    return _question(lab, heap, room, stock(lab, heap, figures), figures)


def _question(lab: Lab, heap: Heap, room: float | None, lies: Stock, figures: Figures = AS_TAKEN) -> Question:
    machines: tuple[Node | Enclosure, ...] = (*lab.of(Node), *lab.of(Enclosure))
    return Question(
        sticks=lies.sticks,
        bays=lies.bays,
        wanted=Wanted(
            room_bytes=room if room is not None else heap.wanted,
            most_lost=1 if heap.most_lost is None else heap.most_lost,
        ),
        mending=mending(lab, heap.held, heap.rebuild_gets, figures),
        fails={str(each.id): (each.fails.low + each.fails.high) / 2 for each in machines if each.fails},
        prices={str(each.id): each.price for each in heap.held},
    )


def _heap(lab: Lab, heap: Heap, room: float | None, every: bool, tell: Progress) -> HeapLayouts:
    lies = stock(lab, heap)
    asked = _question(lab, heap, room, lies)
    found = compared(asked, every=every, tell=tell)
    ahead = [each for each in found.layouts if each.front]
    ranked = best(ahead, asked.wanted)
    chosen = ranked[0] if ranked else None
    close = nearest(ahead, asked.wanted) if chosen is None else None
    return HeapLayouts(
        heap=str(heap.id),
        sticks=asked.sticks,
        unsized=lies.unsized,
        bays=asked.bays,
        wanted=asked.wanted,
        tried=found.tried,
        layouts=found.layouts,
        complete=found.complete,
        recommended=chosen.number if chosen else None,
        nearest=close.number if close else None,
        needed=() if chosen or not found.complete else needed(asked),
        reason=reasons(chosen, asked) if chosen else "",
        trades=trades(chosen, ranked) if chosen else (),
        disputed=disputed(chosen, ahead, asked) if chosen and found.complete else (),
        taken=tuple(_taken(lab, heap, room, chosen or close, lies.untold)),
        where=heap.where,
    )


def _for_whom(figure: Figure, drives: Sequence[Drive]) -> tuple[str, ...]:
    """The drives for which a figure was taken."""
    missing: Mapping[str, Callable[[Drive], bool]] = {
        SPEED.key: lambda each: each.speed is None,
        READ_ERRORS.key: lambda each: each.read_errors is None,
        DRAWS.key: lambda each: each.draws is None,
        IN_COMMON.key: lambda each: bool(each.batch) and each.with_others is None,
        # The file's own default; who wrote the same figure meant it.
        FAILS.key: lambda each: each.fails == Quantity(low=FAILS.low, high=FAILS.high) and each.seen is None,
    }
    lacks = missing[figure.key]
    if figure is IN_COMMON:
        # One of a batch has nothing in common with anybody.
        counts = Counter(each.batch for each in drives)
        drives = [each for each in drives if counts[each.batch] > 1]
    return tuple(str(each.id) for each in drives if lacks(each))


def _taken(
    lab: Lab, heap: Heap, room: float | None, layout: Layout | None, untold: Sequence[str]
) -> Iterator[Taken]:
    """Each figure that was taken, and what hangs on it for the layout that is told of."""
    held = [each for each in heap.held if each.size]
    for figure in (SPEED, READ_ERRORS, DRAWS, FAILS, IN_COMMON):
        things = _for_whom(figure, held)
        if things:
            yield _one(lab, heap, room, layout, figure, things)
    if heap.rebuild_gets is None and held:
        yield _one(lab, heap, room, layout, REBUILD_GETS, (str(heap.id),))
    if untold:
        yield BAYS.taken(untold, where=lab.named(untold[:1])[0].where)


def _one(
    lab: Lab, heap: Heap, room: float | None, layout: Layout | None, figure: Figure, things: tuple[str, ...]
) -> Taken:
    of = low = high = ""
    if layout is not None:
        of, low, high = _hangs(lab, heap, room, layout.plan, figure)
        if low == high:
            of = ""
    return figure.taken(things, of=of, low=low, high=high, where=heap.where)


def _hangs(lab: Lab, heap: Heap, room: float | None, plan: Plan, figure: Figure) -> tuple[str, str, str]:
    """What hangs on a figure, and what it is at both ends; nothing where the ends are told as disputed already."""
    if figure in (FAILS, IN_COMMON):
        return "", "", ""
    if figure is DRAWS:
        unsaid = {str(each.id) for each in heap.held if each.draws is None}
        count = sum(1 for each in plan.sticks if each.name in unsaid)
        rest = [each.draws_w.high for each in plan.sticks if each.name not in unsaid]
        low, high = (sum(rest) + count * end for end in (DRAWS.low, DRAWS.high))
        return "what its drives draw at the most", f"{low:.0f} W", f"{high:.0f} W"
    told = []
    for value in (figure.low, figure.high):
        asked = question(lab, heap, room, {figure.key: value})
        own = {each.name: each for each in asked.sticks}
        found = odds_of(_again(plan, own), asked)
        if figure is READ_ERRORS:
            told.append(chance_says(found.lost))
        else:
            told.append(units.format(rebuilt(plan, found).seconds, Dimension.TIME))
    of = "the chance of loss in a year" if figure is READ_ERRORS else "a rebuild"
    return of, told[0], told[1]


def _again(plan: Plan, own: dict[str, Stick]) -> Plan:
    """The same layout of drives of which other figures are taken."""
    return replace(
        plan,
        groups=tuple(
            replace(
                group,
                sticks=tuple(replace(own[each.name], bay=each.bay) for each in group.sticks),
                spares=tuple(replace(own[each.name], bay=each.bay) for each in group.spares),
            )
            for group in plan.groups
        ),
    )


def _stores_taken(lab: Lab) -> Iterator[Taken]:
    """Figures that were taken for drives of stores; what they change is told with the odds at both ends."""
    names = dict.fromkeys(name for store in lab.of(Store) if store.drives for name in store.drives.ids)
    held = [each for each in lab.named(names) if isinstance(each, Drive) and each.size]
    for figure in (SPEED, READ_ERRORS, IN_COMMON):
        things = _for_whom(figure, held)
        if things:
            yield figure.taken(things, where=lab.named(things[:1])[0].where)
    unsaid = tuple(
        str(store.id) for store in lab.of(Store) if store.rebuild_gets is None and store.rebuilds_in is None
    )
    if unsaid:
        yield REBUILD_GETS.taken(unsaid)
