"""What does every answer to a program begin with, and how does the schema say so?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from falsework.faces.errors import FORMAT
from falsework.faces.shapes import Schema, names, text
from falsework.model.lab import Lab

if TYPE_CHECKING:  # loading it brings numpy, and who asks only about addresses, racks or noise needs none
    from falsework.support.standing import Standing


def head(command: str, standing: Standing, status: int) -> dict[str, Any]:
    """The keys with which an answer on a lab begins."""
    return lab_head(command, standing.lab, status, out=standing.out)


def lab_head(command: str, lab: Lab, status: int, *, out: Iterable[str] = ()) -> dict[str, Any]:
    """The same where nobody asks what stands."""
    return {
        "format": FORMAT,
        "command": command,
        "lab": lab.name,
        "status": status,
        "out": sorted(out),
    }


def head_schema(command: str, says: str, statuses: Sequence[int] = (0, 1)) -> dict[str, Schema]:
    """Their shapes.

    Args:
        command: which one answers.
        says: what each exit status means.
        statuses: those that there are, but for the one of errors.
    """
    return {
        "format": {"const": FORMAT},
        "command": {"const": command},
        "lab": text("the name of the lab"),
        "status": {"description": f"the exit status: {says}", "enum": list(statuses)},
        "out": names("parts that are out beforehand"),
    }
