"""How are wire, power and ground drawn: bars, joints, and what stands on what?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.faces.report.bars import GROUND, TYPE, Bar, Joint, Plan, Tie
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, look, tint
from falsework.faces.report.states import UPRIGHT
from falsework.faces.report.svg import Svg, label, line, number, path, tag, title, width_of

WIRE = 19.0
POWER = 23.0
OUTSIDE = 22.0
"""Heights of a row."""
MOST_IN_ONE = 12
"""More cables or supplies than this in one are no things of their own on the sheet."""
_HIGH = {"switch": 13.0, "cable": 4.0}


def heights(plan: Plan, top: float, pitch: float) -> dict[str, float]:
    """The top of each bar."""
    return {name: top + bar.row * pitch for name, bar in plan.bars.items()}


def high(bar: Bar) -> float:
    """The height of a bar."""
    return _HIGH.get(bar.word, 17.0)


def bar(frame: Frame, each: Bar, y: float) -> Svg:
    """One bar with its joints."""
    state = frame.states.of(each.name)
    tall = high(each)
    dark = each.word == "switch" and state in UPRIGHT
    grounds = {"switch": "ink", "cable": "ink", "outside": "paper"}
    style = look(state, ground=grounds.get(each.word, "stone"))
    if each.level == GROUND and state in UPRIGHT:
        style["stroke_dasharray"] = "1.5 2.5"  # not ours, so only outlined
    parts = [box(each.left, y, each.right - each.left, tall, stroke_width=1.1, **style)]
    if each.says:
        after = frame.states.aside(each.name)
        size = TYPE if tall > 14 else TYPE - 1
        room = each.right - each.left - 10
        # A bar too short for all its words keeps its name, and the hatching its state.
        choices = (each.says + after, each.name + after, each.name)
        text = next((one for one in choices if width_of(one, size) <= room), each.name)
        if state not in UPRIGHT:
            plate = min(width_of(text, size), room) + 6
            parts.append(box(each.left + 3, y + 1.5, plate, tall - 3, fill="paper"))
        colour_text = "paper" if dark else tint(state)
        parts.append(
            label(
                each.left + 6,
                y + tall / 2 + size * 0.36,
                text,
                size=size,
                fill=colour_text,
                room=room,
                told=False,
            )
        )
    joints = [_joint(frame, each, joint, y) for joint in each.joints]
    says = f"{each.word} {each.name}: {frame.states.says(each.name)}"
    return frame.thing(
        (each.name,),
        *parts,
        says=says,
        word=each.word,
        state=state,
        before=joints,
        at=(each.left, y, each.right - each.left, tall),
    )


def _joint(frame: Frame, each: Bar, joint: Joint, y: float) -> Svg:
    """A peg for a cable, a plug for a supply, on the upper edge of the bar."""
    x = frame.columns.columns[joint.column].x
    states = [frame.states.of(part) for part in joint.parts]
    state = states[0] if len(set(states)) == 1 else "stands"
    some = state in UPRIGHT and any(one not in UPRIGHT for one in states)
    if each.word in ("switch", "cable"):
        folded = len(frame.columns.columns[joint.column].nodes) > 1
        count = 1 if folded else min(len(joint.parts), 3)
        own = count == len(joint.parts)
        shape = [
            _peg(x + 3 * (peg - (count - 1) / 2), y, states[peg] if own else state, some=some and not own)
            for peg in range(count)
        ]
    else:
        wide = min(max(frame.columns.pitch * 0.3, 3.0), 7.0)
        style = look(state, ground="ink")
        if some:
            style = {**look("falls"), "fill": "paper"}
        shape = [box(x - wide / 2, y - 4.5, wide, 4.5, stroke_width=0.8, **style)]
    word = "cable" if each.word in ("switch", "cable") else "supply"
    return bundle(frame, joint.parts, shape, word=word, state=state, at=(x - 3, y - 5, 6, 5))


def _peg(x: float, y: float, state: str, *, some: bool) -> Svg:
    dash = "3 1" if some else None if state in UPRIGHT else "1.5 1"
    colour = "brick" if some else tint(state)
    return line(x, y - 5, x, y, stroke=colour, stroke_width=1.8, stroke_dasharray=dash)


def bundle(
    frame: Frame,
    parts: Sequence[str],
    shape: Sequence[Svg],
    *,
    word: str,
    state: str,
    at: tuple[float, float, float, float],
) -> Svg:
    """Cables or supplies drawn as one; of very many nobody wants each, so they are only counted."""
    if not parts:
        return shape[0]
    ways = {frame.states.says(part) for part in parts}
    down = sum(1 for part in parts if frame.states.of(part) not in UPRIGHT)
    how = ways.pop() if len(ways) == 1 else f"{down} of {len(parts)} are down"
    if len(parts) > MOST_IN_ONE:
        return tag("g", title(f"{len(parts)} {'cables' if word == 'cable' else 'supplies'}: {how}"), *shape)
    says = f"{', '.join(parts[:6])}{' …' if len(parts) > 6 else ''}: {how}"
    return frame.thing(parts, *shape, says=says, word=word, state=state, named=False, at=at)


def tie(frame: Frame, each: Tie, bars: Mapping[str, Bar], tops: Mapping[str, float], *, cable: bool) -> Svg:
    """What joins two bars: a post for power, a fine pair of lines for a cable."""
    upper, lower = sorted((each.upper, each.lower), key=lambda name: tops[name])
    start = tops[upper] + high(bars[upper])
    end = tops[lower]
    states = [frame.states.of(part) for part in each.parts] or [frame.states.of(each.lower)]
    down = all(state not in UPRIGHT for state in states)
    some = any(state not in UPRIGHT for state in states)
    colour = "brick" if some else "ink"
    dash = "3 2" if down else "9 2" if some else None
    if cable:
        shape = [
            line(
                each.x + side,
                start,
                each.x + side,
                end,
                stroke=colour,
                stroke_width=0.8,
                stroke_dasharray=dash,
            )
            for side in (-1.2, 1.2)
        ]
    else:
        shape = [line(each.x, start, each.x, end, stroke=colour, stroke_width=2.4, stroke_dasharray=dash)]
    return bundle(
        frame,
        each.parts,
        shape,
        word="cable" if cable else "supply",
        state="stands" if not down else states[0],
        at=(each.x - 1, start, 2, end - start),
    )


def ground(left: float, right: float, y: float) -> Svg:
    """The ground line with its hatching."""
    ticks = "".join(f"M{number(x)} {number(y)}l-7 8" for x in _steps(left + 8, right, 11))
    return Svg(
        line(left, y, right, y, stroke="ink", stroke_width=2.2)
        + path(ticks, stroke="ink", stroke_width=0.8, fill="none")
    )


def _steps(start: float, end: float, step: float) -> Sequence[float]:
    return [start + step * number_ for number_ in range(int((end - start) / step) + 1)]
