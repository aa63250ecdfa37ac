"""Which commands lay drills beside the plan and learn from them, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, app, help_
from falsework.faces.cli.running import run

Record = Annotated[
    Path | None,
    typer.Option(
        "--record", metavar="FILE", help="The record; beside the lab file if not said.", show_default=False
    ),
]
Diff = Annotated[bool, typer.Option("--diff", help="Show what would change in the lab file.")]


def add() -> None:
    """Add the commands to the program."""
    app.command(
        "compare",
        help=help_(
            "Lay a drill beside what the plan foretold, and find the changes of the plan that would explain the rest.",
            "compare lab.yaml",
            "compare lab.yaml --run 3 --diff",
            "compare lab.yaml --run 3 --offer 2 --write --seconds 300",
            more="For each service: as foretold, faster, slower, wrong, or not seen. Each change that is offered was tried: "
            "the file is read again with it, and foretells what was seen, and nothing else worse. Which of them is true only you can "
            "tell: look before you write one. Ctrl-C ends the search with what was found so far. Exit status: 0 nothing was wrong, 1 something was, 2 no answer.",
        ),
    )(compare)
    app.command(
        "learn",
        help=help_(
            "Take over what drills have shown: measured times, days of proof, failures and stumbles that were counted.",
            "learn lab.yaml",
            "learn lab.yaml --diff",
            "learn lab.yaml --write",
            "learn lab.yaml --took 'keep: rebuilds in 9 h on 2026-11-26 14:30' --write",
            more="Times that were measured go under `timed` beside the figures that you wrote, and correct them; the next check "
            "uses both. Only what went as foretold, or merely faster or slower, teaches a time. What is in the file already is not "
            "learnt twice. Exit status: 0, or 2 for no answer.",
        ),
    )(learn)


def compare(
    lab: Lab,
    number: Annotated[
        int | None,
        typer.Option(
            "--run", metavar="N", min=1, help="Which run; the newest drill if not said.", show_default=False
        ),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Compare every run, and show every line and every offer.")
    ] = False,
    offer: Annotated[
        int, typer.Option("--offer", metavar="K", min=1, help="Which of the changes, counted from 1.")
    ] = 1,
    diff: Diff = False,
    write: Annotated[
        bool, typer.Option("--write", help="Change the lab file so, and show what was changed.")
    ] = False,
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="S", help="How long to look for explanations at most.")
    ] = 60.0,
    record: Record = None,
    json: Json = False,
) -> None:
    """Lay a drill beside the plan."""

    def work() -> int:
        from falsework.faces.cli.compare import Asked
        from falsework.faces.cli.compare import compare as answer

        return answer(
            Asked(
                lab=lab,
                run=number,
                all=every,
                offer=offer,
                diff=diff,
                write=write,
                seconds=seconds,
                record=record,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="compare", as_json=json))


def learn(
    lab: Lab,
    diff: Diff = False,
    write: Annotated[
        bool, typer.Option("--write", help="Write it into the lab file, and show what was changed.")
    ] = False,
    took: Annotated[
        list[str] | None,
        typer.Option(
            "--took",
            metavar="TIME",
            help="A time that you measured yourself, and when, in UTC: 'keep: rebuilds in 9 h on 2026-11-26 14:30'.",
            show_default=False,
        ),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Show also what teaches nothing, and why.")] = False,
    record: Record = None,
    json: Json = False,
) -> None:
    """Learn from drills."""

    def work() -> int:
        from falsework.faces.cli.learn import Asked
        from falsework.faces.cli.learn import learn as answer

        return answer(
            Asked(
                lab=lab,
                diff=diff,
                write=write,
                all=every,
                took=tuple(took or ()),
                record=record,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="learn", as_json=json))
