"""What do the logs say around an event, on one page that needs nothing else?"""

from __future__ import annotations

import datetime

from markupsafe import Markup

from falsework.analyses.evidence.result import Evidence
from falsework.analyses.evidence.telling import (
    CAUTION,
    clocks_say,
    differs_say,
    headline,
    notes,
    unforetold_says,
)
from falsework.errors import capital, listed
from falsework.faces.evidence_rows import HEAD, chosen, clock, row
from falsework.faces.report.chances import Figure
from falsework.faces.report.svg import COLOURS, DARK, FONT
from falsework.faces.report.template import template
from falsework.faces.report.time_line import time_line

MOST_ROWS = 400


def evidence_report(lab: str, found: Evidence, zone: datetime.tzinfo) -> str:
    """One self-contained HTML page: no script, nothing fetched, ready to print.

    Args:
        lab: its name.
        found: the time line.
        zone: that moments are shown in.
    """
    shown = chosen(found.points, MOST_ROWS)
    return template("evidence.html.j2").render(
        lab=lab,
        moment=clock(found, 0.0, zone, whole=True),
        run=found.run,
        lost=listed(found.lost) if found.lost else "",
        headline=headline(found),
        differs=differs_say(found),
        figure=Figure(
            svg=Markup(time_line(lab, found, zone)),
            caption="The longer after or before, the closer together: equal steps multiply.",
        ),
        strange=[unforetold_says(thing, point) for thing, point in found.unforetold],
        clocks=tuple(map(capital, clocks_say(found))),
        heads=HEAD,
        rows=[row(found, each, zone) for each in shown],
        more=len(found.points) - len(shown),
        notes=[
            *(f"'{each.file}': {each.what}. {each.mend.rstrip('.')}" for each in found.refused),
            *notes(found),
        ],
        caution=CAUTION,
        colours=COLOURS,
        dark=DARK,
        font=Markup(FONT),
    )
