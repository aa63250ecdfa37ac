"""What stops one service, how often, for how long, and which part weighs how much?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.odds.result import MINUTES, Odds, ServiceOdds
from falsework.faces.amounts import (
    bounds_said,
    cut_said,
    figure_said,
    lasting_said,
    minutes_said,
    often_said,
    orders_said,
    range_said,
)
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.table import table
from falsework.faces.limits import passed
from falsework.faces.odds_words import nothing_listed

MOST_WEIGHTS = 10
MOST_HANGS = 6
NOTES = (
    "Birnbaum: the chance that it decides whether the service is out; criticality: that, times its own chance to be "
    "out, by the service's; F-V (Fussell-Vesely): the chance that it is out when the service is; RAW, RRW (risk "
    "achievement and reduction worth): by how many times the service would be out more if it were always out, and "
    "less if it never were."
)


def detail(each: ServiceOdds, found: Odds, *, limit: float | None, most: int) -> Iterator[Line]:
    """Everything about one service.

    Args:
        each: the service.
        found: where it comes from.
        limit: minutes a year that an aim allows.
        most: how many cut sets are shown.
    """
    ranged = range_said(each.minutes)
    more = f"; 5 to 95 percent: {ranged}" if ranged else ""
    over = passed(each, limit)
    yield Line(
        f"{each.service}: {minutes_said(each.minutes.best)} a year expected{more}",
        style="broken" if over else "head",
    )
    yield Line()
    yield from _made_of(each)
    if limit is not None:
        said = "passed" if over else "kept"
        yield _row("aim", f"under {minutes_said(limit)} a year: {said}")
    yield from _sets(each, most)
    yield from _weights(each)
    if each.hangs:
        from falsework.faces.cli.odds_lines import hangs_lines

        yield Line()
        yield Line(f"What it hangs on most, in shares of its spread over {found.draws:,} draws:")
        yield from hangs_lines(each.hangs[:MOST_HANGS])


def _row(label: str, text: str) -> Line:
    return labelled(label, text, width=13)


def _made_of(each: ServiceOdds) -> Iterator[Line]:
    if each.exact:
        sure = "exact, given the figures"
    else:
        sure = f"{bounds_said(each.out_lower, each.out_upper)}, given the figures"
    yield _row("out", f"{minutes_said(each.out.best)} a year, {sure}")
    if each.per_year > 0:
        lasts = f", for {lasting_said(each.lasts_s)} each time" if each.lasts_s else ""
        yield _row("", f"{often_said(each.per_year)}{lasts}, until somebody mends something")
    if each.rise_minutes > 0:
        yield _row("coming up", f"{minutes_said(each.rise_minutes)} a year, once what was out is mended")
    if each.blinks_per_year > 0 or each.blink_minutes > 0:
        yield _row(
            "interrupted",
            f"{minutes_said(each.blink_minutes)} a year, {often_said(each.blinks_per_year)}; returns by itself",
        )
    if each.stumble_minutes > 0:
        yield _row(
            "stumbled",
            f"{minutes_said(each.stumble_minutes)} a year, where a take-over or restart does not work when asked for",
        )
    if each.upkeep_minutes > 0:
        yield _row(
            "planned", f"at most {minutes_said(each.upkeep_minutes)} a year of upkeep, not counted above"
        )


def _sets(each: ServiceOdds, most: int) -> Iterator[Line]:
    cuts = each.cut_sets
    yield Line()
    counted = orders_said(cuts)
    if not cuts.listed:
        yield Line(nothing_listed(each))
        return
    shown = cuts.listed[:most]
    likeliest = "; the likeliest:" if (cuts.total or len(cuts.listed) + 1) > len(shown) else ":"
    yield Line(f"What stops it, the smallest sets of parts: {counted or 'too many to count'}{likeliest}")
    yield from table(
        ("a year", "how often", "out together"),
        [(minutes_said(cut.minutes), often_said(cut.per_year), cut_said(cut)) for cut in shown],
        right=(0,),
    )
    kept = len(cuts.listed) - len(shown)
    if kept:
        yield labelled("", f"{kept:,} more are listed with --most {len(cuts.listed)}", width=2)
    if cuts.rest > 0:
        yield labelled(
            "", f"whatever else: at most {minutes_said(cuts.rest * MINUTES)} a year together", width=2
        )


def _weights(each: ServiceOdds) -> Iterator[Line]:
    shown = each.weights[:MOST_WEIGHTS]
    if not shown:
        return
    yield Line()
    yield Line("What each part weighs, what helps most first:")
    yield from table(
        ("less a year", "Birnbaum", "criticality", "F-V", "RAW", "RRW", "if it never failed"),
        [
            (
                minutes_said(weight.minutes_off),
                figure_said(weight.birnbaum),
                figure_said(weight.criticality),
                figure_said(weight.fussell_vesely),
                figure_said(weight.achievement),
                figure_said(weight.reduction),
                weight.name,
            )
            for weight in shown
        ],
        right=(0, 1, 2, 3, 4, 5),
    )
    rest = len(each.weights) - len(shown)
    if rest:
        yield labelled("", f"{rest:,} more, each less; --json lists them", width=2)
    yield Line(NOTES, style="quiet")
