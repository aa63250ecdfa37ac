"""Which commands tell where copies run, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Paper, Picture, RunbookFile, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "place",
        help=help_(
            "Tell where each copy should run so that the aims are met, and what would have to move.",
            "place lab.yaml",
            "place lab.yaml --seconds 300 --diff --picture places.svg",
            "place lab.yaml --runbook moves.pdf",
            "place lab.yaml --write",
            more="It places copies on a pool, and those of services that run on fewer nodes than `on` names. What "
            "`placed` says is where they run today. Nothing is ever moved by it; --write changes the lab file, and "
            "nothing else. Ctrl-C ends the search with the best so far. Exit status: 0 all aims are met, 1 not all "
            "are, 2 no answer.",
        ),
    )(place)
    app.command(
        "room",
        help=help_(
            "Tell whether everything still has room when something is gone, and how much more would fit.",
            "room lab.yaml",
            "room lab.yaml --lose strip --lose desk-1",
            "room lab.yaml --add '2 cores 4 GiB'",
            more="It packs whole copies into the holes that are left, each on one host. What is lost, one at a time, "
            "are the parts for which an aim wants room, or else every node and enclosure. Stores are looked at too: "
            "what fits on them, when they are full, and whether they make themselves whole again. Exit status: 0 all "
            "fits, 1 something does not, 2 no answer.",
        ),
    )(room)


def place(
    lab: Lab,
    out: Out = None,
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="S", help="How long to search at most.")
    ] = 60.0,
    diff: Annotated[bool, typer.Option("--diff", help="Show what it would change in the lab file.")] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Change the lab file so, and show what was changed.")
    ] = False,
    picture: Picture = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE", help="Write the report of a check with it, one HTML file."),
    ] = None,
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    json: Json = False,
) -> None:
    """Place the copies."""

    def work() -> int:
        from falsework.faces.cli.placing import Asked
        from falsework.faces.cli.placing import place as answer

        return answer(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                seconds=seconds,
                diff=diff,
                write=write,
                picture=picture,
                report=report,
                runbook=runbook,
                paper=paper,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="place", as_json=json))


def room(
    lab: Lab,
    out: Out = None,
    lose: Annotated[
        list[str] | None,
        typer.Option(
            "--lose",
            metavar="PART",
            help="What is lost, or a word such as node or strip for each of them; may be said again.",
        ),
    ] = None,
    add: Annotated[
        list[str] | None,
        typer.Option(
            "--add",
            metavar="SIZE",
            help="Count how many more copies of this size fit, such as '2 cores 4 GiB'; may be said again.",
        ),
    ] = None,
    more: Annotated[
        bool,
        typer.Option("--more", help="Count how many more of each service fit, however long that takes."),
    ] = False,
    json: Json = False,
) -> None:
    """Look for room."""

    def work() -> int:
        from falsework.faces.cli.room import Asked, look_for_room

        return look_for_room(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                lose=tuple(lose or ()),
                add=tuple(add or ()),
                more=more,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="room", as_json=json))
