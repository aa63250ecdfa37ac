"""Which command finds what broke, and what does it take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Picture, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "diagnose",
        help=help_(
            "Tell which part most likely broke, given what fails and what is answered, and what to look at next.",
            "diagnose lab.yaml --failing mail --failing pages --answered names",
            "diagnose lab.yaml --failing mail --looked 'desk-3: dark' --since 30s",
            "diagnose lab.yaml --from-record",
            "diagnose lab.yaml --plan --diff",
            more="Name probes, services or machines; what you do not name is not known. Without any, the record of the "
            "stopwatch is asked, if there is one. Nothing is touched: it only tells. Exit status: 0 one cause stands "
            "out, at least ten times as likely as the next, 1 none does, 2 no answer. For a plan: 0 nothing is to be "
            "added, 1 something is, 2 no answer.",
        ),
    )(diagnose)


def diagnose(
    lab: Lab,
    failing: Annotated[
        list[str] | None,
        typer.Option(
            "--failing", metavar="NAME", help="A probe, service or machine that fails; may be said again."
        ),
    ] = None,
    answered: Annotated[
        list[str] | None,
        typer.Option("--answered", metavar="NAME", help="One that is answered; may be said again."),
    ] = None,
    looked: Annotated[
        list[str] | None,
        typer.Option(
            "--looked",
            metavar="'PART: SEEN'",
            help="A lamp that was looked at, lit or dark; a cable or program, good or bad.",
        ),
    ] = None,
    out: Out = None,
    since: Annotated[
        str | None,
        typer.Option(
            "--since",
            metavar="TIME",
            help="How long ago it began, such as 30s: holds may not have run out yet. If not said, all has settled.",
        ),
    ] = None,
    from_record: Annotated[
        bool, typer.Option("--from-record", help="Take what the stopwatch saw last.")
    ] = False,
    record: Annotated[
        Path | None,
        typer.Option("--record", metavar="FILE", help="The record, if not the one beside the lab file."),
    ] = None,
    plan: Annotated[
        bool,
        typer.Option(
            "--plan", help="Before anything fails: which probes to add, so that faults can be told apart."
        ),
    ] = False,
    diff: Annotated[
        bool, typer.Option("--diff", help="Show what the plan would add to the lab file.")
    ] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Add what is planned, and show what was added.")
    ] = False,
    picture: Picture = None,
    json: Json = False,
    all_: Annotated[bool, typer.Option("--all", help="Tell more causes and more questions.")] = False,
) -> None:
    """Find what broke."""

    def work() -> int:
        from falsework.faces.cli.diagnose import Asked, answer

        return answer(
            Asked(
                lab=lab,
                failing=tuple(failing or ()),
                answered=tuple(answered or ()),
                looked=tuple(looked or ()),
                out=tuple(out or ()),
                since=since,
                from_record=from_record,
                record=record,
                plan=plan,
                diff=diff,
                write=write,
                picture=picture,
                json=json,
                all=all_,
            )
        )

    raise typer.Exit(run(work, command="diagnose", as_json=json))
