"""What does the report say of the wire?"""

from __future__ import annotations

from markupsafe import Markup

from falsework.analyses.wire.result import Wire
from falsework.analyses.wire.telling import (
    BUDGET_HEAD,
    RUNS_HEAD,
    SUBSCRIBED_HEAD,
    TRAFFIC_HEAD,
    budget_rows,
    cut_off_says,
    headline,
    limit_says,
    loop_says,
    managed_says,
    mismatched_says,
    moment_says,
    never_says,
    passed_row,
    pause_says,
    run_row,
    start_says,
    subscribed_rows,
    unreached_says,
    wanted_says,
    weak_groups,
    weak_says,
)
from falsework.errors import capital
from falsework.faces.report.chances import Figure
from falsework.faces.report.piece import Piece, Table, short_table
from falsework.faces.report.ports import ports_sheet
from falsework.model.lab import Lab

MOST_ROWS = 12
MOST_RUNS = 60
MOST_SAID = 4
"""Of each sort of thing that is told."""


def wire_piece(lab: Lab, found: Wire) -> Piece | None:
    """The piece; None where the lab describes no cable."""
    if not found.layout.runs:
        return None
    return Piece(
        name="wire",
        title="Ports, cables and traffic",
        bad=not found.holds,
        lead=capital(headline(found)),
        says=tuple(capital(each) for each in _says(found) if each),
        tables=tuple(each for each in _tables(found) if each.rows),
        taken=found.taken,
        figures=(
            Figure(
                svg=Markup(ports_sheet(lab, found, prefix="ports")),
                caption="Every port of every switch, and what it goes to.",
            ),
        ),
    )


def _says(found: Wire) -> list[str]:
    return [
        *(moment_says(each) for each in found.short[:MOST_SAID]),
        cut_off_says(found),
        *(loop_says(each) for each in found.loops[:MOST_SAID]),
        *[limit_says(each) for each in found.limits if each.falls_by][:MOST_SAID],
        *[weak_says(those) for those in weak_groups(found.groups)[:MOST_SAID]],
        *[pause_says(each) for each in found.pauses[:MOST_SAID]],
        managed_says(found.managed),
        never_says(found.managed),
        *[unreached_says(each, found.managed) for each in found.managed.after[:MOST_SAID]],
        start_says(found.managed),
        wanted_says(found),
        mismatched_says(found.layout.runs),
    ]


def _tables(found: Wire) -> list[Table]:
    passed = sorted(found.traffic.now.passed, key=lambda each: -each.share)
    runs = found.layout.runs
    return [
        short_table("What services send", TRAFFIC_HEAD, [passed_row(each) for each in passed], MOST_ROWS),
        short_table(
            "What the edge could ask of its uplinks",
            SUBSCRIBED_HEAD,
            list(subscribed_rows(found.subscribed)),
            MOST_ROWS,
        ),
        short_table("Ports of switches", BUDGET_HEAD, list(budget_rows(found.layout.budget)), MOST_ROWS),
        short_table(
            "Cables; a length with a question mark is proposed",
            RUNS_HEAD,
            [run_row(run) for run in runs],
            MOST_RUNS,
        ),
    ]
