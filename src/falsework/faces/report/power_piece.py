"""What does the report say of power?"""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from falsework.analyses.power.result import Feeds
from falsework.analyses.power.telling import (
    FEEDS_HEAD,
    SUPPLIES_HEAD,
    alike,
    feed_row,
    headline,
    lasting_says,
    over_mend,
    over_says,
    ranked,
    small_mend,
    small_says,
    supplies_row,
    va_mend,
    va_says,
)
from falsework.analyses.power.whole import Power
from falsework.errors import few
from falsework.faces.report.chances import Figure
from falsework.faces.report.feeds import feeds_sheet
from falsework.faces.report.piece import Piece, Table
from falsework.findings.finding import POWER_CAUTION
from falsework.model.lab import Lab

MOST_ROWS = 12
MOST_SAID = 6


def power_piece(lab: Lab, found: Power) -> Piece | None:
    """The piece; None where the lab tells of no source of power."""
    sheet = found.sheet
    if not sheet.feeds:
        return None
    return Piece(
        name="power",
        title="Power",
        bad=found.bad,
        lead=_upper(headline(sheet)),
        says=tuple(_said(sheet))[:MOST_SAID],
        tables=tuple(_tables(sheet)),
        taken=found.taken,
        figures=(
            Figure(
                svg=Markup(feeds_sheet(lab, sheet)),
                caption="What each source carries of what it can, now and after the worst loss, to one scale.",
            ),
        ),
        caution=POWER_CAUTION,
    )


def _said(sheet: Feeds) -> Iterator[str]:
    """What is too much or nearly so, worst first, each with what to do about it."""
    for feed in ranked(sheet):
        if feed.over:
            yield f"{_upper(over_says(feed))}: {over_mend(feed)}"
        elif feed.over_va:
            yield f"{_upper(va_says(feed))}: {va_mend(feed)}"
        elif feed.over_lasting:
            yield _upper(lasting_says(feed))
    for each in sheet.supplied:
        if each.too_small:
            yield f"{_upper(small_says(each))}: {small_mend(each)}"
    if sheet.silent:
        one = len(sheet.silent) == 1
        yield f"Nobody says what {few(sheet.silent, 8)} {'draws; it counts' if one else 'draw; they count'} for nothing here"


def _tables(sheet: Feeds) -> Iterator[Table]:
    feeds = ranked(sheet)
    yield Table(
        says="Sources, nearest to their limit first",
        heads=FEEDS_HEAD,
        rows=tuple(feed_row(feed) for feed in feeds[:MOST_ROWS]),
        more=max(len(feeds) - MOST_ROWS, 0),
    )
    groups = alike(sheet.supplied)
    if groups:
        yield Table(
            says="Supplies, what one of them gives to its machine at the busiest",
            heads=SUPPLIES_HEAD,
            rows=tuple(supplies_row(group) for group in groups[:MOST_ROWS]),
            more=max(len(groups) - MOST_ROWS, 0),
        )


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
