"""Which commands tell how a lab is raised, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Paper, RunbookFile, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "raise",
        help=help_(
            "Tell in which order to build the lab, with which stand-ins, and what is fragile on the way.",
            "raise lab.yaml",
            "raise lab.yaml --from 2026-12-04 --runbook build.pdf",
            "raise lab.yaml --from-nothing --calendar build.ics --picture build.svg",
            more="It begins with what `today` says is built. A calendar is made where --from, --calendar or "
            "--picture asks for one. Commands of yours are printed, never run. Exit status: 0 there is an order, 1 "
            "there is none, 2 no answer.",
        ),
    )(raise_)


def raise_(
    lab: Lab,
    from_nothing: Annotated[
        bool, typer.Option("--from-nothing", help="As if nothing were built yet, whatever `today` says.")
    ] = False,
    from_: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="DATE", help="Plan it on the calendar from that day, as in 2026-12-04."
        ),
    ] = None,
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    calendar: Annotated[
        Path | None, typer.Option("--calendar", metavar="FILE", help="Write a calendar, as iCalendar (.ics).")
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture", metavar="FILE", help="Draw what is fragile when, and the calendar, as SVG."
        ),
    ] = None,
    seconds: Annotated[
        float,
        typer.Option(
            "--seconds", metavar="N", help="Look for something better for N seconds, then take the best."
        ),
    ] = 20.0,
    json: Json = False,
) -> None:
    """Order the work."""

    def work() -> int:
        from falsework.faces.cli.raising import Asked, raise_lab

        return raise_lab(
            Asked(
                lab=lab,
                from_nothing=from_nothing,
                from_=from_,
                runbook=runbook,
                paper=paper,
                calendar=calendar,
                picture=picture,
                seconds=seconds,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="raise", as_json=json))
