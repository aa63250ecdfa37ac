"""How many minutes a year is each service out, of what, how surely, and against which aim?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.odds.result import Odds, ServiceOdds
from falsework.faces.amounts import lasting_said, minutes_said, often_said, range_said
from falsework.faces.limits import passed
from falsework.faces.report.axis import Axis, axis, drawn
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key
from falsework.faces.report.svg import Svg, join, label, line, number, path, thing, width_of

MOST_ROWS = 40
"""What still reads on one sheet; the rest is counted."""
TOP = 112.0
"""Where the rows begin."""
_KINDS = (
    ("falls", "out until somebody mends something"),
    ("rises", "coming up again after that"),
    ("blinks", "interrupted, returns by itself"),
    ("stumbles", "a take-over or restart that did not work"),
)


def minutes(found: Odds, limits: Mapping[str, float], *, width: float = 1400) -> Panel:
    """A bar for each service, worst first.

    Args:
        found: how often and how long.
        limits: minutes a year that aims allow, by service.
        width: of the sheet.
    """
    shown = found.services[:MOST_ROWS]
    names = min(max([width_of(each.service, 13) for each in shown] + [60.0]), width * 0.2)
    said = [_said(each, width) for each in shown]
    words = min(max([width_of(text, 11.5) for text in said] + [60.0]), width * 0.36) + 14
    left = 20 + names + 12
    values = [value for each in shown for value in (each.minutes.best, each.minutes.high)]
    values.extend(limits[each.service] for each in shown if each.service in limits)
    lowest = [each.minutes.low for each in shown]
    of = axis([*values, *lowest], left=left, right=width - 20 - words)
    pitch = 27.0 if len(shown) <= 24 else 21.0
    bottom = TOP + pitch * len(shown)
    parts = [
        head("How often, how long", "expected time out in a year", _count(found), width),
        drawn(of, TOP - 8, bottom),
    ]
    for number_, (each, text) in enumerate(zip(shown, said, strict=True)):
        parts.append(_row(of, each, text, limits.get(each.service), TOP + pitch * number_, pitch, width))
    foot, y = _foot(found, shown, limits, of, bottom + 28, width)
    parts.append(foot)
    return Panel(
        svg=join(parts), height=y + 4, says=f"Time out in a year, a bar for each service: {_count(found)}"
    )


def _count(found: Odds) -> str:
    if not found.services:
        return "no services"
    worst = found.services[0]
    said = f"{len(found.services)} services, worst first · {worst.service} {minutes_said(worst.minutes.best)}"
    if found.draws:
        said += f" · ranges: 5 to 95 percent of {found.draws:,} draws"
    return said


def _said(each: ServiceOdds, width: float) -> str:
    text = minutes_said(each.minutes.best)
    if width < 620:
        return text
    if range_said(each.minutes):
        text += f" ({range_said(each.minutes)})"
    if width < 900 or not each.per_year:
        return text
    return f"{text} · {often_said(each.per_year)}, {lasting_said(each.lasts_s)}"


def _row(
    of: Axis, each: ServiceOdds, text: str, limit: float | None, y: float, pitch: float, width: float
) -> Svg:
    high = min(pitch * 0.46, 12.0)
    ranged = each.minutes.low < each.minutes.high
    top = y + (pitch - high) / 2 - (2.5 if ranged else 0)
    base = top + high / 2 + 4.4
    over = passed(each, limit)
    shade = "brick" if over else "ink"
    parts = [
        label(
            of.left - 10,
            base,
            each.service,
            size=13,
            fill=shade,
            anchor="end",
            bold=over,
            room=of.left - 30,
            told=False,
        ),
        label(
            of.right + 14,
            base,
            text,
            size=11.5,
            fill="faint",
            italic=True,
            room=width - of.right - 26,
            told=False,
        ),
        bar(of, (each.out.best, each.rise_minutes, each.blink_minutes, each.stumble_minutes), top, high),
    ]
    if ranged:
        parts.append(whisker(of, each.minutes.low, each.minutes.high, top + high + 4, 2.6))
    if limit is not None:
        parts.append(gate(of.x(limit), y + 1.5, pitch - 3, shade))
    limited = f"; an aim allows {minutes_said(limit)}" if limit is not None else ""
    says = f"{each.service}: {minutes_said(each.minutes.best)} a year; stops {often_said(each.per_year)}{limited}"
    return thing(each.service, *parts, says=says, word="service", state="falls" if over else "stands")


def bar(of: Axis, kinds: tuple[float, float, float, float], y: float, high: float) -> Svg:
    """The minutes of one service by kind; on an axis by powers of ten, the shares of the bar are those of the minutes."""
    whole = sum(kinds)
    if whole <= 0:
        return Svg("")
    start, end = of.x(of.low), max(of.x(whole), of.x(of.low) + 2)
    parts, x = [], start
    for (name, _), value in zip(_KINDS, kinds, strict=True):
        wide = (end - start) * value / whole
        if wide > 0.2:
            parts.append(box(x, y, wide, high, fill=hatch(name)))
            if x > start:
                parts.append(line(x, y, x, y + high, stroke="ink", stroke_width=1))
        x += wide
    outline = f"M{number(start)} {number(y)}h{number(end - start)}v{number(high)}h-{number(end - start)}z"
    parts.append(path(outline, fill="none", stroke="ink", stroke_width=1.2))
    return join(parts)


def whisker(of: Axis, low: float, high: float, y: float, half: float) -> Svg:
    """A range: a line with an end at each side."""
    d = (
        f"M{number(of.x(low))} {number(y - half)}v{number(2 * half)}m0 -{number(half)}"
        f"H{number(of.x(high))}m0 -{number(half)}v{number(2 * half)}"
    )
    return path(d, fill="none", stroke="ink", stroke_width=1.5)


def gate(x: float, y: float, high: float, shade: str) -> Svg:
    """The most that an aim allows: a post across the row with a flag on top."""
    d = f"M{number(x)} {number(y)}v{number(high)}"
    flag = f"M{number(x - 5)} {number(y)}h10l-5 6z"
    return Svg(
        path(d, fill="none", stroke="paper", stroke_width=5)
        + path(d, fill="none", stroke=shade, stroke_width=2.2)
        + path(flag, fill=shade)
    )


def _foot(
    found: Odds, shown: tuple[ServiceOdds, ...], limits: Mapping[str, float], of: Axis, y: float, width: float
) -> tuple[Svg, float]:
    there = [
        any(each.out.best > 0 for each in shown),
        any(each.rise_minutes > 0 for each in shown),
        any(each.blink_minutes > 0 for each in shown),
        any(each.stumble_minutes > 0 for each in shown),
    ]
    samples = [
        (box(0, -11, 27, 13, fill=hatch(name), stroke="ink", stroke_width=1.1), says)
        for (name, says), any_ in zip(_KINDS, there, strict=True)
        if any_
    ]
    if any(each.minutes.low < each.minutes.high for each in shown):
        plain = Axis(left=0, right=27, low=0, high=1, log=False, ticks=())
        samples.append((whisker(plain, 0.05, 0.95, -4.5, 4.5), "5 to 95 percent of what is believed"))
    if any(each.service in limits for each in shown):
        samples.append((gate(13, -13, 17, "ink"), "the most that an aim allows"))
    signs, y = key(samples, y, width)
    parts = [signs]
    notes = []
    if of.log:
        notes.append(
            "Each mark is several times the one before; within a bar, lengths are shares of its minutes."
        )
    notes.append("Planned work is not in the bars.")
    if len(found.services) > len(shown):
        left = found.services[len(shown)]
        notes.append(
            f"{len(found.services) - len(shown)} services have no row, none above {minutes_said(left.minutes.best)}."
        )
    for each in notes if width < 900 else [" ".join(notes)]:
        y += 20
        parts.append(label(20, y, each, size=10.5, italic=True, fill="faint", room=width - 40))
    return join(parts), y
