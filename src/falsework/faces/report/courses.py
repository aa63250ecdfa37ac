"""How are pools and stores drawn, each as a course of its own?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.faces.report.frame import Frame
from falsework.faces.report.ink import hatch, look, tint
from falsework.faces.report.svg import Svg, box, line, number, path, tag, thing, title
from falsework.model.parts import Drive, Node, ThingId
from falsework.model.services import Pool, Store

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
        dead = all(frame.states.of(node) != "stands" for node in column.nodes)
        fill, stroke, dash = ("paper", "brick", "2 1.5") if dead else ("ink", "ink", None)
        parts.append(path(shoe, fill=fill, stroke=stroke, stroke_width=0.9, stroke_dasharray=dash))
    left = sum(1 for host in hosts if frame.states.of(host) == "stands")
    serves = f"{left} of {len(hosts)} hosts" if left < len(hosts) else f"{len(hosts)} hosts"
    store_ = f"disks on {', '.join(each.store.ids)}" if each.store else "disks on each host"
    parts.append(frame.row_words(y + 11, each.id, serves, store_, size=12))
    says = f"pool {each.id}: {serves}; {store_}"
    return thing(each.id, *parts, says=says, word=each.IS, state="stands", prefix=frame.prefix)


def store(frame: Frame, each: Store, y: float) -> Svg:
    """A course of bricks, one for each drive, above the machine that the drive is in."""
    drives = each.drives.ids if each.drives else ()
    spare = set(drives[len(drives) - each.spares :]) if each.spares else set()
    placed: dict[float, list[str]] = {}
    for name in drives:
        for x in _home(frame, name):
            placed.setdefault(x, []).append(name)
    state = frame.states.of(each.id)
    parts: list[Svg] = []
    if placed:
        edge = min(frame.columns.pitch * 0.42, 16.0)
        left, right = min(placed) - edge, max(placed) + edge
        dash = None if state == "stands" else "4 2"
        parts.extend(
            line(left, level, right, level, stroke=tint(state), stroke_width=0.9, stroke_dasharray=dash)
            for level in (y + 3, y + 12)
        )
    for x, names in placed.items():
        parts.extend(_bricks(frame, x, y + 3, names, spare))
    word = frame.states.says(each.id)
    happens = "" if state == "stands" else word
    parts.append(
        frame.row_words(
            y + 12, each.id, each.layout, happens, size=12, shade=tint(state), happens_shade="brick"
        )
    )
    says = f"store {each.id}: {len(drives)} drives, {each.layout}; {word}"
    return thing(each.id, *parts, says=says, word=each.IS, state=state, prefix=frame.prefix)


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


def _bricks(frame: Frame, x: float, y: float, names: Sequence[str], spare: set[str]) -> list[Svg]:
    wide = min(max((frame.columns.pitch - 2) / max(len(names), 1), 2.6), 9.0)
    if wide * len(names) > frame.columns.pitch * 3.2:  # too many to count by eye: one long brick
        down = sum(1 for name in names if frame.states.of(name) != "stands")
        long = min(frame.columns.pitch * 0.9, 30.0)
        fill = hatch(frame.prefix, "falls") if down else "stone"
        brick = box(x - long / 2, y, long, 9, fill=fill, stroke="ink", stroke_width=0.8)
        return [tag("g", title(f"{len(names)} drives, {down} of them down"), brick)]
    found = []
    start = x - wide * len(names) / 2
    for position, name in enumerate(names):
        state = frame.states.of(name)
        style = look(frame.prefix, state, ground="paper" if name in spare else "stone")
        brick = box(start + position * wide, y, wide, 9, stroke_width=0.8, **style)
        says = f"drive {name}{', a spare' if name in spare else ''}: {frame.states.says(name)}"
        found.append(thing(name, brick, says=says, word="drive", state=state, prefix=frame.prefix))
    return found
