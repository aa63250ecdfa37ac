"""How is an error told to a program?"""

from __future__ import annotations

from typing import Any

from falsework.errors import FalseworkError, LabError
from falsework.where import Where

FORMAT = 1
"""The shape of every answer in JSON; it grows by new keys, and counts up only if an old one changes."""


def error_answer(error: FalseworkError, *, command: str) -> dict[str, Any]:
    """An error of ours as JSON values."""
    faults: list[dict[str, Any]]
    if isinstance(error, LabError):
        faults = [
            {"what": each.what, "mend": each.mend, "path": each.path, "where": place(each.where)}
            for each in error.faults
        ]
    else:
        what, mend = getattr(error, "what", str(error)), getattr(error, "mend", "")
        faults = [{"what": what, "mend": mend, "path": "", "where": None}]
    return {
        "format": FORMAT,
        "command": command,
        "status": 2,
        "errors": faults,
        "more_errors": getattr(error, "more", 0),
    }


def place(where: Where | None) -> dict[str, Any] | None:
    """A place as JSON values."""
    return {"file": where.file, "line": where.line, "column": where.column} if where else None
