"""Which commands watch the lab and do a drill, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, app, help_
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
        "drill",
        help=help_(
            "Do a drill: take something out on purpose, watch what users see, put it back, compare.",
            "drill lab.yaml 'pull a twin'",
            "drill lab.yaml desk-1 --tell",
            "drill lab.yaml desk-1 --do './stop desk-1' --put-back './start desk-1'",
            more="It takes the name of a drill, as `falsework drills LAB` lists them, or the parts to take out. It tells what is "
            "foretold and whether it may be done now, and refuses where it may not. Nothing is ever done by itself: a "
            "command is yours, runs on this machine in the folder of the lab file, and only once you have typed yes; "
            "without one, your hands do it. Ctrl-C gives the drill up and puts back what it took out, with your command; "
            "once more leaves at once and prints it. Exit status: 0 all went as foretold, 1 something did not or it was "
            "given up, 2 it was not done.",
        ),
    )(drill)
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


def drill(
    lab: Lab,
    names: Annotated[
        list[str],
        typer.Argument(
            metavar="NAME|PART...", help="A drill by its name, or the parts to take out.", show_default=False
        ),
    ],
    out: Out = None,
    tell: Annotated[bool, typer.Option("--tell", help="Tell all of it, and do nothing.")] = False,
    although: Annotated[
        str,
        typer.Option(
            "--although",
            metavar="REASON",
            help="Do it although something speaks against it; the reason is kept.",
        ),
    ] = "",
    do: Annotated[
        str | None,
        typer.Option("--do", metavar="COMMAND", help="Your command that begins it.", show_default=False),
    ] = None,
    put_back: Annotated[
        str | None,
        typer.Option(
            "--put-back", metavar="COMMAND", help="Your command that puts it back.", show_default=False
        ),
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Say yes to your commands beforehand; nothing is asked.")
    ] = False,
    record: RecordFile = None,
    plain: Plain = False,
    json: Json = False,
) -> None:
    """Do a drill."""

    def work() -> int:
        from falsework.faces.cli.drill import Asked
        from falsework.faces.cli.drill import drill as answer

        return answer(
            Asked(
                lab=lab,
                names=tuple(names),
                out=tuple(out or ()),
                although=although,
                yes=yes,
                do=do,
                put_back=put_back,
                tell=tell,
                record=record,
                plain=plain,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="drill", as_json=json))


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
