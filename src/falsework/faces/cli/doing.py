"""Which commands watch the lab and do a drill, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, app, help_
from falsework.faces.cli.running import run

RecordFile = Annotated[
    Path | None,
    typer.Option("--record", metavar="FILE", help="Keep it there; beside the lab file if not said."),
]
Plain = Annotated[
    bool,
    typer.Option(
        "--plain",
        help="A line a change instead of a drawing, for a pipe or to be read aloud; by itself where no terminal is.",
    ),
]


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "stopwatch",
        help=help_(
            "Watch what users see of the lab, until Ctrl-C, and keep it.",
            "stopwatch lab.yaml",
            "stopwatch lab.yaml mail 'front page' --for '10 min'",
            "stopwatch lab.yaml --json > seen.jsonl",
            more="It asks what the `probes` of the lab file say and nothing else, from this machine, once a second if they do "
            "not say how often. Everything is on the disk at once. --json gives a line a change. Exit status: 0 all was "
            "answered well, 1 something was not, 2 it could not watch.",
        ),
    )(stopwatch)


def stopwatch(
    lab: Lab,
    probes: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PROBE...]", help="Only these probes, or what they see.", show_default=False),
    ] = None,
    for_: Annotated[
        str | None,
        typer.Option("--for", metavar="TIME", help="End by itself after so long, such as '10 min'."),
    ] = None,
    often: Annotated[
        bool, typer.Option("--often", help="Ten times a second where the lab file does not say how often.")
    ] = False,
    record: RecordFile = None,
    plain: Plain = False,
    json: Json = False,
) -> None:
    """Watch."""

    def work() -> int:
        from falsework.faces.cli.stopwatch import Asked, watch

        return watch(
            Asked(
                lab=lab,
                probes=tuple(probes or ()),
                for_=for_,
                often=often,
                record=record,
                plain=plain,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="stopwatch", as_json=json))
