"""How is a service drawn: a beam, a leg for each copy, and its state in words?

A copy that is bound to its machine stands on a flat foot; one that its pool may restart elsewhere stands on a
roller, the draughtsman's sign for a support that may move.
"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.errors import few
from falsework.faces.report.folds import sign
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.rows import Beam
from falsework.faces.report.states import UPRIGHT
from falsework.faces.report.svg import Svg, label, line, number, path, tag


def drawn(frame: Frame, row: Beam, y: float, pitch: float, props: Sequence[str] = ()) -> Svg:
    """One row.

    Args:
        frame: the sheet.
        row: what to draw.
        y: the top of the beam.
        pitch: height of a row.
        props: names of stand-ins that may hold it meanwhile.
    """
    high = min(max(pitch * 0.36, 5.5), 12.0)
    leg = min(max(pitch * 0.40, 4.0), 15.0)
    size = min(max(pitch * 0.62, 11.5), 13.5)
    middle = y + high / 2
    base = middle + size * 0.34
    slim = row.word == "alarm"
    over = min(max(frame.columns.pitch * 0.36, 4.0), 26.0)
    xs = [frame.columns.columns[each.column].x for each in row.legs]
    parts: list[Svg] = []
    legs: list[Svg] = []
    left = right = frame.left
    if xs:
        left, right = min(xs) - over, max(xs) + over
        thick = min(max(frame.columns.pitch * 0.16, 2.2), 5.0)
        legs = _legs(frame, row, y + high, leg, thick)
        if props:
            parts.append(_prop(left, y, high + leg, pitch))
        parts.append(
            bar_of(
                row.state,
                left,
                middle - high * 0.25 if slim else y,
                right - left,
                high / 2 if slim else high,
            )
        )
    shades = {"falls": "brick", "lost": "brick", "blinks": "brick", "thin": "ink", "waits": "ink"}
    parts.append(
        frame.row_words(
            base,
            row.says,
            row.serves,
            row.happens,
            size=size,
            shade="brick" if row.loud else "ink",
            happens_shade=shades.get(row.state, "faint"),
        )
    )
    says = f"{row.says}: {row.serves or 'alarm'}; {row.happens or row.state}"
    if len(row.names) > 1:
        says += f" ({few(row.names, 40)})"
    if props:
        says += f"; stand-in: {', '.join(props)}"
    return frame.thing(
        row.names,
        *parts,
        says=says,
        word=row.word,
        state=row.state,
        before=(*legs, *_signs(frame, row, middle)),
        at=(left, y, right - left, high),
        touch=len(row.names) == 1,
        reach=(frame.arches + 34, y + high / 2 - pitch / 2, frame.width - frame.arches - 40, pitch),
        group=row.group,
    )


def _signs(frame: Frame, row: Beam, y: float) -> list[Svg]:
    """What opens a course of several services, or folds it again."""
    x = frame.names + 13
    if row.group:
        return [sign(frame, row.group, x, y, opens=True, says=f"open {row.says}")]
    if row.opened:
        return [sign(frame, row.opened, x, y, opens=False, says=f"fold the services alike {row.opened}")]
    return []


def _legs(frame: Frame, row: Beam, top: float, high: float, thick: float) -> list[Svg]:
    found = []
    columns = [each.column for each in row.legs]
    xs = [frame.columns.columns[column].x for column in columns]
    taken: dict[int, int] = {}
    for each in row.legs:
        shift = taken.get(each.column, 0) * (thick + 2)
        taken[each.column] = taken.get(each.column, 0) + 1
        x = frame.columns.columns[each.column].x + shift
        down = each.state not in UPRIGHT
        stroke = "brick" if down else "ink"
        dash = "2 2" if down else None
        shape = [
            line(
                x,
                top,
                x,
                top + high - (2 * thick * 0.45 if each.rolls else 0),
                stroke=stroke,
                stroke_width=thick,
                stroke_dasharray=dash,
            )
        ]
        if each.rolls:
            radius = thick * 0.62
            shape.append(
                tag("circle", cx=x, cy=top + high, r=radius, fill="paper", stroke=stroke, stroke_width=1)
            )
        elif not down:
            shape.append(line(x - thick, top + high, x + thick, top + high, stroke=stroke, stroke_width=1))
        apart = min((abs(other - x) for other in xs if abs(other - x) > 1), default=99.0)
        if len(each.copies) > 1 and row.word == "service" and apart > 24 and columns.count(each.column) == 1:
            shape.append(label(x + thick, top + high, f"×{len(each.copies)}", size=9, fill="faint"))
        name = each.copies[0]
        says = f"{few(each.copies, 6)}: {frame.states.says(name)}" + (
            ", may move within its pool" if each.rolls else ""
        )
        found.append(
            frame.thing(
                (name,),
                *shape,
                says=says,
                word="copy",
                state=each.state,
                named=len(each.copies) == 1 and row.word == "service",
                at=(x - thick, top, 2 * thick, high),
            )
        )
    return found


def _prop(left: float, top: float, high: float, pitch: float) -> Svg:
    """A raking prop against the end of a beam."""
    foot = left - min(pitch * 0.6, 12)
    return line(left, top + 2, foot, top + high, stroke="faint", stroke_width=2.4, stroke_dasharray="3 1.5")


def bar_of(state: str, x: float, y: float, width: float, high: float) -> Svg:
    """The bar itself, its state told by filling and by breaks."""
    if state in UPRIGHT:
        return box(x, y, width, high, fill="ink")
    if state == "thin":
        return box(x, y, width, high, fill=hatch("thin"), stroke="ink", stroke_width=1.1)
    if state == "blinks":
        return Svg(
            box(x, y, width, high, fill="paper")
            + box(x, y, width, high, fill=hatch("blinks"))
            + line(x, y + high, x + width, y + high, stroke="ink", stroke_width=0.8)
        )
    bar = box(
        x,
        y,
        width,
        high,
        fill=hatch("lost" if state == "lost" else "falls"),
        stroke="brick",
        stroke_width=1.2,
    )
    # A crack through the middle: it no longer carries.
    at, half = x + width / 2, high / 2
    zigzag = f"M{number(at + 2)} {number(y - 2)}l-3 {number(half)}l3 {number(half * 0.5)}l-3 {number(half * 0.5 + 3.5)}"
    return Svg(
        bar
        + path(zigzag, fill="none", stroke="paper", stroke_width=3.4)
        + path(zigzag, fill="none", stroke="brick", stroke_width=0.9)
    )
