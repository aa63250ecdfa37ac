"""Which commands are there, and what do they take?

Everything that a command needs to work loads inside it, so that help answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework import __version__
from falsework.faces.cli.running import run

app = typer.Typer(
    add_completion=False,
    context_settings={"help_option_names": ["--help", "-h"]},
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Lab = Annotated[
    Path, typer.Argument(metavar="LAB", help="A lab file, or a folder of them.", show_default=False)
]
Out = Annotated[
    list[str] | None,
    typer.Option("--out", metavar="PART", help="A part that is out beforehand; may be said again."),
]
Json = Annotated[
    bool, typer.Option("--json", help="Answer in JSON, as `falsework schema answers` describes it.")
]


def main() -> None:
    """Run the command line."""
    app()


def _version(asked: bool) -> None:
    if asked:
        print(f"falsework {__version__}")
        raise typer.Exit


def _help(says: str, *examples: str, more: str = "") -> str:
    """The help of a command: what it does, perhaps more, and examples of it as they are typed."""
    typed = "\n".join(f"  falsework {each}" for each in examples)
    return "\n\n".join(each for each in (says, more, f"\b\nExamples:\n{typed}") if each)


@app.callback(
    help=_help(
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
    help=_help(
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
                json=json,
                sarif=sarif,
                assumed=assumed,
                all=all_,
            )
        )

    raise typer.Exit(run(work, command="check", as_json=json))
