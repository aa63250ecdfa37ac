"""Which fault tree does a file define, whichever of the known formats it is in?"""

from __future__ import annotations

from pathlib import Path

from falsework.engines.trees.galileo import read_galileo
from falsework.engines.trees.opening import chunks, fault
from falsework.engines.trees.openpsa import read_openpsa
from falsework.engines.trees.tree import Tree


def read(path: Path, *, time: float | None = None, top: str | None = None) -> Tree:
    """Read a fault tree; the content tells the format, not the name.

    Args:
        path: a file in the Open-PSA Model Exchange Format (XML) or in the Galileo format.
        time: mission time in the unit of the file's rates; without it, what needs it has no probability.
        top: name of the top event, where an Open-PSA file leaves a choice.

    Raises:
        LabError: with everything that is wrong, or with the first thing that makes reading on useless.
    """
    first = next(chunks(path))
    if first.lstrip().startswith(b"<"):
        return read_openpsa(path, time=time, top=top)
    if top is not None:
        raise fault(None, "a top event is named for a file that names its own", "Leave it out.")
    return read_galileo(path, time=time)
