"""How are layouts of drives told, so that every face says the same?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from falsework.analyses.drives.naming import (
    any_says,
    chance_says,
    exposed_says,
    mean_says,
    plan_says,
    scheme_says,
    sizes_say,
    survives_says,
    survives_short,
)
from falsework.analyses.drives.network import MOST_CHECK
from falsework.analyses.drives.recommending import ENOUGH, best, meets
from falsework.analyses.drives.result import Disputed, Drives, HeapLayouts, Layout, StoreOdds, Wanted
from falsework.errors import counted, few, listed
from falsework.units import Dimension
from falsework.units import format as said

HEAD = ("no", "room", "d/n/e", "loss a year", "low to high end", "rebuild", "idle..busy", "layout")
"""Of the table of layouts; d/n/e: how many drives, nodes, enclosures it survives at once."""
STORES_HEAD = ("store", "room", "drives", "loss a year", "low to high end", "rebuild", "layout")
MOST_SHOWN = 12


def headline(found: Drives) -> str:
    """One line: what is recommended for each heap, or that nothing gives what is wanted."""
    if found.heaps:
        return "; ".join(_heap_headline(heap) for heap in found.heaps)
    known = [each for each in found.stores if each.usual is not None]
    if not known:
        return "no store tells the size of its drives, so nothing can be said of how durable it is"
    worst = max(known, key=lambda each: each.usual.lost if each.usual else 0.0)
    assert worst.usual is not None
    return f"{worst.store} is the store most likely to lose data, {chance_says(worst.usual.lost)} a year"


def _heap_headline(heap: HeapLayouts) -> str:
    chosen = layout(heap, heap.recommended)
    if chosen is not None:
        size = said(chosen.usable_bytes, Dimension.DATA)
        return f"lay {heap.heap} out as {scheme_says(chosen.plan)}: {size}"
    close = layout(heap, heap.nearest)
    if close is None:
        return f"{heap.heap} can't be laid out at all: {nothing_says(heap)}"
    return f"no layout of {heap.heap} gives {wanted_says(heap.wanted)}"


def nothing_says(heap: HeapLayouts) -> str:
    """Why there is no layout."""
    if not heap.sticks:
        return "none of its drives tells its size"
    if not heap.bays:
        return "there is no free bay for its drives"
    if not heap.complete:
        return "it was stopped before any was looked at"
    return "its drives are too few for any redundancy"


def layout(heap: HeapLayouts, number: int | None) -> Layout | None:
    """The layout with a number."""
    return next((each for each in heap.layouts if each.number == number), None)


def wanted_says(wanted: Wanted) -> str:
    """`5 TB that survive the loss of any 2 drives`."""
    room = said(wanted.room_bytes, Dimension.DATA) if wanted.room_bytes is not None else "room"
    if not wanted.most_lost:
        return room
    survive = "survive" if wanted.room_bytes is not None else "survives"
    return f"{room} that {survive} the loss of {any_says(wanted.most_lost, 'drive')}"


def heap_says(heap: HeapLayouts) -> str:
    """What there is and what is wanted."""
    where = ", ".join(f"{each.holder} {each.free}" for each in heap.bays[:8])
    more = f" and {counted(len(heap.bays) - 8, 'more machine')}" if len(heap.bays) > 8 else ""
    free = sum(each.free for each in heap.bays)
    there = f"{counted(free, 'free bay')} ({where}{more})" if free else "no free bay"
    return (
        f"{heap.heap}: {counted(len(heap.sticks), 'drive')} ({sizes_say(heap.sticks)}), {there}; "
        f"wanted: {wanted_says(heap.wanted)}; {counted(heap.tried, 'way')} looked at"
    )


def remarks(heap: HeapLayouts) -> Iterator[str]:
    """What is worth a word beside."""
    free = sum(each.free for each in heap.bays)
    over = len(heap.sticks) - free
    if over > 0 and free:
        yield f"{counted(len(heap.sticks), 'drive')} lie in {heap.heap} and {counted(free, 'bay')} are free, so {over} {'stays' if over == 1 else 'stay'} out"
    if heap.unsized:
        yield f"{few(heap.unsized, 4)} tell no size, and are left out"
    if not heap.complete:
        yield "stopped before all ways were looked at: a better one may be missing"


def chosen_says(chosen: Layout) -> Iterator[str]:
    """The figures of one layout, sentences without full stops."""
    yield f"{plan_says(chosen.plan)}: {said(chosen.usable_bytes, Dimension.DATA)} of room"
    yield f"survives the loss of {survives_says(chosen.survives)}{_after(chosen)}"
    usual = chosen.usual
    yield (
        f"loses some data with a chance of {chance_says(usual.lost)} a year (mean time {mean_says(usual.mean_s)}); "
        f"{chance_says(chosen.low.lost)} to {chance_says(chosen.high.lost)} at the ends of what is disputed"
    )
    yield ways_say(chosen)
    begins = f"begins after {said(chosen.begins_s, Dimension.TIME)} and " if chosen.begins_s else ""
    yield (
        f"a rebuild {begins}takes {said(chosen.rebuild_s, Dimension.TIME)}; {chosen.read_errors:.2g} read errors are expected in it, "
        f"a chance of {chance_says(chosen.read_chance)} of one or more; with nothing to spare for "
        f"{said(chosen.usual.exposed_s, Dimension.TIME)} a year"
    )
    yield heals_says(chosen)
    if chosen.cut_off:
        yield f"out of reach, not lost, {chosen.cut_off:.2g} times a year while a node or an enclosure is mended"
    price = f"; {chosen.price}" if chosen.price else ""
    yield f"its drives draw {chosen.watts.low:.0f} to {chosen.watts.high:.0f} W{price}"


def _after(chosen: Layout) -> str:
    return "" if chosen.survives.nodes else "; with a node gone the data is out of reach"


def ways_say(chosen: Layout) -> str:
    """Of what losses come."""
    usual = chosen.usual
    if not usual.lost:
        return "no way was found in which it loses data"
    ways = [
        (usual.reading, "a sector that can't be read in the last rebuild"),
        (usual.together, "a batch that fails of one cause"),
        (usual.alone, "one drive more failing by itself"),
    ]
    parts = [f"{share / usual.lost:.0%} {words}".replace("%", " %") for share, words in sorted(ways, reverse=True) if share > 0.005 * usual.lost]  # fmt: skip
    return f"of that: {', '.join(parts)}"


def heals_says(chosen: Layout) -> str:
    """From what it recovers without a new drive."""
    heals, usable = chosen.heals, chosen.usable_bytes
    parts = []
    for word, size in (
        ("a drive", heals.drive_bytes),
        ("a node", heals.node_bytes),
        ("an enclosure", heals.enclosure_bytes),
    ):
        if size >= usable * (1 - 1e-9):
            parts.append(f"after the loss of {word} even when full")
        elif size > 0:
            parts.append(f"after the loss of {word} while {said(size, Dimension.DATA)} or less lie on it")
    if not parts:
        return "does not heal itself: a lost drive waits for a new one"
    return f"heals itself without a new drive {', '.join(parts)}"


def where_says(chosen: Layout) -> str:
    """Which drive goes where."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for group in chosen.plan.groups:
        for each in group.sticks:
            found[each.bay].append(each.name.rpartition(".")[2])
        for each in group.spares:
            found[each.bay].append(f"{each.name.rpartition('.')[2]} (spare)")
    return "; ".join(f"{holder}: {listed(names)}" for holder, names in found.items())


def idle_says(chosen: Layout) -> str:
    """Which drives stay unused; empty for none."""
    if not chosen.plan.idle:
        return ""
    names = [each.rpartition(".")[2] for each in chosen.plan.idle]
    return f"{counted(len(names), 'drive')} left over: {few(names, 10)}"


def group_says(chosen: Layout) -> Iterator[str]:
    """Where a layout has several groups: which drives make each."""
    if len(chosen.plan.groups) > 1:
        for number, group in enumerate(chosen.plan.groups, 1):
            names = [each.name.rpartition(".")[2] for each in group.sticks]
            yield f"group {number} in {group.sticks[0].bay}: {listed(names)}"


def row(each: Layout) -> tuple[str, ...]:
    """A layout as a row of the table."""
    return (
        str(each.number),
        said(each.usable_bytes, Dimension.DATA),
        survives_short(each.survives),
        chance_says(each.usual.lost),
        f"{chance_says(each.low.lost)} to {chance_says(each.high.lost)}",
        exposed_says(each),
        f"{each.watts.low:.0f}..{each.watts.high:.0f} W",
        plan_says(each.plan),
    )


def shown(heap: HeapLayouts, most: int = MOST_SHOWN) -> tuple[Layout, ...]:
    """The layouts to show: the recommended one, and after it those that survive more, hold more or lose less.

    Those that give what is wanted come first, the best of them at the top; then the others, those with most room first.
    """
    ahead = [each for each in heap.layouts if each.front]
    given = best(ahead, heap.wanted)
    told = {each.number for each in given}
    others = sorted(
        (each for each in ahead if each.number not in told),
        key=lambda each: (-min(each.survives.drives, heap.wanted.most_lost), -each.usable_bytes),
    )
    ranked = (*given, *others)
    kept: list[Layout] = []
    for each in ranked:
        if not any(_covers(other, each) for other in kept):
            kept.append(each)
    return tuple(kept[:most])


def _covers(other: Layout, each: Layout) -> bool:
    """Whether another is as good in what the picture shows."""
    return (
        other.usable_bytes >= each.usable_bytes
        and max(other.usual.lost, ENOUGH / 100) <= max(each.usual.lost, ENOUGH / 100)
        and other.survives.drives >= each.survives.drives
        and other.survives.nodes >= each.survives.nodes
        and other.survives.enclosures >= each.survives.enclosures
    )


def nearest_says(heap: HeapLayouts, close: Layout) -> str:
    """What comes nearest, and how far it is from what is wanted."""
    wanted = heap.wanted
    short = []
    if wanted.room_bytes is not None and close.usable_bytes < wanted.room_bytes:
        short.append(f"{said(wanted.room_bytes - close.usable_bytes, Dimension.DATA)} short")
    if close.survives.drives < wanted.most_lost:
        has = any_says(close.survives.drives, "drive") if close.survives.drives else "no drive"
        short.append(f"survives the loss of {has}, not of {any_says(wanted.most_lost, 'drive')}")
    return (
        f"nearest is no {close.number}, {plan_says(close.plan)}: "
        f"{said(close.usable_bytes, Dimension.DATA)}, {', '.join(short)}"
    )


def needed_says(heap: HeapLayouts) -> str:
    """What would be needed."""
    if heap.needed:
        return f"it would take {', or '.join(heap.needed)}"
    if heap.wanted.most_lost > MOST_CHECK:
        return f"no layout that is tried survives the loss of more than {MOST_CHECK} drives: set `most lost` to that"
    return "no few drives or bays more would do: ask for less, or for larger drives"


def disputed_says(each: Disputed) -> str:
    """A figure in dispute, with what hangs on it."""
    others = [
        f"at the {end} end no {other} would be recommended instead"
        for end, other in (("low", each.other_low), ("high", each.other_high))
        if other is not None
    ]
    change = "; ".join(others) if others else "the recommendation stays the same"
    return (
        f"{each.what}: {each.low_says}, {chance_says(each.low)} a year; {each.high_says}, "
        f"{chance_says(each.high)}; {change}"
    )


def store_row(each: StoreOdds) -> tuple[str, ...]:
    """A store as a row of its table."""
    if each.usual is None or each.low is None or each.high is None or each.usable_bytes is None:
        return (
            each.store,
            "unknown",
            str(each.survives),
            "",
            "",
            "",
            f"{each.layout}; a drive tells no size",
        )
    return (
        each.store,
        said(each.usable_bytes, Dimension.DATA),
        str(each.survives),
        chance_says(each.usual.lost),
        f"{chance_says(each.low.lost)} to {chance_says(each.high.lost)}",
        exposed_says(each) if each.survives else "none",
        each.layout,
    )


def meets_wanted(heap: HeapLayouts, each: Layout) -> bool:
    """Whether a layout gives what is wanted of its heap."""
    return meets(each, heap.wanted)
