"""Which command tells which drills are worth doing, and what does it take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Paper, RunbookFile, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "drills",
        help=help_(
            "Tell which drills prove what the plan promises, in which order, when, and whether one may be done today.",
            "drills lab.yaml",
            "drills lab.yaml --first 12 --every '3 weeks' --from 2026-12-04 --calendar drills.ics",
            "drills lab.yaml 'lose desk-1' --out strip-1",
            "drills lab.yaml --runbook drills.pdf",
            more="The fewest drills that prove every claim, the worst and stalest first, those of the lab file among "
            "them; it says how far the first of them get. With a NAME, or the parts that it takes out, one drill whole. Nothing is ever taken out by it. "
            "Exit status: 0; 1 where an aim is not held by the plan, or the drill may not be done today; 2 no answer.",
        ),
    )(drills)


def drills(
    lab: Lab,
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[NAME|PART...]",
            help="One drill, by its name or by what it takes out.",
            show_default=False,
        ),
    ] = None,
    out: Out = None,
    every: Annotated[
        str | None,
        typer.Option("--every", metavar="TIME", help="From one drill to the next; 2 weeks if not said."),
    ] = None,
    from_: Annotated[
        str | None, typer.Option("--from", metavar="DATE", help="The day of the first; today if not said.")
    ] = None,
    first: Annotated[
        int | None,
        typer.Option(
            "--first",
            metavar="N",
            min=1,
            help="Only so many, the most worth doing first; tells what stays unproved.",
            show_default=False,
        ),
    ] = None,
    calendar: Annotated[
        Path | None, typer.Option("--calendar", metavar="FILE", help="Write them into a calendar file, .ics.")
    ] = None,
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    json: Json = False,
    every_one: Annotated[
        bool, typer.Option("--all", help="List every drill, every claim, and what is taken for equal.")
    ] = False,
) -> None:
    """Choose drills."""

    def work() -> int:
        from falsework.faces.cli.drills import Asked, drills_of

        return drills_of(
            Asked(
                lab=lab,
                names=tuple(names or ()),
                out=tuple(out or ()),
                calendar=calendar,
                every=every,
                from_=from_,
                runbook=runbook,
                first=first,
                paper=paper,
                json=json,
                all=every_one,
            )
        )

    raise typer.Exit(run(work, command="drills", as_json=json))
