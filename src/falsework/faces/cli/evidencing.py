"""Which command reads logs around an event, and what does it take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Picture, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "evidence",
        help=help_(
            "Tell what the logs of many machines say around an event that they do not say at other times, on one time line.",
            "evidence lab.yaml night",
            "evidence lab.yaml desk-1.log desk-2.json.gz --run 3 --report night.html",
            "evidence lab.yaml *.log --at '2026-03-01 04:05:06' --zone Europe/Berlin --lose strip-1",
            more="The event is a run of the stopwatch, the newest if none is named, or a moment. Read are messages as "
            "RFC 5424 and RFC 3164 have them, journals as lines of JSON, and plain lines with a time; packed by gzip "
            "or xz too. Clocks are set right as far as the lines bound them. Nothing is changed. Exit status: 0, 1 "
            "where something was not foretold or a file could not be read whole, 2 no answer.",
        ),
    )(evidence)


def evidence(
    lab: Lab,
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE...", help="Logs in any mix, or folders of them.", show_default=False),
    ],
    number: Annotated[
        int | None, typer.Option("--run", metavar="N", help="Around this run of the stopwatch.")
    ] = None,
    at: Annotated[
        str | None, typer.Option("--at", metavar="TIME", help="Around this moment; with its date.")
    ] = None,
    lose: Annotated[
        list[str] | None,
        typer.Option(
            "--lose",
            metavar="PART",
            help="What may have failed then, to lay what the plan says beside it; goes with --at.",
        ),
    ] = None,
    before: Annotated[str, typer.Option("--before", metavar="TIME", help="How long before it.")] = "10min",
    after: Annotated[str, typer.Option("--after", metavar="TIME", help="How long after it.")] = "30min",
    ordinary: Annotated[
        str, typer.Option("--ordinary", metavar="TIME", help="How long before that is taken as ordinary.")
    ] = "1day",
    zone: Annotated[
        str,
        typer.Option(
            "--zone",
            metavar="ZONE",
            help="Of times that say no offset, such as Europe/Berlin or +01:00; of what is shown, too.",
        ),
    ] = "UTC",
    record: Annotated[
        Path | None,
        typer.Option("--record", metavar="FILE", help="The stopwatch's record, if not beside the lab file."),
    ] = None,
    out: Out = None,
    picture: Picture = None,
    report: Annotated[
        Path | None, typer.Option("--report", metavar="FILE", help="Write the time line as one HTML file.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Show every point of the time line.")] = False,
    json: Json = False,
) -> None:
    """Read logs."""

    def work() -> int:
        from falsework.faces.cli.evidence import Asked, tell_evidence

        return tell_evidence(
            Asked(
                lab=lab,
                files=tuple(files),
                run=number,
                at=at,
                lose=tuple(lose or ()),
                before=before,
                after=after,
                ordinary=ordinary,
                zone=zone,
                record=record,
                out=tuple(out or ()),
                picture=picture,
                report=report,
                all=every,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="evidence", as_json=json))
