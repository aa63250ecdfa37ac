"""When is each step done, by hands and by itself, and in whose hours?

The build rises from the ground: the first step lies at the bottom, each later one a course higher. Hours in which
nothing is done are cut out, with a break line as a long beam is drawn.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from falsework.analyses.raising.result import Plan, Schedule, Slot, Step
from falsework.faces.report.folded import Folded, Piece, Span, folded
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key
from falsework.faces.report.svg import Svg, join, label, line, number, path, tag, thing, width_of
from falsework.model.hours import weekly
from falsework.model.lab import Lab
from falsework.model.people import Person

TOP = 118.0
MOST_ROWS = 150
"""Steps that have a course; of more the rest are counted."""
APART = datetime.timedelta(minutes=90)
"""Idle time shorter than this is not cut out."""
DAY = datetime.timedelta(days=1)


def calendar_bars(lab: Lab, plan: Plan, schedule: Schedule, *, width: float = 1400) -> Panel:
    """A course for each step, the first at the bottom.

    Args:
        lab: whose people's hours are the ground.
        plan: the order of work.
        schedule: its calendar, with a slot for each step.
        width: of the sheet.
    """
    slots = {slot.step: slot for slot in schedule.slots}
    order = sorted(plan.steps, key=lambda step: (slots[step.number].begins, step.number))
    shown = order[:MOST_ROWS]
    pitch = 21.0 if len(shown) <= 40 else 16.0
    size = 11.5 if len(shown) <= 40 else 10.5
    names = min(max(width_of(_name(step), size) for step in shown) + 26, width * 0.34)
    bottom = TOP + pitch * len(shown) + 6
    hours = tuple(_hours(lab, schedule))
    of = folded(_busy(schedule, hours), left=20 + names, right=width - 24, apart=APART)
    critical = frozenset(schedule.critical)
    parts = [head("The calendar", "from the ground up", _count(schedule), width)]
    parts.extend(_ground_of(of, hours, bottom))
    parts.extend(_days(of, bottom))
    for place, step in enumerate(shown):
        y = bottom - 6 - pitch * (place + 1)
        parts.append(_course(of, step, slots[step.number], y, pitch, size, step.number in critical))
    parts.extend(_breaks(of, bottom))
    parts.append(line(14, bottom, width - 18, bottom, stroke="ink", stroke_width=2.4))
    teeth = "".join(
        f"M{number(14 + 8 * each)} {number(bottom)}l-6 8" for each in range(1, int((width - 32) / 8) + 1)
    )
    parts.append(path(teeth, fill="none", stroke="ink", stroke_width=0.8))
    signs, y = key(_samples(plan, bool(hours), len(of.pieces) > 1), bottom + 34, width)
    parts.append(signs)
    if len(order) > len(shown):
        y += 20
        more = f"{len(order) - len(shown)} later steps have no course."
        parts.append(label(20, y, more, size=10.5, italic=True, fill="faint"))
    return Panel(
        svg=join(parts), height=y + 4, says=f"The calendar, a course for each step: {_count(schedule)}"
    )


def _count(schedule: Schedule) -> str:
    begins, ends = schedule.begins, schedule.ends
    said = f"{begins:%a} {begins.day} {begins:%b %Y %H:%M} to {ends:%a} {ends.day} {ends:%b %Y %H:%M}"
    if schedule.earliest_end >= ends:
        said += " · no calendar ends before"
    return f"{said} · {len(schedule.critical)} steps decide the end"


def _name(step: Step) -> str:
    return f"{step.number}  {step.says}"


def _hours(lab: Lab, schedule: Schedule) -> Iterator[tuple[str, Span]]:
    """When each person works, from the first day to the last."""
    for person in lab.of(Person):
        if not person.works:
            continue
        monday = datetime.datetime.combine(
            schedule.begins.date() - datetime.timedelta(days=schedule.begins.weekday()), datetime.time()
        )
        while monday <= schedule.ends:
            for begins_s, ends_s in weekly(person.works):
                span = (
                    monday + datetime.timedelta(seconds=begins_s),
                    monday + datetime.timedelta(seconds=ends_s),
                )
                if (
                    span[1] > schedule.begins
                    and span[0] < schedule.ends
                    and span[0].date() not in person.away
                ):
                    yield person.id, span
            monday += 7 * DAY


def _busy(schedule: Schedule, hours: Sequence[tuple[str, Span]]) -> Iterator[Span]:
    """Work, and the hours of people in which there is some; all of a step where nobody has hours."""
    for slot in schedule.slots:
        works = slot.work or (() if slot.who else ((slot.begins, min(slot.ends, slot.begins + APART)),))
        for begins, ends in works:
            around = [span for _, span in hours if span[0] < ends and begins < span[1]]
            yield from around or [(begins, ends)]
        if not hours:
            yield slot.begins, slot.ends
        yield slot.ends, slot.ends


def _ground_of(of: Folded, hours: Sequence[tuple[str, Span]], bottom: float) -> Iterator[Svg]:
    """Stone behind the courses wherever somebody works."""
    for piece in of.pieces:
        inside = sorted(
            (max(begins, piece.begins), min(ends, piece.ends))
            for _, (begins, ends) in hours
            if begins < piece.ends and piece.begins < ends
        )
        done = piece.begins
        for begins, ends in inside:
            start = max(begins, done)
            if ends > start:
                x, end = of.x(start), of.x(ends)
                yield tag("rect", x=x, y=TOP, width=end - x, height=bottom - TOP, fill="stone")
                done = ends


def _days(of: Folded, bottom: float) -> Iterator[Svg]:
    """The day above each piece where there is room, and its hours where there is more."""
    free, shown = -1e9, None
    for piece in of.pieces:
        day = piece.begins.date()
        says = f"{piece.begins:%a} {day.day} {piece.begins:%b}"
        if piece.right - piece.left < width_of(says, 10.5):
            says = f"{day.day} {piece.begins:%b}"
        if day != shown and piece.left >= free:
            yield label(piece.left, TOP - 18, says, size=10.5)
            free = piece.left + width_of(says, 10.5) + 8
            shown = day
        yield line(piece.left, TOP - 2, piece.right, TOP - 2, stroke="ink", stroke_width=1.2)
        yield from _marks(of, piece, bottom)


def _marks(of: Folded, piece: Piece, bottom: float) -> Iterator[Svg]:
    hours = (piece.ends - piece.begins).total_seconds() / 3600
    if hours <= 0:
        return
    wide = (piece.right - piece.left) / hours
    step = next((each for each in (1, 2, 3, 6, 12) if each * wide >= 34), 24)
    at = piece.begins.replace(minute=0, second=0, microsecond=0)
    free = -1e9
    while at <= piece.ends:
        if at >= piece.begins and at.hour % step == 0:
            x = of.x(at)
            yield line(x, TOP - 6, x, TOP - 2, stroke="ink", stroke_width=1)
            if at.hour == 0:
                yield line(x, TOP, x, bottom, stroke="hair", stroke_width=0.8, stroke_dasharray="1 4")
            says = f"{at.hour}"
            last = piece is of.pieces[-1] or at < piece.ends
            if last and x - width_of(says, 9) / 2 >= free and wide * step >= 20:
                yield label(x, TOP - 8, says, size=9, fill="faint", anchor="middle")
                free = x + width_of(says, 9) / 2 + 4
        at += datetime.timedelta(hours=1)


def _breaks(of: Folded, bottom: float) -> Iterator[Svg]:
    """A break line between two pieces, paper behind it."""
    for one, other in zip(of.pieces, of.pieces[1:], strict=False):
        wide = other.left - one.right
        if wide < 5:
            yield line(
                other.left - wide / 2, TOP - 4, other.left - wide / 2, bottom, stroke="hair", stroke_width=0.8
            )
            continue
        middle, half = (one.right + other.left) / 2, min(wide * 0.22, 3.0)
        mid = (TOP + bottom) / 2
        zigzag = (
            f"M{number(middle)} {number(TOP - 8)}V{number(mid - 9)}"
            f"l{number(half * 1.6)} 5l-{number(half * 3.2)} 8l{number(half * 1.6)} 5V{number(bottom)}"
        )
        yield path(zigzag, fill="none", stroke="faint", stroke_width=0.9)


def _course(of: Folded, step: Step, slot: Slot, y: float, pitch: float, size: float, critical: bool) -> Svg:
    high = pitch * 0.62
    top, base = y + (pitch - high) / 2, y + pitch / 2 + size * 0.36
    x, end = of.x(slot.begins), max(of.x(slot.ends), of.x(slot.begins) + 2.5)
    parts = [
        label(
            of.pieces[0].left - 10,
            base,
            _name(step),
            size=size,
            anchor="end",
            room=of.pieces[0].left - 30,
            told=False,
        ),
        box(x, top, end - x, high, fill=hatch("rises")),
    ]
    for begins, ends in slot.work:
        left = of.x(begins)
        parts.append(tag("rect", x=left, y=top, width=max(of.x(ends) - left, 2.0), height=high, fill="ink"))
    outline = f"M{number(x)} {number(top)}H{number(end)}V{number(top + high)}H{number(x)}z"
    if critical:
        wide = f"M{number(x - 2.4)} {number(top - 2.4)}H{number(end + 2.4)}V{number(top + high + 2.4)}H{number(x - 2.4)}z"
        parts.append(path(wide, fill="none", stroke="brick", stroke_width=1.3))
    parts.append(path(outline, fill="none", stroke="ink", stroke_width=0.9))
    if step.not_before is not None:
        parts.append(_flag(of.x(datetime.datetime.combine(step.not_before, datetime.time())), top, high))
    if slot.who and end + 8 + width_of(slot.who, 9.5) < of.pieces[-1].right:
        parts.append(label(end + 7, base - 0.5, slot.who, size=9.5, fill="faint", italic=True))
    says = (
        f"step {step.number}, {step.says}: {slot.begins:%a} {slot.begins.day} {slot.begins:%b %H:%M} to "
        f"{slot.ends:%a} {slot.ends.day} {slot.ends:%b %H:%M}{f', {slot.who}' if slot.who else ''}"
        f"{'; decides the end' if critical else ''}"
    )
    return thing(f"step {step.number}", *parts, says=says, word="step", state="stands")


def _flag(x: float, y: float, high: float) -> Svg:
    """A delivery: nothing begins before it."""
    return Svg(
        path(f"M{number(x)} {number(y - 2)}v{number(high + 4)}", fill="none", stroke="ink", stroke_width=1.4)
        + path(f"M{number(x)} {number(y - 2)}h9l-3 3.5l3 3.5h-9z", fill="ink")
    )


def _samples(plan: Plan, hours: bool, broken: bool) -> tuple[tuple[Svg, str], ...]:
    found = [
        (tag("rect", x=0, y=-11, width=27, height=11, fill="ink"), "somebody's hands are at it"),
        (box(0, -11, 27, 11, fill=hatch("rises"), stroke="ink", stroke_width=0.9), "goes on by itself"),
        (
            Svg(
                tag("rect", x=3, y=-10, width=21, height=9, fill="ink")
                + path("M0.6 -12.4H26.4V1.4H0.6z", fill="none", stroke="brick", stroke_width=1.3)
            ),
            "decides the end",
        ),
    ]
    if hours:
        found.append((tag("rect", x=0, y=-12, width=27, height=15, fill="stone"), "somebody works then"))
    if any(step.not_before for step in plan.steps):
        found.append((_flag(10, -11, 11), "delivered"))
    if broken:
        zigzag = "M13 -15V-9l4.8 3l-9.6 4l4.8 3V4"
        found.append((path(zigzag, fill="none", stroke="faint", stroke_width=0.9), "idle hours cut out"))
    return tuple(found)
