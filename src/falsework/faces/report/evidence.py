"""What do the logs say around an event, on one page that needs nothing else?"""

from __future__ import annotations

import datetime
from functools import cache
from importlib import resources

from jinja2 import Environment, FunctionLoader, Template
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
from falsework.faces.report.svg import COLOURS, DARK, FONT, clean
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
    return _template().render(
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


@cache
def _template() -> Template:
    environment = Environment(
        loader=FunctionLoader(_source),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_cleaned,
    )
    return environment.get_template("evidence.html.j2")


def _source(name: str) -> str:
    return resources.files("falsework.faces.report").joinpath("templates", name).read_text(encoding="utf-8")


def _cleaned(value: object) -> object:
    """What a template may print: text of a log cleaned, finished markup as it is."""
    return value if isinstance(value, Markup) or not isinstance(value, str) else clean(value)
