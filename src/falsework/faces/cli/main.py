"""Which commands are there, and what do they take?

Everything that a command needs to work loads inside it, so that help answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework import __version__
from falsework.faces.cli import (
    chances,
    comparing,
    diagnosing,
    doing,
    drilling,
    evidencing,
    look,
    mending,
    physical,
    places,
    record,
    works,
)
from falsework.faces.cli.options import Json, Lab, Out, Picture, app, help_
from falsework.faces.cli.running import run

__all__ = ["app", "main"]


def main() -> None:
    """Run the command line."""
    app(prog_name="falsework")


def _version(asked: bool) -> None:
    if asked:
        print(f"falsework {__version__}")
        raise typer.Exit


@app.callback(
    help=help_(
        "What falls in your small private cloud when a part of it fails?", "start lab.yaml", "check lab.yaml"
    )
)
def falsework(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version and stop.")
    ] = False,
) -> None:
    """Take what comes before the command."""


@app.command(
    "check",
    help=help_(
        "Tell which aims are met, what breaks the others, and how to mend it.",
        "check lab.yaml",
        "check lab.yaml --out desk-1 --report lab.html",
        more="Exit status: 0 all aims are met, 1 one is broken, 2 the lab could not be read or computed.",
    ),
)
def check(
    lab: Lab,
    out: Out = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE", help="Write a report with drawings, one HTML file."),
    ] = None,
    years: Annotated[
        int | None,
        typer.Option("--years", metavar="N", help="Draw N years for the report, too.", show_default=False),
    ] = None,
    no_odds: Annotated[
        bool,
        typer.Option(
            "--no-odds", help="Leave out of the report how often and how long; that takes long in large labs."
        ),
    ] = False,
    json: Json = False,
    sarif: Annotated[bool, typer.Option("--sarif", help="Answer in SARIF 2.1.0, for code review.")] = False,
    assumed: Annotated[bool, typer.Option("--assumed", help="List every figure that was assumed.")] = False,
    all_: Annotated[bool, typer.Option("--all", help="Show every remark.")] = False,
) -> None:
    """Check a lab."""

    def work() -> int:
        from falsework.faces.cli.check import Asked
        from falsework.faces.cli.check import check as answer

        return answer(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                report=report,
                years=years,
                no_odds=no_odds,
                json=json,
                sarif=sarif,
                assumed=assumed,
                all=all_,
            )
        )

    raise typer.Exit(run(work, command="check", as_json=json))


@app.command(
    "lose",
    help=help_(
        "Tell what happens to every service when these parts are lost together, what margin is left, and whether they may be taken down now.",
        "lose lab.yaml desk-1",
        "lose lab.yaml strip-1 desk-2 --picture lost.svg",
        more="A store stands for all its drives. Exit status: 0 nothing falls, 1 something does, 2 no answer.",
    ),
)
def lose(
    lab: Lab,
    parts: Annotated[list[str], typer.Argument(metavar="PART...", help="What is lost.", show_default=False)],
    out: Out = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Lose parts."""

    def work() -> int:
        from falsework.faces.cli.lose import Asked, lose_parts

        return lose_parts(
            Asked(lab=lab, parts=tuple(parts), out=tuple(out or ()), picture=picture, json=json)
        )

    raise typer.Exit(run(work, command="lose", as_json=json))


@app.command(
    "why",
    help=help_(
        "Tell what a thing leans on and how much it can lose, or why it falls.",
        "why lab.yaml mail",
        "why lab.yaml mail --lose strip-1",
        more="Exit status: 0 it stands, 1 it falls by what is lost, 2 no answer.",
    ),
)
def why(
    lab: Lab,
    thing: Annotated[
        str, typer.Argument(metavar="THING", help="A service, a part, a store or a key.", show_default=False)
    ],
    lose: Annotated[
        list[str] | None,
        typer.Option("--lose", metavar="PART", help="A part that is lost; may be said again."),
    ] = None,
    out: Out = None,
    json: Json = False,
) -> None:
    """Tell about one thing."""

    def work() -> int:
        from falsework.faces.cli.why import Asked
        from falsework.faces.cli.why import why as answer

        return answer(Asked(lab=lab, thing=thing, lose=tuple(lose or ()), out=tuple(out or ()), json=json))

    raise typer.Exit(run(work, command="why", as_json=json))


look.add()
mending.add()
chances.add()
works.add()
places.add()
physical.add()
drilling.add()
doing.add()
comparing.add()
record.add()
diagnosing.add()
evidencing.add()


@app.command(
    "start",
    help=help_(
        "Write a first lab file to go on from; asks two or three questions.",
        "start lab.yaml",
        "start lab.yaml --name 'Kitchen shelf' --machines 3 --strips 2",
        more="Nothing is ever written over. Without a terminal, what is not said is assumed.",
    ),
)
def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it.")] = Path("lab.yaml"),
    name: Annotated[
        str | None, typer.Option("--name", metavar="NAME", help="What the lab is called.")
    ] = None,
    machines: Annotated[
        int | None, typer.Option("--machines", metavar="N", help="How many machines.")
    ] = None,
    strips: Annotated[
        int | None, typer.Option("--strips", metavar="N", help="How many power strips.")
    ] = None,
) -> None:
    """Write a first lab file."""

    def work() -> int:
        from falsework.faces.cli.start import start as answer

        return answer(file, name=name, machines=machines, strips=strips)

    raise typer.Exit(run(work, command="start"))


@app.command(
    "invent",
    help=help_(
        "Invent a lab of any size, to try things on.",
        "invent --nodes 30 big.yaml",
        "invent --nodes 200 --seed 7",
        "invent --nodes 30 --bare crates.yaml",
        "invent --nodes 100 --copies 500 full.yaml",
        more="The same nodes and seed give the same lab. Without FILE it goes to standard output.",
    ),
)
def invent(
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="Where to write it.", show_default=False)
    ] = None,
    nodes: Annotated[int, typer.Option("--nodes", metavar="N", help="How many nodes.")] = 30,
    seed: Annotated[int, typer.Option("--seed", metavar="S", help="Which of many labs of this size.")] = 1,
    bare: Annotated[
        bool, typer.Option("--bare", help="Before any of it stands, with what can stand in.")
    ] = False,
    copies: Annotated[
        int | None,
        typer.Option(
            "--copies", metavar="N", help="How many copies its pools run in all.", show_default=False
        ),
    ] = None,
) -> None:
    """Invent a lab."""

    def work() -> int:
        from falsework.faces.cli.invent import invent_lab

        return invent_lab(nodes, seed, file, bare=bare, copies=copies)

    raise typer.Exit(run(work, command="invent"))


@app.command(
    "schema",
    help=help_(
        "Print the JSON Schema of a lab file, or of the answers that --json gives.",
        "schema lab > lab.schema.json",
        "schema answers",
    ),
)
def schema(
    which: Annotated[str, typer.Argument(metavar="[lab|answers]", help="Which schema.")] = "lab",
) -> None:
    """Print a schema."""

    def work() -> int:
        from falsework.faces.cli.schema import print_schema

        return print_schema(which)

    raise typer.Exit(run(work, command="schema"))
