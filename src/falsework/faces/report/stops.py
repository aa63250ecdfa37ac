"""Which ways are there to stop a service, each drawn as a small elevation?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.odds.result import CutSet, ServiceOdds
from falsework.faces.amounts import cut_said, minutes_said, often_said
from falsework.faces.report.panel import Panel, head
from falsework.faces.report.small import HIGH, lines_of, small
from falsework.faces.report.svg import Svg, join, label, line, number, tag, thing
from falsework.support.standing import Standing

MOST = 6
"""Ways that are drawn for a service; the others are in its list."""
LEAST_WIDE = 196.0
_GAP = 22.0
_LINES = 3


def stops(standing: Standing, services: Sequence[ServiceOdds], *, width: float = 1400) -> Panel:
    """The likeliest ways to stop some services, a row for each.

    Args:
        standing: the lab.
        services: those to show, worst first.
        width: of the sheet.
    """
    abreast = max(min(int((width - 40 + _GAP) / (LEAST_WIDE + _GAP)), MOST), 1)
    wide = (width - 40 - _GAP * (abreast - 1)) / abreast
    what = "what is struck through is out, and the service with it"
    parts = [
        head(
            "Ways to stop it",
            what,
            "the likeliest first; legs are copies, each above its machine; wire and power below",
            width,
        )
    ]
    y = 100.0
    for each in services:
        cuts = each.cut_sets.listed[: abreast if abreast > 2 else 4]
        if not cuts:
            continue
        parts.append(label(20, y, each.service, size=15, bold=True, room=width - 40))
        parts.append(line(20, y + 8, width - 20, y + 8, stroke="ink", stroke_width=1.2))
        y += 20
        for start in range(0, len(cuts), abreast):
            row = cuts[start : start + abreast]
            for place, cut in enumerate(row):
                x = 20 + (wide + _GAP) * place
                drawn = _one(standing, each.service, cut, wide)
                parts.append(tag("g", drawn, transform=f"translate({number(x)} {number(y)})"))
            y += HIGH + 34 + 14 * max(len(_lines(cut, wide)) for cut in row)
        y += 18
    return Panel(svg=join(parts), height=y - 18, says=f"The likeliest ways to stop {_named(services)}")


def _named(services: Sequence[ServiceOdds]) -> str:
    return ", ".join(each.service for each in services) or "nothing"


def _lines(cut: CutSet, wide: float) -> list[str]:
    return lines_of(cut_said(cut), 11, wide - 4, _LINES)


def _one(standing: Standing, service: str, cut: CutSet, wide: float) -> Svg:
    """One way, with its minutes and the names of what is out below it."""
    said = cut_said(cut)
    caption = [
        label(
            wide / 2, HIGH + 14, f"{minutes_said(cut.minutes)} a year", size=12.5, anchor="middle", bold=True
        ),
    ]
    for number_, text in enumerate(_lines(cut, wide)):
        caption.append(label(wide / 2, HIGH + 30 + 14 * number_, text, size=11, anchor="middle", room=wide))
    says = (
        f"{service} stops when {said} is out: {minutes_said(cut.minutes)} a year, {often_said(cut.per_year)}"
    )
    names = " ".join(out.name for out in cut.out)
    return thing(
        names, small(standing, service, cut, width=wide), *caption, says=says, word="cut set", state="falls"
    )
