"""How is the list of cables written as CSV (RFC 4180)?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.wire.result import End, Run
from falsework.faces.rows import csv_rows
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


def cable_list(runs: Sequence[Run]) -> str:
    """A head and a row for each cable, with CRLF as RFC 4180 says; the colour is left to the owner where not said."""
    return csv_rows(HEAD, (_row(run) for run in runs))


def _row(run: Run) -> tuple[str, ...]:
    one, other = run.ends
    return (run.label, *_end(one), *_end(other), *_rest(run))


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
