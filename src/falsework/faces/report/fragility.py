"""What hangs on a single part after every step, under which stand-ins, and where is it worst?

A column a step. Above the line stand the parts that alone stop something: finely hatched those that do so in the
finished lab too, heavily those that will not. Below it each stand-in is a band on struts, from the step that sets
it up to the one that takes it away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from falsework.analyses.raising.result import Doing, Fragile, Plan, Schedule
from falsework.analyses.raising.telling import passing, stretch
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key
from falsework.faces.report.svg import Svg, join, label, line, number, path, tag, thing, title, width_of
from falsework.units import format_time

TOP = 128.0
HIGH = 170.0
"""Height of the curve."""
ROW = 30.0
MOST_ROWS = 12
"""Stand-ins that have a row; the rest are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """A column for how the lab is before the first step and after each.

    Attributes:
        left, right: where the first begins and the last ends.
        numbers: the step that each comes after.
    """

    left: float
    right: float
    numbers: tuple[int, ...]

    def at(self, step: int, *, end: bool = False) -> float:
        """Where the column of a step begins, or ends."""
        wide = (self.right - self.left) / len(self.numbers)
        return self.left + wide * (self.numbers.index(step) + (1 if end else 0))


def fragility(
    plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None = None, *, width: float = 1400
) -> Panel:
    """The curve, the stand-ins under it, and the ground with its steps and days.

    Args:
        plan: the order of work, with steps.
        fragile: how the lab is after each step.
        schedule: its calendar; gives the days under the ground.
        width: of the sheet.
    """
    lent = list(dict.fromkeys(_lent(plan)))
    rows = lent[:MOST_ROWS]
    names = min(max([width_of(each, 12) for each in (*rows, "single points")]) + 16, width * 0.2)
    columns = Columns(left=20 + names, right=width - 24, numbers=(0, *(step.number for step in plan.steps)))
    base = TOP + HIGH
    ground = base + 30 + ROW * len(rows) + 10
    worst = stretch(plan, fragile, schedule)
    parts = [head("What hangs on one part", "after every step of the build", _count(plan, fragile), width)]
    if worst is not None:
        parts.append(_stretch(columns, worst.first, worst.last, format_time(worst.seconds), ground))
    parts.extend(_curve(columns, fragile, base))
    parts.append(_margin(columns, fragile, base + 12))
    for place, name in enumerate(rows):
        parts.append(_row(columns, plan, name, base + 34 + ROW * place, ground))
    parts.append(_ground(columns, plan, schedule, ground))
    signs, y = key(_samples(bool(rows), worst is not None), ground + (62 if schedule else 46), width)
    parts.append(signs)
    if len(lent) > len(rows):
        y += 20
        more = f"{len(lent) - len(rows)} more stand-ins have no row."
        parts.append(label(20, y, more, size=10.5, italic=True, fill="faint"))
    return Panel(
        svg=join(parts),
        height=y + 4,
        says=f"What hangs on one part after every step: {_count(plan, fragile)}",
    )


def _lent(plan: Plan) -> Iterator[str]:
    yield from (name for step in plan.steps if step.doing is Doing.LEND for name in step.things)


def _count(plan: Plan, fragile: Sequence[Fragile]) -> str:
    most = max(fragile, key=lambda each: len(each.singles), default=None)
    said = (
        f"{len(plan.steps)} steps · {len(plan.stand_ins)} stand-in{'' if len(plan.stand_ins) == 1 else 's'}"
    )
    if most is None or not most.singles:
        return f"{said} · never does anything that serves hang on one part"
    return f"{said} · at most {len(most.singles)} parts at once, after step {most.step}; {most.singles[0].part} stops most"


def _stretch(columns: Columns, first: int, last: int, lasts: str, ground: float) -> Svg:
    x, end = columns.at(first), columns.at(last, end=True)
    says = f"longest fragile stretch, {lasts}"
    bracket = f"M{number(x)} {number(TOP - 4)}v-7H{number(end)}v7"
    room = width_of(says, 11.5)
    at = min(max((x + end) / 2, columns.left + room / 2), columns.right - room / 2)
    return Svg(
        tag("rect", x=x, y=TOP - 4, width=end - x, height=ground - TOP + 4, fill="stone")
        + path(bracket, fill="none", stroke="ink", stroke_width=1.4)
        + label(at, TOP - 16, says, size=11.5, italic=True, anchor="middle")
    )


def _curve(columns: Columns, fragile: Sequence[Fragile], base: float) -> Iterator[Svg]:
    """Bars under one outline, column by column; equal neighbours are one."""
    after = {each.step: each for each in fragile}
    more = passing(fragile)
    most = max([len(each.singles) for each in fragile] + [1])
    unit = HIGH / most
    for tick in _ticks(most):
        y = base - tick * unit
        yield line(columns.left, y, columns.right, y, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4")
        yield label(columns.left - 8, y + 4, str(tick), size=10.5, fill="faint", anchor="end")
    yield label(columns.left - 8, TOP - 14, "single points", size=10.5, fill="faint", anchor="end")
    heights = []
    for step in columns.numbers:
        whole = len(after[step].singles) if step in after else 0
        heights.append((whole, min(len(more.get(step, ())), whole)))
    outline = f"M{number(columns.left)} {number(base)}"
    for (whole, new), run in groupby(zip(heights, columns.numbers, strict=True), key=lambda pair: pair[0]):
        numbers = [step for _, step in run]
        x, end = columns.at(numbers[0]), columns.at(numbers[-1], end=True)
        outline += f"V{number(base - whole * unit)}H{number(end)}"
        if whole > new:
            yield box(x, base - (whole - new) * unit, end - x, (whole - new) * unit, fill=hatch("rises"))
        if new:
            yield box(x, base - whole * unit, end - x, new * unit, fill=hatch("falls"))
            if whole > new:
                y = base - (whole - new) * unit
                yield line(x, y, end, y, stroke="brick", stroke_width=0.8)
    yield path(f"{outline}V{number(base)}", fill="none", stroke="ink", stroke_width=1.6)
    for step in columns.numbers:
        if step in after and after[step].singles:
            x, end = columns.at(step), columns.at(step, end=True)
            said = ", ".join(single.part for single in after[step].singles[:8])
            rest = len(after[step].singles) - 8
            words = f"after step {step}: {said}{f' and {rest} more' if rest > 0 else ''}"
            clear = tag(
                "rect", x=x, y=TOP, width=end - x, height=base - TOP, fill="none", pointer_events="all"
            )
            yield tag("g", title(words), clear)
    yield line(columns.left - 4, base, columns.right, base, stroke="ink", stroke_width=1.6)


def _ticks(most: int) -> tuple[int, ...]:
    step = next(each for each in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 10**9) if most / each <= 5)
    return tuple(range(step, most + 1, step))


def _margin(columns: Columns, fragile: Sequence[Fragile], y: float) -> Svg:
    """How many failures stop something: none serves, one, or two and more."""
    margin = {each.step: each.margin for each in fragile}
    parts = [label(columns.left - 8, y + 8, "margin", size=10.5, fill="faint", anchor="end")]
    for value, run in groupby(columns.numbers, key=lambda step: margin.get(step, 0)):
        numbers = list(run)
        x, end = columns.at(numbers[0]), columns.at(numbers[-1], end=True)
        if value == 0:
            parts.append(line(x, y + 4, end, y + 4, stroke="faint", stroke_width=1, stroke_dasharray="1.5 3"))
        elif value == 1:
            parts.append(box(x, y, end - x, 8, fill=hatch("falls"), stroke="brick", stroke_width=0.9))
        else:
            parts.append(tag("rect", x=x, y=y, width=end - x, height=8, fill="ink"))
        words = {0: "nothing serves yet", 1: "one failure stops something"}.get(
            value, "two failures or more to stop anything"
        )
        if end - x > width_of(words, 9.5) + 12 and value == 0:
            parts.append(
                label((x + end) / 2, y - 1, words, size=9.5, fill="faint", anchor="middle", italic=True)
            )
    return join(parts)


def _row(columns: Columns, plan: Plan, name: str, y: float, ground: float) -> Svg:
    """A stand-in: its legs, its band while it is set up, what it hands over and when."""
    begins = next(step.number for step in plan.steps if step.doing is Doing.LEND and name in step.things)
    retires = [step.number for step in plan.steps if step.doing is Doing.RETIRE and name in step.things]
    x = columns.at(begins)
    end = columns.at(retires[0]) if retires else columns.right
    high = 13.0
    parts = [
        label(columns.left - 8, y + 11, name, size=12, anchor="end", room=columns.left - 34, told=False),
        box(x, y, end - x, high, fill=hatch("out"), stroke="faint", stroke_width=1, stroke_dasharray="3 2"),
    ]
    cut = [step for step in plan.steps if step.of == name and step.doing is not Doing.RETIRE]
    for _, run in groupby(enumerate(cut), key=lambda pair: pair[1].number - pair[0]):
        steps = [step for _, step in run]
        left, right = columns.at(steps[0].number), columns.at(steps[-1].number, end=True)
        parts.append(box(left, y - 1.5, right - left, high + 3, fill="paper", stroke="ink", stroke_width=1.4))
    parts.extend(
        _diamond(columns.at(step.number), columns.at(step.number, end=True), y + high / 2)
        for step in cut
        if step.doing is Doing.HAND_OVER
    )
    parts.insert(0, _legs((x + 1, *([end - 5] if retires else [])), y + high, ground))
    if not retires:
        parts.append(
            path(f"M{number(end)} {number(y)}l6 {number(high / 2)}l-6 {number(high / 2)}", fill="ink")
        )
    over = [each for step in cut if step.doing is Doing.HAND_OVER for each in step.things]
    says = (
        f"{name}: set up in step {begins}, "
        f"{f'taken away in step {retires[0]}' if retires else 'never taken away'}"
        f"{'; hands over ' + ', '.join(over) if over else ''}"
    )
    return thing(name, *parts, says=says, word="stand-in", state="stands" if retires else "falls")


def _legs(at: Sequence[float], top: float, ground: float) -> Svg:
    """What a stand-in stands on: a light strut at each end, as of scaffolding."""
    d = "".join(f"M{number(x)} {number(top)}V{number(ground)}m4 0V{number(top)}" for x in at)
    return path(d, fill="none", stroke="faint", stroke_width=0.9, stroke_dasharray="3 2")


def _diamond(left: float, right: float, y: float) -> Svg:
    x, half = (left + right) / 2, max(min((right - left) * 0.42, 6.0), 2.4)
    h = number(half)
    return path(f"M{number(x)} {number(y - half)}l{h} {h}l-{h} {h}l-{h} -{h}z", fill="ink")


def _ground(columns: Columns, plan: Plan, schedule: Schedule | None, y: float) -> Svg:
    """The line that all stands on, numbered by steps, with the days below."""
    left, right = columns.left - 4, columns.right + 6
    parts = [line(left, y, right, y, stroke="ink", stroke_width=2.4)]
    teeth = "".join(
        f"M{number(left + 8 * each)} {number(y)}l-6 8" for each in range(1, int((right - left) / 8) + 1)
    )
    parts.append(path(teeth, fill="none", stroke="ink", stroke_width=0.8))
    last = -1e9
    for step in plan.steps:
        x = (columns.at(step.number) + columns.at(step.number, end=True)) / 2
        room = width_of(str(step.number), 10.5)
        if x - last > room + 7 and (step.number == 1 or step.number % 5 == 0 or len(plan.steps) <= 40):
            parts.append(label(x, y + 21, str(step.number), size=10.5, fill="faint", anchor="middle"))
            last = x
    parts.append(label(columns.left - 8, y + 21, "step", size=10.5, fill="faint", anchor="end"))
    if schedule is not None:
        parts.append(label(columns.left - 8, y + 38, "done on", size=10.5, fill="faint", anchor="end"))
        ends = {slot.step: slot.ends for slot in schedule.slots}
        free, shown = -1e9, None
        for step in plan.steps:
            day = ends[step.number].date()
            x = columns.at(step.number)
            if day != shown:
                says = f"{day.day} {day:%b}"
                if x >= free and x + 4 + width_of(says, 10.5) <= right + 14:
                    parts.append(line(x, y + 27, x, y + 40, stroke="hair", stroke_width=1))
                    parts.append(label(x + 4, y + 38, says, size=10.5, fill="faint"))
                    free = x + width_of(says, 10.5) + 12
                shown = day
    return join(parts)


def _samples(lent: bool, shaded: bool) -> tuple[tuple[Svg, str], ...]:
    found = [
        (
            box(0, -11, 27, 13, fill=hatch("falls"), stroke="ink", stroke_width=1.1),
            "alone stops something that will not hang on it in the end",
        ),
        (
            box(0, -11, 27, 13, fill=hatch("rises"), stroke="ink", stroke_width=1.1),
            "does so in the finished lab too",
        ),
        (tag("rect", x=0, y=-8, width=27, height=8, fill="ink"), "margin of two failures or more"),
    ]
    if lent:
        found.append(
            (
                Svg(
                    box(
                        4,
                        -11,
                        23,
                        9,
                        fill=hatch("out"),
                        stroke="faint",
                        stroke_width=1,
                        stroke_dasharray="3 2",
                    )
                    + _legs((1, 22), -2, 5)
                ),
                "stand-in",
            )
        )
        found.append(
            (
                Svg(
                    box(0, -11, 27, 13, fill="paper", stroke="ink", stroke_width=1.4) + _diamond(6, 21, -4.5)
                ),
                "cut-over, and when it hands over",
            )
        )
    if shaded:
        found.append((tag("rect", x=0, y=-12, width=27, height=15, fill="stone"), "longest fragile stretch"))
    return tuple(found)
