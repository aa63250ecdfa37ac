"""Which commands tell how often, how long, and what matters most, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Picture, app, help_
from falsework.faces.cli.running import run

WEIGHTS = (
    "For a service that is named, each part is weighed. Birnbaum: the chance that the part decides whether the "
    "service is out. Criticality: that, times the part's own chance to be out, by the service's. F-V "
    "(Fussell-Vesely): the chance that the part is out when the service is. RAW and RRW (risk achievement and risk "
    "reduction worth): by how many times the service would be out more if the part were always out, and less if it "
    "never were."
)


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "odds",
        help=help_(
            "Tell how often each service is out, how long, and what to mend first.",
            "odds lab.yaml",
            "odds lab.yaml mail --ranges",
            "odds lab.yaml --picture odds.svg",
            more=f"{WEIGHTS}\n\nExit status: 0 no aim's `out under` is passed, 1 one is, 2 no answer.",
        ),
    )(odds)
    app.command(
        "years",
        help=help_(
            "Draw years of a lab: a middle one, a bad one, and the story of one.",
            "years lab.yaml",
            "years lab.yaml mail --years 100000 --within '5 %'",
            "years lab.yaml --picture years.svg",
            more="Parts break and are mended by chance, by those who work then, with the spares there are. The same "
            "seed gives the same years. Ctrl-C tells what was drawn by then. Exit status: 0 drawn, 130 stopped, 2 no "
            "answer.",
        ),
    )(years)
    app.command(
        "tree",
        help=help_(
            "Solve a fault tree: how likely, by which sets of events, which matter most.",
            "tree pump.xml",
            "tree pump.dft --time 1000",
            more="FILE is in the Open-PSA Model Exchange Format or in the Galileo format. Each event is weighed as a "
            "part is by `falsework odds`. Exit status: 0 solved, or told how far, 2 no answer.",
        ),
    )(tree)


def odds(
    lab: Lab,
    services: Annotated[
        list[str] | None,
        typer.Argument(metavar="[SERVICE...]", help="Tell of these in detail.", show_default=False),
    ] = None,
    ranges: Annotated[
        bool, typer.Option("--ranges", help="Tell 5 to 95 percent of each figure, from 200 draws.")
    ] = False,
    draws: Annotated[
        int | None, typer.Option("--draws", metavar="N", help="The same from N draws.", show_default=False)
    ] = None,
    most: Annotated[int, typer.Option("--most", metavar="N", help="Show N sets of parts a service.")] = 8,
    all_: Annotated[bool, typer.Option("--all", help="Show every service and part.")] = False,
    out: Out = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Tell how often and how long."""

    def work() -> int:
        from falsework.faces.cli.odds import Asked, odds_of

        return odds_of(
            Asked(
                lab=lab,
                services=tuple(services or ()),
                ranges=ranges,
                draws=draws,
                most=most,
                all=all_,
                out=tuple(out or ()),
                picture=picture,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="odds", as_json=json))


def years(
    lab: Lab,
    service: Annotated[
        str,
        typer.Argument(
            metavar="[SERVICE]", help="Tell of this one, and of a bad year of it.", show_default=False
        ),
    ] = "",
    count: Annotated[int, typer.Option("--years", metavar="N", help="How many years.")] = 10_000,
    seed: Annotated[int, typer.Option("--seed", metavar="S", help="Which of many chances.")] = 1,
    within: Annotated[
        str,
        typer.Option(
            "--within",
            metavar="SHARE",
            help="Stop once the mean is surely within this share of the truth.",
            show_default=False,
        ),
    ] = "",
    workers: Annotated[int, typer.Option("--workers", metavar="N", help="How many processes work.")] = 1,
    all_: Annotated[bool, typer.Option("--all", help="Show every service and all data.")] = False,
    out: Out = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Draw years."""

    def work() -> int:
        from falsework.faces.cli.years import Asked, years_of

        return years_of(
            Asked(
                lab=lab,
                service=service,
                years=count,
                seed=seed,
                within=within,
                workers=workers,
                all=all_,
                out=tuple(out or ()),
                picture=picture,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="years", as_json=json))


def tree(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A fault tree.", show_default=False)],
    time: Annotated[
        float | None,
        typer.Option(
            "--time",
            metavar="T",
            help="How long it runs, in the unit of the file's rates.",
            show_default=False,
        ),
    ] = None,
    top: Annotated[
        str | None,
        typer.Option(
            "--top", metavar="NAME", help="The top event, where the file leaves a choice.", show_default=False
        ),
    ] = None,
    most: Annotated[int, typer.Option("--most", metavar="N", help="Show N sets of events.")] = 8,
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="S", help="How long to work; then it tells bounds.")
    ] = 120.0,
    json: Json = False,
) -> None:
    """Solve a fault tree."""

    def work() -> int:
        from falsework.faces.cli.tree import Asked, tree_of

        return tree_of(Asked(file=file, time=time, top=top, most=most, seconds=seconds, json=json))

    raise typer.Exit(run(work, command="tree", as_json=json))
