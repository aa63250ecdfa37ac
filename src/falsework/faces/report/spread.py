"""How do years of a service differ: its middle ones, its bad ones, and those without any outage?

Each service has a row of nested bars: half of all years lie in the inner one, nine of ten in the outer, and a
thread leads on to the year that only one in a hundred passes.
"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.years.result import PERCENTS, ServiceYears, Years
from falsework.faces.amounts import minutes_said, share_said
from falsework.faces.report.axis import Axis, axis, drawn
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, number, path, thing, width_of

MOST_ROWS = 40
TOP = 112.0
PITCH = 25.0


def years_sheet(found: Years, *, width: float = 1400, prefix: str = "years") -> str:
    """Drawn years as one SVG.

    Args:
        found: the years.
        width: of the sheet, in px; the height follows.
        prefix: of the styles in the drawing; two drawings on one page need two.
    """
    return stacked(prefix, width, [spread(found, width=width)])


def spread(found: Years, *, width: float = 1400) -> Panel:
    """A row of nested bars for each service, worst first.

    Args:
        found: the years.
        width: of the sheet.
    """
    ranked = sorted(found.services, key=lambda each: (-_percentiles(each)[95], -each.mean_min))
    shown = ranked[:MOST_ROWS]
    names = min(max([width_of(each.service, 13) for each in shown] + [60.0]), width * 0.2)
    said = [_said(each, width) for each in shown]
    words = min(max([width_of(text, 11.5) for text in said] + [60.0]), width * 0.36) + 14
    left = 20 + names + 12
    values = [value for each in shown for value in (*each.percentiles_min, each.mean_min)]
    of = axis(values, left=left + 10, right=width - 20 - words, log=True)
    bottom = TOP + PITCH * len(shown)
    count = f"{found.years:,} years drawn, seed {found.seed} · {len(found.services)} services, worst first"
    parts = [head("How years differ", "minutes down in a year", count, width), drawn(of, TOP - 8, bottom)]
    for place, (each, text) in enumerate(zip(shown, said, strict=True)):
        parts.append(_row(of, each, text, TOP + PITCH * place, width))
    foot, y = key(_samples(), bottom + 28, width)
    parts.append(foot)
    notes = [
        "Each mark is several times the one before; what lies at the left end is less, or nothing at all."
    ]
    if len(ranked) > len(shown):
        notes.append(f"{len(ranked) - len(shown)} quieter services have no row.")
    for note in notes:
        y += 20
        parts.append(label(20, y, note, size=10.5, italic=True, fill="faint", room=width - 40))
    return Panel(svg=join(parts), height=y + 4, says=f"How years differ, a row for each service: {count}")


def _percentiles(each: ServiceYears) -> Mapping[int, float]:
    return dict(zip(PERCENTS, each.percentiles_min, strict=True))


def _said(each: ServiceYears, width: float) -> str:
    bad = minutes_said(_percentiles(each)[95])
    if width < 620:
        return bad
    middle = minutes_said(_percentiles(each)[50])
    text = f"middle {middle} · bad {bad}"
    return f"{text} · {share_said(each.spotless)} without any" if width >= 900 else text


def _row(of: Axis, each: ServiceYears, text: str, y: float, width: float) -> Svg:
    middle = y + PITCH / 2
    says = (
        f"{each.service}: mean {minutes_said(each.mean_min)} a year; half of years within "
        f"{minutes_said(_percentiles(each)[50])}, 95 of 100 within {minutes_said(_percentiles(each)[95])}; "
        f"{share_said(each.spotless)} of years without any"
    )
    parts = [
        label(of.left - 20, middle + 4.4, each.service, size=13, anchor="end", room=of.left - 40, told=False),
        label(
            of.right + 14,
            middle + 4.4,
            text,
            size=11.5,
            fill="faint",
            italic=True,
            room=width - of.right - 26,
            told=False,
        ),
        fan(of, each, middle),
    ]
    return thing(each.service, *parts, says=says, word="service", state="stands")


def fan(of: Axis, each: ServiceYears, y: float) -> Svg:
    """The nested bars of one service, around a middle line."""
    at = {percent: of.x(minutes) for percent, minutes in _percentiles(each).items()}
    parts = []
    if at[99] > at[95]:
        parts.append(line(at[95], y, at[99], y, stroke="ink", stroke_width=1.2))
        parts.append(line(at[99], y - 3.5, at[99], y + 3.5, stroke="ink", stroke_width=1.2))
    if at[95] > at[5]:
        parts.append(box(at[5], y - 4, at[95] - at[5], 8, fill=hatch("rises"), stroke="ink", stroke_width=1))
    if at[75] > at[25]:
        parts.append(
            box(at[25], y - 6.5, at[75] - at[25], 13, fill=hatch("falls"), stroke="brick", stroke_width=1.1)
        )
    parts.append(line(at[50], y - 8.5, at[50], y + 8.5, stroke="paper", stroke_width=5))
    parts.append(line(at[50], y - 8.5, at[50], y + 8.5, stroke="ink", stroke_width=2.6))
    parts.append(_diamond(of.x(each.mean_min), y))
    return join(parts)


def _diamond(x: float, y: float) -> Svg:
    """The mean: far to the right of the middle where a rare, long outage makes most of it."""
    return path(f"M{number(x)} {number(y - 5)}l5 5l-5 5l-5 -5z", fill="paper", stroke="ink", stroke_width=1.4)


def _samples() -> tuple[tuple[Svg, str], ...]:
    return (
        (
            join(
                [
                    line(13, -13, 13, 4, stroke="ink", stroke_width=2.6),
                ]
            ),
            "the middle year",
        ),
        (box(0, -11, 27, 13, fill=hatch("falls"), stroke="brick", stroke_width=1.1), "half of all years"),
        (box(0, -8.5, 27, 8, fill=hatch("rises"), stroke="ink", stroke_width=1), "nine years of ten"),
        (
            Svg(
                line(0, -4.5, 26, -4.5, stroke="ink", stroke_width=1.2)
                + line(26, -8, 26, -1, stroke="ink", stroke_width=1.2)
            ),
            "passed in one year of a hundred",
        ),
        (_diamond(13, -4.5), "the mean of all years"),
    )
