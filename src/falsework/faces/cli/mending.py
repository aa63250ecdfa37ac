"""Which command tells how the lab file could mend a finding, and what does it take?"""

from __future__ import annotations

from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "mend",
        help=help_(
            "Offer edits of the lab file that make a finding go away, each tried before it is offered.",
            "mend lab.yaml",
            "mend lab.yaml single-point-strip-1-3f2a1c --diff",
            "mend lab.yaml single-point-strip-1 --offer 2 --write",
            more="The lab with the edit is read again and judged: the finding is gone, no aim that is met is broken. "
            "What is edited is the plan; that the machines are changed so is your work. Without a finding it "
            "only lists them with their keys, and whether there is something to try. Exit status: 0 something is offered for "
            "all that were named, 1 nothing is for some, 2 no answer.",
        ),
    )(mend)


def mend(
    lab: Lab,
    findings: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[FINDING...]",
            help="Keys of findings, or their beginnings; if none is named all are listed, and nothing is tried.",
            show_default=False,
        ),
    ] = None,
    out: Out = None,
    offer: Annotated[
        int, typer.Option("--offer", metavar="N", help="Which of the edits offered, counted from 1.")
    ] = 1,
    diff: Annotated[
        bool, typer.Option("--diff", help="Show what each would change in the lab file.")
    ] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Change the lab file so, and show what was changed.")
    ] = False,
    every: Annotated[
        bool, typer.Option("--all", help="Try edits for every finding, however long that takes.")
    ] = False,
    json: Json = False,
) -> None:
    """Offer edits."""

    def work() -> int:
        from falsework.faces.cli.mend import Asked
        from falsework.faces.cli.mend import mend as answer

        return answer(
            Asked(
                lab=lab,
                findings=tuple(findings or ()),
                out=tuple(out or ()),
                offer=offer,
                diff=diff,
                write=write,
                all=every,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="mend", as_json=json))
