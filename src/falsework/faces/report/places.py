"""What does a report say of where copies should run?"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from falsework.analyses.placing.result import Placing
from falsework.analyses.placing.strides import disks_move, shown, unknown
from falsework.analyses.placing.telling import headline, level_cells, move_cells
from falsework.errors import few
from falsework.faces.report.chances import Figure
from falsework.faces.report.panel import stacked
from falsework.faces.report.stacks import stacks
from falsework.model.lab import Lab

MOST_MOVES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The section, ready to be set.

    Attributes:
        bad: whether an aim stays broken, or nothing can be placed.
        lead: the short answer, a sentence without its full stop.
        why_not: what contradicts itself, each with its place in the lab file.
        smallest: whether no fewer of these do.
        would_do: the changes that would help, all together.
        figure: the machines with their copies; None where nothing was placed.
        levels: what is counted, today, then, what nothing can be under, and what that means.
        moves: number, copy, from, to, how much is copied, how long at the least, what is not right after it.
        more_moves: how many are not listed.
        unknown: the copies of which nobody says where they run today, in words; empty where there are none.
        disks: whether disks move.
    """

    bad: bool
    lead: str
    why_not: tuple[tuple[str, str], ...]
    smallest: bool
    would_do: tuple[str, ...]
    figure: Figure | None
    levels: tuple[tuple[str, str, str, str, str], ...]
    moves: tuple[tuple[str, str, str, str, str, str, str], ...]
    more_moves: int
    unknown: str
    disks: bool


def places(lab: Lab, found: Placing | None) -> Places | None:
    """What is said of placing; None where it was not asked for, or no copy has a choice."""
    if found is None or not found.memory:
        return None
    moves = shown(found)
    lead = headline(found)
    return Places(
        bad=bool(found.broken) or not found.possible,
        lead=f"{lead[:1].upper()}{lead[1:]}",
        why_not=tuple((each.says, "" if each.where is None else str(each.where)) for each in found.why_not),
        smallest=found.smallest,
        would_do=found.would_do,
        figure=Figure(
            svg=Markup(stacked("stacks", 1400, [stacks(lab, found, width=1400)])),
            caption="A column a machine; at its left how its copies lie today.",
        )
        if found.host_of
        else None,
        levels=tuple(map(level_cells, found.levels)),
        moves=tuple(move_cells(number, each) for number, each in enumerate(moves[:MOST_MOVES], 1)),
        more_moves=max(len(moves) - MOST_MOVES, 0),
        unknown=few(unknown(found), 12),
        disks=disks_move(found),
    )
