"""What do commands share: the program they belong to, their arguments, and the shape of their help?

Everything that a command needs to work loads inside it, so that help answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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
Picture = Annotated[
    Path | None, typer.Option("--picture", metavar="FILE", help="Write a drawing of it, as SVG.")
]

RunbookFile = Annotated[
    Path | None,
    typer.Option(
        "--runbook", metavar="FILE", help="Write it as a runbook to work from, .pdf to print or .md."
    ),
]
Paper = Annotated[str, typer.Option("--paper", metavar="[a4|letter]", help="What the runbook is printed on.")]


def help_(says: str, *examples: str, more: str = "") -> str:
    """The help of a command: what it does, perhaps more, and examples of it as they are typed."""
    typed = "\n".join(f"  falsework {each}" for each in examples)
    return "\n\n".join(each for each in (says, more, f"\b\nExamples:\n{typed}") if each)
