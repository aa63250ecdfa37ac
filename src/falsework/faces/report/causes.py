"""What of is a service out: which sets of parts stop it, and how much of its time is each?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.odds.result import MINUTES, CutSet, ServiceOdds
from falsework.faces.amounts import cut_said, minutes_said, often_said, orders_said, share_said
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key
from falsework.faces.report.svg import Svg, join, label, line, number, tag, thing, title, width_of

MOST_SETS = 8
"""Sets that have a bar; the others share one."""
PITCH = 21.0
_GAP = 44.0


def causes(services: Sequence[ServiceOdds], *, width: float = 1400) -> Panel:
    """The likeliest sets that stop some services, a block for each.

    Args:
        services: those to show, worst first.
        width: of the sheet.
    """
    abreast = max(min(int((width - 40 + _GAP) / (380 + _GAP)), max(len(services), 1), 3), 1)
    wide = (width - 40 - _GAP * (abreast - 1)) / abreast
    parts = [head("What of", "the smallest sets of parts that stop a service", _count(services), width)]
    y = 100.0
    for start in range(0, len(services), abreast):
        row = services[start : start + abreast]
        blocks = [_block(each, wide) for each in row]
        for place, (svg, _) in enumerate(blocks):
            x = 20 + (wide + _GAP) * place
            parts.append(tag("g", svg, transform=f"translate({number(x)} {number(y)})"))
        y += max(high for _, high in blocks) + 26
    samples = [
        (box(0, -11, 27, 13, fill=hatch("falls"), stroke="brick", stroke_width=1.1), "one part alone"),
        (box(0, -11, 27, 13, fill=hatch("thin"), stroke="ink", stroke_width=1.1), "only together"),
        (_open(0, -11, 27, 13), "whatever else, at most"),
    ]
    signs, y = key(samples, y + 2, width)
    parts.append(signs)
    return Panel(svg=join(parts), height=y + 4, says=f"The sets of parts that stop {_count(services)}")


def _count(services: Sequence[ServiceOdds]) -> str:
    return ", ".join(f"{each.service} {minutes_said(each.out.best)}" for each in services) or "no service"


def _block(each: ServiceOdds, wide: float) -> tuple[Svg, float]:
    """One service, drawn from the origin; its height comes back."""
    cuts = each.cut_sets.listed[:MOST_SETS]
    # What the listed ones do not explain; sets that are out at the same time count in each of them.
    rest = each.cut_sets.rest * MINUTES + sum(cut.minutes for cut in each.cut_sets.listed[MOST_SETS:])
    orders = orders_said(each.cut_sets) or "more sets than could be counted"
    size = 15.0
    start = width_of(each.service, size, bold=True) + 12
    parts = [
        label(0, 0, each.service, size=size, bold=True, room=wide * 0.5),
        label(
            min(start, wide * 0.5 + 12),
            0,
            orders,
            size=11.5,
            fill="faint",
            italic=True,
            room=wide - min(start, wide * 0.5 + 12),
        ),
        line(0, 8, wide, 8, stroke="ink", stroke_width=1.2),
    ]
    named = [(cut_said(cut), cut.minutes) for cut in cuts]
    if rest > 0:
        named.append(("whatever else", rest))
    names = min(max([width_of(name, 11.5) for name, _ in named] + [40.0]), wide * 0.45)
    said = [_said(minutes, each.out.best) for _, minutes in named]
    tail = max([width_of(text, 10.5) for text in said] + [40.0]) + 8
    room = max(wide - names - tail - 10, 20.0)
    most = max([minutes for _, minutes in named] + [1e-12])
    for place, ((name, minutes), text) in enumerate(zip(named, said, strict=True)):
        y = 14 + PITCH * place
        long = max(room * minutes / most, 1.5)
        mark = (
            _open(names + 10, y + 4, long, 11)
            if place >= len(cuts)
            else _bar(cuts[place], names + 10, y + 4, long)
        )
        row = [
            label(names, y + 13.5, name, size=11.5, anchor="end", room=names, told=False),
            mark,
            label(names + 10 + long + 6, y + 13.5, text, size=10.5, fill="faint", italic=True),
        ]
        if place < len(cuts):
            cut = cuts[place]
            says = f"{each.service}: {name}: {minutes_said(minutes)} a year, {often_said(cut.per_year)}"
            row.insert(0, title(says))
            parts.append(
                thing(
                    " ".join(out.name for out in cut.out), *row[1:], says=says, word="cut set", state="falls"
                )
            )
        else:
            parts.append(tag("g", *row))
    if not named:
        parts.append(label(0, 28, "nothing stops it", size=11.5, fill="faint", italic=True))
    return join(parts), 20 + PITCH * max(len(named), 1)


def _said(minutes: float, whole: float) -> str:
    share = f" · {share_said(min(minutes / whole, 1.0))}" if whole > 0 else ""
    return f"{minutes_said(minutes)}{share}"


def _bar(cut: CutSet, x: float, y: float, wide: float) -> Svg:
    alone = len(cut.out) == 1
    return box(
        x,
        y,
        wide,
        11,
        fill=hatch("falls" if alone else "thin"),
        stroke="brick" if alone else "ink",
        stroke_width=1.1,
    )


def _open(x: float, y: float, wide: float, high: float) -> Svg:
    return box(x, y, wide, high, fill="paper", stroke="faint", stroke_width=1.1, stroke_dasharray="4 2.5")
