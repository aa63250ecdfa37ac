"""How does one get a first lab file to go on from?"""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import typer

from falsework.errors import QuestionError
from falsework.faces.cli.lines import Line, labelled, put
from falsework.faces.cli.running import MET, write
from falsework.lab.quote import written

NAME, MACHINES, STRIPS = "My lab", 3, 2
MOST_MACHINES, MOST_STRIPS = 40, 8
"""One circuit of 16 A at 230 V carries forty such machines with a fifth to spare."""

T = TypeVar("T", str, int)

_LAB = """\
falsework: 1
lab: {name}
# about: one sentence for whoever looks after it when you are away

# A lab file says what you have and what you want to be true. Begin with what is here, then make it yours:
# change a figure, save, and run `falsework check {file}` again.
# Whatever you leave out is assumed; `falsework check {file} --assumed` lists it.

# What things of one sort are like, so that equal machines are said once. Measure `draws` with a power meter.
kinds:
  box: {{is: node, cores: 4, memory: 16 GiB, drives: 1 disk, draws: 15..60 W, power back: on}}
  disk: {{is: drive, size: 500 GB}}

# What comes from outside and is not yours to mend.
outside:
  mains: the socket in the wall

# Which breaker feeds which strip. With a second circuit, add circuit-2 and feed some strips from it.
power:
  circuit-1: {{is: circuit, fed by: mains, volts: 230 V, breaker: 16 A}}
{strips}

# Counted names: box-1..3 is three machines. `fed by` is the strip that the plug is in; a machine with two supplies
# says both, as in `fed by: [strip-1, strip-2]`.
machines:
{machines}
  switch-1: {{is: switch, ports: {ports}, fed by: strip-1}}

# One cable from each machine to the next free port of the switch.
wire:
  cables:
    - box-* -- switch-1

# What runs where, and what it needs. A service on two machines has two copies; `serves: any` is assumed.
services:
  names: {{on: {pair}}}
  files: {{on: {home}, needs: [names]}}
  # mail: {{on: {pair}, takes over: 40 s, needs: [names, files for 10 min]}}

# What you want to be true. `at most` names the worst that may happen to a service:
#   stands   nothing happens, and there is something to spare
#   thin     nothing happens, and nothing is left to spare
#   blinks   it stops for a while and comes back by itself
#   falls    it is out until someone mends something
aims:
  any one machine may go: {{lose: node, at most: blinks}}
  any one strip may go: {{lose: strip, at most: blinks}}
  it comes back by itself: {{cold start: without hands}}

# Next: `falsework why {file} files` tells what files leans on,
# and `falsework lose {file} box-1` pulls a plug on paper.
"""


def start(file: Path, *, name: str | None, machines: int | None, strips: int | None) -> int:
    """Write a first lab file and return the exit status.

    Args:
        file: where to; must not be there yet.
        name: of the lab; asked at the terminal where not given, else assumed, as the others are.
        machines: how many.
        strips: how many; the machines are spread over them.

    Raises:
        QuestionError: the file is there already or can't be written, or a number is out of its range.
    """
    if file.exists() or file.is_symlink():
        raise QuestionError(f"'{file}' is there already and stays as it is", "Name another file.")
    asks = sys.stdin.isatty() and sys.stderr.isatty()
    named = _answer("What is the lab called?", name, NAME, asks=asks)
    many = _answer("How many machines are in it?", machines, MACHINES, asks=asks)
    fed = _answer("On how many power strips?", strips, min(STRIPS, max(many, 1)), asks=asks)
    write(file, first_lab(named, many, fed, file=str(file)), over=False)
    put(
        [
            Line(f"A first lab file is in {file}. Make it yours, then look at it:"),
            labelled("", f"falsework check {shlex.quote(str(file))}", width=2),
        ]
    )
    return MET


def first_lab(name: str, machines: int, strips: int, *, file: str = "lab.yaml") -> str:
    """The text of a first lab file, which loads as it is.

    Raises:
        QuestionError: a number is out of its range, or there is no name.
    """
    if not name.strip() or not name.isprintable():
        raise QuestionError("a lab needs a name of one line", "Give it one with --name.")
    _within("machines", machines, MOST_MACHINES)
    _within("strips", strips, MOST_STRIPS)
    if strips > machines:
        raise QuestionError(
            f"{strips} strips are more than {machines} machines can use", "Ask for fewer strips."
        )
    strip = "strip-1" if strips == 1 else f"strip-1..{strips}"
    outlets = max(6, -(-machines // strips) + 1)
    return _LAB.format(
        name=written(name.strip(), in_flow=False),
        file=shlex.quote(" ".join(file.split())),
        strips=f"  {strip}: {{is: strip, fed by: circuit-1, outlets: {outlets}}}",
        machines="\n".join(_boxes(machines, strips)),
        ports=max(8, machines + 2),
        pair="[box-1, box-2]" if machines > 1 else "box-1",
        home="box-1" if machines < 3 else "box-3",
    )


def _boxes(machines: int, strips: int) -> list[str]:
    """Neighbours share a strip, as they would in a rack."""
    lines, first = [], 1
    for strip in range(1, strips + 1):
        last = machines * strip // strips
        counted = f"box-{first}" if first == last else f"box-{first}..{last}"
        lines.append(f"  {counted}: {{kind: box, fed by: strip-{strip}}}")
        first = last + 1
    return lines


def _within(what: str, number: int, most: int) -> None:
    if not 1 <= number <= most:
        raise QuestionError(
            f"{number} {what} can't be started with", f"Say from 1 to {most}; the file can grow later."
        )


def _answer(question: str, given: T | None, otherwise: T, *, asks: bool) -> T:
    if given is not None:
        return given
    if not asks:
        return otherwise
    as_type: Callable[[str], T] = type(otherwise)
    try:
        said: T = typer.prompt(question, default=otherwise, type=as_type, err=True)
    except typer.Abort as stop:
        raise KeyboardInterrupt from stop
    return said
