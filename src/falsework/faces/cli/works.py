"""Which commands tell how a lab is raised, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Paper, RunbookFile, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "loops",
        help=help_(
            "Tell which things wait for each other, kind by kind, and what is the cheapest way out.",
            "loops lab.yaml",
            "loops lab.yaml --all --json",
            more="Loops to build, to start, to take over, to mend and to restore; loops to run hold while they stand. "
            "Exit status: 0, 1 where a loop keeps something from starting, 2 no answer.",
        ),
    )(loops)
    app.command(
        "raise",
        help=help_(
            "Tell in which order to build the lab, with which stand-ins, and what is fragile on the way.",
            "raise lab.yaml",
            "raise lab.yaml --from 2026-12-04 --runbook build.pdf",
            "raise lab.yaml --from-nothing --calendar build.ics --picture build.svg",
            more="It begins with what `today` says is built. A calendar is made where --from or --calendar or "
            "--picture asks for one. Commands of yours are printed, never run. Exit status: 0 there is an order, 1 "
            "there is none, 2 no answer.",
        ),
    )(raise_)
    app.command(
        "cold-start",
        help=help_(
            "Tell whether all of it comes back after a power cut, how long that takes, and what is stuck.",
            "cold-start lab.yaml",
            "cold-start lab.yaml --hands --runbook start.pdf",
            "cold-start lab.yaml --off '14 days'",
            more="With --hands somebody is there. The runbook is the start sheet. Exit status: 0 all comes back, 1 "
            "something stays down, 2 no answer.",
        ),
    )(cold_start)
    app.command(
        "shutdown",
        help=help_(
            "Tell whether each battery lasts until what it carries has stopped, and who is not told to.",
            "shutdown lab.yaml",
            "shutdown lab.yaml --cut c1",
            "shutdown lab.yaml --runbook stop.pdf",
            more="All batteries run at once. Nothing is ever stopped by it. The runbook is the stop sheet. Exit status: 0, 1 where something would be "
            "cut hard or is not told, 2 no answer.",
        ),
    )(shutdown)
    app.command(
        "rebuild",
        help=help_(
            "Tell what can be made again from the rest, what comes only from a backup, and what exists only here.",
            "rebuild lab.yaml",
            "rebuild lab.yaml twin-1 --runbook twin-1.pdf",
            more="A thing that is named is destroyed with all that is in it; several are destroyed together. Without "
            "any, every thing alone, then the whole lab torn down, with the shortest list of what to save before. "
            "Nothing is ever copied or wiped. Exit status: 0, 1 where data with an objective (`may lose`, `back "
            "within`) exist only here, 2 no answer.",
        ),
    )(rebuild)


def loops(
    lab: Lab,
    all_: Annotated[bool, typer.Option("--all", help="Show every loop.")] = False,
    json: Json = False,
) -> None:
    """Find what waits for itself."""

    def work() -> int:
        from falsework.faces.cli.loops import Asked, loops_of

        return loops_of(Asked(lab=lab, all=all_, json=json))

    raise typer.Exit(run(work, command="loops", as_json=json))


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


def rebuild(
    lab: Lab,
    things: Annotated[
        list[str] | None,
        typer.Argument(metavar="[THING...]", help="What is destroyed.", show_default=False),
    ] = None,
    out: Out = None,
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    json: Json = False,
) -> None:
    """Destroy and make again."""

    def work() -> int:
        from falsework.faces.cli.rebuild import Asked, rebuild_lab

        return rebuild_lab(
            Asked(
                lab=lab,
                things=tuple(things or ()),
                out=tuple(out or ()),
                runbook=runbook,
                paper=paper,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="rebuild", as_json=json))


def cold_start(
    lab: Lab,
    out: Out = None,
    hands: Annotated[
        bool, typer.Option("--hands", help="Somebody is there, and switches on what stays off.")
    ] = False,
    no_outside: Annotated[
        bool, typer.Option("--no-outside", help="Count on nothing outside but what power comes from.")
    ] = False,
    off: Annotated[
        str,
        typer.Option(
            "--off",
            metavar="TIME",
            help="How long the power was out, such as '14 days': keys that last no longer have expired.",
            show_default=False,
        ),
    ] = "",
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    json: Json = False,
) -> None:
    """Start from nothing."""

    def work() -> int:
        from falsework.faces.cli.cold_start import Asked, start_cold

        return start_cold(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                hands=hands,
                no_outside=no_outside,
                off=off,
                runbook=runbook,
                paper=paper,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="cold-start", as_json=json))


def shutdown(
    lab: Lab,
    out: Out = None,
    cut: Annotated[
        list[str] | None,
        typer.Option(
            "--cut",
            metavar="SOURCE",
            help="Cut only this source of power, such as a circuit; may be said again. If not said: all that feeds a battery.",
        ),
    ] = None,
    runbook: RunbookFile = None,
    paper: Paper = "a4",
    json: Json = False,
) -> None:
    """Stop on battery."""

    def work() -> int:
        from falsework.faces.cli.shutdown import Asked, shut_down

        return shut_down(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                cut=tuple(cut or ()),
                runbook=runbook,
                paper=paper,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="shutdown", as_json=json))
