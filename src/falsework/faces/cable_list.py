"""How is the list of cables written as CSV (RFC 4180)?"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from falsework import units
from falsework.analyses.wire.result import End, Run
from falsework.units import Dimension

HEAD = (
    "label",
    "from",
    "from room",
    "from rack",
    "from unit",
    "to",
    "to room",
    "to rack",
    "to unit",
    "speed",
    "length",
    "length is",
    "colour",
    "group",
)
LEADS = "=+-@\t\r"
"""A cell that begins so would be reckoned as a formula by some programs for tables; it gets an apostrophe before."""


def cable_list(runs: Sequence[Run]) -> str:
    """A head and a row for each cable, with CRLF as RFC 4180 says; the colour is left to the owner where not said."""
    text = io.StringIO(newline="")
    out = csv.writer(text, lineterminator="\r\n")
    out.writerow(HEAD)
    for run in runs:
        one, other = run.ends
        out.writerow([_safe(cell) for cell in (run.label, *_end(one), *_end(other), *_rest(run))])
    return text.getvalue()


def _end(end: End) -> tuple[str, ...]:
    return (end.name, end.room, end.rack, f"{end.unit:g}" if end.unit is not None else "")


def _rest(run: Run) -> tuple[str, ...]:
    is_ = "proposed" if run.proposed else ("said" if run.length is not None else "to be measured")
    return (
        units.format(run.speed, Dimension.SPEED) if run.speed is not None else "",
        units.format(run.length, Dimension.LENGTH) if run.length is not None else "",
        is_,
        run.colour,
        run.group,
    )


def _safe(cell: str) -> str:
    return f"'{cell}" if cell.startswith(tuple(LEADS)) else cell
