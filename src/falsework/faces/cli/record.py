"""Which command tells what was seen and proved, and what does it take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Paper, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "record",
        help=help_(
            "Tell what past drills showed: how soon everything came back, when that was last proved, and what margin is left today.",
            "record lab.yaml",
            "record lab.yaml --run 3 --report run-3.html",
            "record lab.yaml --openmetrics metrics.txt",
            more="It reads what the stopwatch and drills kept beside the lab file. Exit status: 0 the newest drills went well, "
            "1 one did not, 2 no answer.",
        ),
    )(record)


def record(
    lab: Lab,
    run_: Annotated[
        int | None,
        typer.Option("--run", metavar="N", min=1, help="Tell one run whole.", show_default=False),
    ] = None,
    report: Annotated[
        Path | None,
        typer.Option(
            "--report", metavar="FILE", help="Write a report of that run, or of the newest: .html or .pdf."
        ),
    ] = None,
    paper: Paper = "a4",
    out: Out = None,
    openmetrics: Annotated[
        Path | None,
        typer.Option(
            "--openmetrics",
            metavar="FILE",
            help="Write figures for those who collect them, as OpenMetrics text; - for standard output.",
        ),
    ] = None,
    record: Annotated[
        Path | None,
        typer.Option("--record", metavar="FILE", help="The record; beside the lab file if not said."),
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="Show every run and every row.")] = False,
    json: Json = False,
) -> None:
    """Tell what is in the record."""

    def work() -> int:
        from falsework.faces.cli.recorded import Asked, tell

        return tell(
            Asked(
                lab=lab,
                run=run_,
                report=report,
                paper=paper,
                out=tuple(out or ()),
                openmetrics=openmetrics,
                record=record,
                all=all_,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="record", as_json=json))
