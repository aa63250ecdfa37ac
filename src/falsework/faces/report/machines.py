"""How are machines drawn, what houses them, and what stands in for them?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.faces.report.columns import Column, Span
from falsework.faces.report.folds import BRACKET, bracket, sign
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, hatch, look, prop, tint
from falsework.faces.report.states import UPRIGHT
from falsework.faces.report.svg import Svg, label, line, width_of
from falsework.model.parts import Drive
from falsework.model.people import StandIn
from falsework.model.services import Store

FOOT = 20.0
"""What the square that opens a fold takes at the foot of its cell."""


def machines(frame: Frame, top: float) -> tuple[Svg, float]:
    """All machines, and the y of the lower edge of the course."""
    brackets = [bracket(frame, span, top) for span in frame.columns.opened] if frame.opening else []
    top += BRACKET if brackets else 0.0
    names = [
        column.name if len(column.nodes) == 1 else _folded(frame, column) for column in frame.columns.columns
    ]
    turned = any(
        width_of(name, 11) > column.width - 9
        for name, column in zip(names, frame.columns.columns, strict=True)
    )
    named = frame.columns.pitch >= 13 or bool(frame.columns.folded)
    longest = max((width_of(name, 11) for name in names), default=20.0)
    high = min(max(longest + 12, 34.0), 110.0 if frame.columns.folded else 78.0) if turned and named else 34.0
    high += FOOT if frame.opening is not None and any(each.group for each in frame.columns.columns) else 0.0
    below = 17.0 if frame.columns.groups else 4.0
    loose = _loose(frame)
    groups = [_group(frame, span, top, high) for span in frame.columns.groups]
    cells = [
        _cell(frame, column, top + 4, high, loose, named=named, turned=turned)
        for column in frame.columns.columns
    ]
    return Svg("\n".join((*brackets, *groups, *cells))), top + 4 + high + below


def _group(frame: Frame, span: Span, top: float, high: float) -> Svg:
    """An enclosure as a box; machines that only share a name as a word below them."""
    wide = span.right - span.left
    middle, base = (span.left + span.right) / 2, top + high + 16
    if span.word != "enclosure":
        if span.nodes == 1 and frame.columns.pitch >= 13:
            return Svg("")
        return label(
            middle, base, span.name, size=10.5, fill="faint", anchor="middle", italic=True, room=wide + 4
        )
    state = frame.states.of(span.name)
    shape = box(span.left - 1, top, wide + 2, high + 20, stroke_width=1.4, **look(state, ground="stone"))
    plate = box(span.left + 2, base - 9.5, wide - 4, 12, fill="paper") if state not in UPRIGHT else Svg("")
    shade = "faint" if state in UPRIGHT else tint(state)
    name = label(middle, base, span.name, size=10.5, fill=shade, anchor="middle", room=wide, told=False)
    says = f"enclosure {span.name}, {span.nodes} nodes: {frame.states.says(span.name)}"
    return frame.thing(
        (span.name,),
        shape,
        plate,
        name,
        says=says,
        word="enclosure",
        state=state,
        at=(span.left, top + high + 4, wide, 16),
    )


def _cell(
    frame: Frame,
    column: Column,
    top: float,
    high: float,
    loose: Mapping[str, Sequence[str]],
    *,
    named: bool,
    turned: bool,
) -> Svg:
    """A machine, or several folded: the share of them that is down is hatched from the top."""
    states = [frame.states.of(node) for node in column.nodes]
    alike = len(set(states)) == 1
    state = states[0] if alike else "stands"
    down = sum(1 for each in states if each not in UPRIGHT)
    gap = min(column.width * 0.12, 3.0)
    x, wide = column.left + gap, column.width - 2 * gap
    parts = [box(x, top, wide, high, stroke_width=1, **look(state))]
    if not alike:
        share = high * down / len(states)
        parts.append(box(x, top, wide, share, fill=hatch("falls"), stroke="brick", stroke_width=0.8))
    count = len(column.nodes)
    opens = (
        sign(
            frame,
            column.group,
            column.x,
            top + high - 10,
            opens=True,
            says=f"open {column.name}, {count} nodes",
        )
        if column.group
        else Svg("")
    )
    named_high = high - FOOT if opens else high
    name = column.name if count == 1 else _folded(frame, column)
    if named or count > 1:
        plate = state not in (*UPRIGHT, "blinks") or down > 0
        parts.append(
            _cell_name(name, column.x, top, wide, named_high, tint(state), plate=plate, turned=turned)
        )
    bricks = _bricks(frame, loose.get(column.nodes[0], ()), x, top + high, wide) if count == 1 else (opens,)
    says = f"{', '.join(column.nodes[:12])}{' …' if count > 12 else ''}: "
    says += frame.states.says(column.nodes[0]) if alike else f"{down} of {count} are down"
    whole = column.group if column.group in frame.columns.within else ""
    return frame.thing(
        column.nodes,
        *parts,
        says=f"node {says}" if count == 1 else f"{count} nodes in {column.name}: {says}",
        word="node",
        state=state,
        before=bricks,
        at=(x, top, wide, high),
        whole=whole,
        group=column.group,
    )


def _folded(frame: Frame, column: Column) -> str:
    """What a column of several machines says: the rack's name stands on its dimension line already."""
    count = f"{len(column.nodes)} nodes"
    return count if frame.columns.folded == "racks" and frame.columns.racks else f"{column.name}: {count}"


def _cell_name(
    name: str, x: float, top: float, wide: float, high: float, colour: str, *, plate: bool, turned: bool
) -> Svg:
    size = min(11.0, wide - 1)
    level = width_of(name, 11) <= wide - 2
    if level or not turned:
        text = label(
            x, top + high / 2 + 4, name, size=11, fill=colour, anchor="middle", room=wide - 2, told=False
        )
        half = min(width_of(name, 11) / 2 + 3, wide / 2 - 1)
        back = box(x - half, top + high / 2 - 7, 2 * half, 14, fill="paper")
    else:
        text = label(
            x + size * 0.34,
            top + high / 2,
            name,
            size=size,
            fill=colour,
            anchor="middle",
            room=high - 6,
            turned=True,
            told=False,
        )
        half = min(width_of(name, size) / 2 + 3, high / 2 - 1)
        back = box(x - size * 0.58, top + high / 2 - half, size * 1.16, 2 * half, fill="paper")
    return Svg(back + text) if plate else text


def _loose(frame: Frame) -> Mapping[str, Sequence[str]]:
    """By machine, the drives that no store claims."""
    lab = frame.states.standing.lab
    claimed = {name for store in lab.of(Store) for name in (store.drives.ids if store.drives else ())}
    found: dict[str, list[str]] = {}
    for drive in lab.of(Drive):
        if drive.in_ is not None and drive.id not in claimed:
            found.setdefault(drive.in_.ids[0], []).append(drive.id)
    return found


def _bricks(frame: Frame, names: Sequence[str], x: float, bottom: float, wide: float) -> list[Svg]:
    """Loose drives as small bricks at the foot of their machine."""
    each = min(9.0, (wide - 4) / max(len(names), 1))
    found = []
    for position, name in enumerate(names):
        state = frame.states.of(name)
        brick = box(
            x + 2 + position * each,
            bottom - 6,
            each,
            6,
            stroke_width=0.7,
            **look(state, ground="stone"),
        )
        says = f"drive {name}: {frame.states.says(name)}"
        at = (x + 2 + position * each, bottom - 6, each, 6.0)
        found.append(frame.thing((name,), brick, says=says, word="drive", state=state, at=at))
    return found


def dimension(frame: Frame, span: Span, y: float) -> Svg:
    """What houses machines, as a dimension line under them."""
    state = frame.states.of(span.name)
    colour, shade = tint(state), "faint" if state in UPRIGHT else tint(state)
    text = span.name + ("" if state == "stands" else f" ({frame.states.says(span.name)})")
    middle = (span.left + span.right) / 2
    wide = width_of(text, 10.5) + 8
    dash = None if state in UPRIGHT else "5 3"
    parts = [line(span.left, y, span.right, y, stroke=colour, stroke_width=0.8, stroke_dasharray=dash)]
    parts.extend(
        line(x - 3, y + 3.5, x + 3, y - 3.5, stroke=colour, stroke_width=1.3) for x in (span.left, span.right)
    )
    if wide <= span.right - span.left - 8:
        parts.append(box(middle - wide / 2, y - 6, wide, 12, fill="paper"))
        parts.append(label(middle, y + 3.8, text, size=10.5, fill=shade, anchor="middle", told=False))
    else:
        room = span.right - span.left + 22
        parts.append(
            label(middle, y + 12, text, size=9.5, fill=shade, anchor="middle", room=room, told=False)
        )
    says = f"{span.word} {span.name}, {span.nodes} nodes: {frame.states.says(span.name)}"
    return frame.thing(
        (span.name,),
        *parts,
        says=says,
        word=span.word,
        state=state,
        at=(span.left, y - 4, span.right - span.left, 8),
    )


def stand_ins(frame: Frame, each: Sequence[StandIn], top: float, bottom: float) -> Svg:
    """Hatched props in the left margin, with what they stand in for."""
    found = []
    most = max(int((bottom - top) / 24), 1)
    x = frame.arches + 4
    for position, one in enumerate(each[:most]):
        y = top + 2 + position * 24
        meets = ", ".join(one.for_.ids) if one.for_ else ""
        more = f" and {len(each) - most} more" if position == most - 1 and len(each) > most else ""
        room = frame.names - x - 26
        texts = (
            label(x + 28, y + 8, one.id + more, size=10.5, fill="ink", italic=True, room=room, told=False),
            label(x + 28, y + 19, f"for {meets}", size=9.5, fill="faint", room=room, told=False),
        )
        found.append(
            frame.thing(
                (one.id,),
                prop(x, y, 18),
                *texts,
                says=f"stand-in {one.id} for {meets}",
                word=one.IS,
                state="stands",
                at=(x, y, 18, 18),
            )
        )
    return Svg("\n".join(found))
