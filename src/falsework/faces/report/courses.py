"""How are pools and stores drawn, each as a course of its own?"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from falsework.errors import few
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, hatch, look, tint
from falsework.faces.report.heaps import beds, heap, heaped
from falsework.faces.report.states import UPRIGHT
from falsework.faces.report.svg import Svg, line, number, path, tag, title
from falsework.model.parts import Drive, Node, ThingId
from falsework.model.services import Pool, Store

MOST_STORES = 7
"""More stores than this share rows."""
MOST_IN_ONE = 12
"""More drives than this in one brick are no things of their own on the sheet."""
POOL = 20.0
STORE = 18.0
"""Heights of a row."""


def pool(frame: Frame, each: Pool, y: float) -> Svg:
    """The rail on which virtual copies roll, with a shoe on each of its hosts."""
    hosts = each.hosts.ids if each.hosts else ()
    ends = [frame.columns.columns[column] for column in frame.columns.of(hosts)]
    parts: list[Svg] = []
    if ends:
        wide = ends[-1].right - ends[0].left
        parts.append(box(ends[0].left, y + 4, wide, 4, fill="stone", stroke="ink", stroke_width=0.9))
    for column in ends:
        wide = min(column.width * 0.5, 18)
        shoe = (
            f"M{number(column.x - wide / 2)} {number(y + 8)}h{number(wide)}"
            f"l{number(-wide * 0.25)} 6h{number(-wide * 0.5)}z"
        )
        dead = all(frame.states.of(node) not in UPRIGHT for node in column.nodes)
        fill, stroke, dash = ("paper", "brick", "2 1.5") if dead else ("ink", "ink", None)
        parts.append(path(shoe, fill=fill, stroke=stroke, stroke_width=0.9, stroke_dasharray=dash))
    left = sum(1 for host in hosts if frame.states.of(host) in UPRIGHT)
    serves = f"{left} of {len(hosts)} hosts" if left < len(hosts) else f"{len(hosts)} hosts"
    store_ = f"disks on {', '.join(each.store.ids)}" if each.store else "disks on each host"
    parts.append(frame.row_words(y + 11, each.id, serves, store_, size=12))
    says = f"pool {each.id}: {serves}; {store_}"
    at = (ends[0].left, y + 4, ends[-1].right - ends[0].left, 10.0) if ends else None
    return frame.thing((each.id,), *parts, says=says, word=each.IS, state="stands", at=at)


def store_rows(stores: Sequence[Store]) -> tuple[tuple[Store, ...], ...]:
    """The stores by row: each its own where they are few, else those of one layout and name stem together."""
    if len(stores) <= MOST_STORES:
        return tuple((each,) for each in stores)
    found: dict[tuple[str, str], list[Store]] = {}
    for each in stores:
        found.setdefault((each.layout, _stem(each.id)), []).append(each)
    return tuple(tuple(each) for each in found.values())


def _stem(name: str) -> str:
    return re.sub(r"[-_ .]?\d.*$", "", name) or name


def stores(frame: Frame, row: Sequence[Store], y: float) -> Svg:
    """A course of bricks, one for each drive, above the machine that the drive is in."""
    heaps = heaped(frame, row)
    lying = {store.id for heap_ in heaps.values() for store in heap_}
    single = [each for each in row if each.id not in lying]
    placed = {each.id: _placed(frame, each) for each in single}
    claims: dict[float, int] = {}
    for xs in placed.values():
        for x in xs:
            claims[x] = claims.get(x, 0) + 1
    parts = [beds(frame, tuple(heaps), y)] if heaps else []
    parts.extend(heap(frame, column, each, y + 3) for column, each in heaps.items())
    parts.extend(_store(frame, each, placed[each.id], y, claims) for each in single)
    shared: dict[float, list[str]] = {}
    for xs in placed.values():
        for x, names in xs.items():
            if claims[x] > 1:
                shared.setdefault(x, []).extend(names)
    for x, names in shared.items():
        parts.extend(_bricks(frame, x, y + 3, names, frozenset()))
    down = [each.id for each in row if frame.states.of(each.id) not in UPRIGHT]
    if len(row) == 1:
        happens = frame.states.says(row[0].id) if down else ""
    else:
        happens = f"{len(down)} of {len(row)} down: {few(down, 8)}" if down else ""
    name = row[0].id if len(row) == 1 else f"{_stem(row[0].id)}, {len(row)} stores"
    shade = "brick" if len(down) == len(row) else "ink"
    parts.append(
        frame.row_words(y + 12, name, row[0].layout, happens, size=12, shade=shade, happens_shade="brick")
    )
    return Svg("\n".join(parts))


def _placed(frame: Frame, each: Store) -> dict[float, list[str]]:
    """The drives of a store by the x above which they lie."""
    found: dict[float, list[str]] = {}
    for name in each.drives.ids if each.drives else ():
        for x in _home(frame, name):
            found.setdefault(x, []).append(name)
    return found


def _store(
    frame: Frame, each: Store, placed: Mapping[float, Sequence[str]], y: float, claims: Mapping[float, int]
) -> Svg:
    """The two bed joints of one store and the bricks that it shares with no other."""
    drives = each.drives.ids if each.drives else ()
    spare = frozenset(drives[len(drives) - each.spares :]) if each.spares else frozenset()
    state = frame.states.of(each.id)
    parts: list[Svg] = []
    at = None
    if placed:
        edge = min(frame.columns.pitch * 0.42, 16.0)
        left, right = min(placed) - edge, max(placed) + edge
        at = (left, y + 3, right - left, 9.0)
        dash = None if state in UPRIGHT else "4 2"
        parts.extend(
            line(left, level, right, level, stroke=tint(state), stroke_width=0.9, stroke_dasharray=dash)
            for level in (y + 3, y + 12)
        )
    bricks = [
        brick
        for x, names in placed.items()
        if claims[x] == 1
        for brick in _bricks(frame, x, y + 3, names, spare)
    ]
    says = f"store {each.id}: {len(drives)} drives, {each.layout}; {frame.states.says(each.id)}"
    return frame.thing((each.id,), *parts, says=says, word=each.IS, state=state, before=bricks, at=at)


def _home(frame: Frame, drive: str) -> tuple[float, ...]:
    """Above which x a drive lies: its machine's column, or the middle of its enclosure."""
    lab = frame.states.standing.lab
    placed = lab.things.get(ThingId(drive))
    if not isinstance(placed, Drive) or placed.in_ is None:
        return ()
    holder = placed.in_.ids[0]
    if frame.columns.of((holder,)):
        return frame.columns.xs((holder,))
    for span in frame.columns.groups:
        if span.name == holder and span.word == "enclosure":
            return ((span.left + span.right) / 2,)
    inside = [node.id for node in lab.of(Node) if node.in_ is not None and node.in_.ids[0] == holder]
    return frame.columns.xs(inside)[:1]


def _bricks(frame: Frame, x: float, y: float, names: Sequence[str], spare: frozenset[str]) -> list[Svg]:
    wide = min(max((frame.columns.pitch - 2) / max(len(names), 1), 2.6), 9.0)
    if wide * len(names) > frame.columns.pitch * 1.3:  # too many to count by eye: one long brick
        down = sum(1 for name in names if frame.states.of(name) not in UPRIGHT)
        long = min(frame.columns.pitch * 0.9, 30.0)
        fill = hatch("falls") if down else "stone"
        brick = box(x - long / 2, y, long, 9, fill=fill, stroke="ink", stroke_width=0.8)
        says = f"{len(names)} drives, {down} of them down"
        state = "falls" if down else "stands"
        if len(names) > MOST_IN_ONE:
            return [tag("g", title(says), brick)]
        at = (x - long / 2, y, long, 9.0)
        return [frame.thing(names, brick, says=says, word="drive", state=state, named=False, at=at)]
    found = []
    start = x - wide * len(names) / 2
    for position, name in enumerate(names):
        state = frame.states.of(name)
        style = look(state, ground="paper" if name in spare else "stone")
        brick = box(start + position * wide, y, wide, 9, stroke_width=0.8, **style)
        says = f"drive {name}{', a spare' if name in spare else ''}: {frame.states.says(name)}"
        at = (start + position * wide, y, wide, 9.0)
        found.append(frame.thing((name,), brick, says=says, word="drive", state=state, at=at))
    return found
