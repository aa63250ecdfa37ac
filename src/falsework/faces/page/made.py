"""What does a job of the page leave behind?"""

from __future__ import annotations

import html
from collections.abc import Mapping
from dataclasses import dataclass, field

from falsework.errors import FalseworkError, LabError
from falsework.faces.errors import error_answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A sheet's inside, and what programs get of it.

    Attributes:
        html: finished markup, everything of the lab in it escaped.
        answers: the JSON answer of each command that it tells the same as, by the command's name.
        files: what can be taken away besides, by file name.
        failed: whether it tells why there is nothing to show.
    """

    html: str
    answers: Mapping[str, object] = field(default_factory=dict)
    files: Mapping[str, bytes] = field(default_factory=dict)
    failed: bool = False


def made_of_error(error: FalseworkError, *, command: str) -> Made:
    """What is shown in place of a result: what is wrong, and how to mend it."""
    if isinstance(error, LabError):
        said = [str(fault) for fault in error.faults]
        if error.more:
            said.append(f"... and {error.more} more. Mend these first, then look again.")
    else:
        said = [str(error)]
    lines = "".join(f"<p>{html.escape(line)}</p>" for line in said)
    return Made(
        html=f'<div class="trouble" role="status">{lines}</div>',
        answers={command: error_answer(error, command=command)},
        failed=True,
    )
