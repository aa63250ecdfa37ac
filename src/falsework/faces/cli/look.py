"""Which command shows the lab in a browser, and what does it take?"""

from __future__ import annotations

from typing import Annotated

import typer

from falsework.faces.cli.options import Lab, Out, app, help_
from falsework.faces.cli.running import run


def add() -> None:
    """Add the command to the program."""
    app.command(
        "look",
        help=help_(
            "Show the lab in a browser: pull plugs on the drawing, live while you edit the file.",
            "look lab.yaml",
            "look lab.yaml --port 8100 --no-open",
            more="It listens on this machine only. With --host it listens elsewhere too; who comes then needs the "
            "token in the address that it prints. Ctrl-C ends it.",
        ),
    )(look)


def look(
    lab: Lab,
    out: Out = None,
    host: Annotated[
        str, typer.Option("--host", metavar="ADDRESS", help="The address to listen on.")
    ] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help="The port; 0 takes a free one.")
    ] = 0,
    no_open: Annotated[bool, typer.Option("--no-open", help="Do not open a browser.")] = False,
) -> None:
    """Show the lab."""

    def work() -> int:
        from falsework.faces.page.serve import Wanted, serve

        serve(
            Wanted(lab=lab, out=tuple(out or ()), host=host, port=port, open=not no_open),
            lambda address: print(f"The lab is shown at {address}\nCtrl-C ends it.", flush=True),
        )
        return 0

    raise typer.Exit(run(work, command="look"))
