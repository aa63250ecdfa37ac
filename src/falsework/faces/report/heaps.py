"""How are the stores of folded machines drawn, where a brick for each drive would be dust?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.errors import few
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.states import UPRIGHT
from falsework.faces.report.svg import Svg, line
from falsework.model.parts import Drive, ThingId
from falsework.model.services import Store


def heaped(frame: Frame, row: Sequence[Store]) -> dict[int, list[Store]]:
    """The stores by the folded column that holds all of their drives; those of several columns are left out."""
    found: dict[int, list[Store]] = {}
    if frame.columns.folded:
        for each in row:
            at = _column(frame, each)
            if at is not None and len(frame.columns.columns[at].nodes) > 1:
                found.setdefault(at, []).append(each)
    return found


def _column(frame: Frame, store: Store) -> int | None:
    things = frame.states.standing.lab.things
    at: int | None = None
    for name in store.drives.ids if store.drives else ():
        drive = things.get(ThingId(name))
        holder = drive.in_.ids[0] if isinstance(drive, Drive) and drive.in_ is not None else ""
        here = frame.columns.holding(holder)
        if here is None or at not in (None, here):
            return None
        at = here
    return at


def heap(frame: Frame, column: int, stores: Sequence[Store], y: float) -> Svg:
    """One long brick for all the stores of a column; the share of them that is down is hatched from the left."""
    names = [store.id for store in stores]
    down = [name for name in names if frame.states.of(name) not in UPRIGHT]
    at = frame.columns.columns[column]
    wide = min(at.width * 0.9, 34.0)
    x = at.x - wide / 2
    parts = [box(x, y, wide, 9, fill="stone", stroke="ink", stroke_width=0.8)]
    if down:
        share = wide * len(down) / len(names)
        parts.append(box(x, y, share, 9, fill=hatch("falls"), stroke="brick", stroke_width=0.8))
    if len(names) == 1:
        says = f"store {names[0]}: {frame.states.says(names[0])}"
    else:
        then = f"{len(down)} of them down: {few(down, 6)}" if down else "all stand"
        says = f"{len(names)} stores in {at.name}: {few(names, 6)}; {then}"
    state = "falls" if len(down) == len(names) else "stands"
    return frame.thing(
        names, *parts, says=says, word="store", state=state, at=(x, y, wide, 9.0), touch=len(names) == 1
    )


def beds(frame: Frame, columns: Sequence[int], y: float) -> Svg:
    """The bed joints under and over all heaps of a row."""
    ends = [frame.columns.columns[each] for each in columns]
    left, right = min(each.left for each in ends), max(each.right for each in ends)
    return Svg(
        "".join(line(left, level, right, level, stroke="ink", stroke_width=0.9) for level in (y + 3, y + 12))
    )
