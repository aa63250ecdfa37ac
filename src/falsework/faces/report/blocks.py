"""In which order do losses and services stand on the failure map, so that blocks show?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.verdicts import Singles, Verdict

MOST_ROWS = 70
MOST_COLUMNS = 60
"""What still reads on one sheet; the rest is counted."""
_WEIGHT = {Verdict.STANDS: 0, Verdict.THIN: 1, Verdict.BLINKS: 40, Verdict.FALLS: 2000, Verdict.LOST: 4000}
_Verdicts = tuple[Verdict, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Losses that do the same.

    Attributes:
        parts: ids; one of them is the loss.
        verdicts: for each column of the map.
    """

    parts: tuple[str, ...]
    verdicts: _Verdicts

    @property
    def worst(self) -> Verdict:
        """The worst in the row."""
        return max(self.verdicts, default=Verdict.STANDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Map:
    """The failure map, sorted.

    Attributes:
        columns: ids of services, loudest first; on a large map those that fare alike share a column.
        rows: loudest first.
        hurting: how many losses bring something down, those without room for a row included.
        blinking: how many only interrupt something.
        quiet: how many interrupt nothing and leave everything its spare.
        left_out: how many rows, and how many columns, are not shown for want of room.
    """

    columns: tuple[tuple[str, ...], ...]
    rows: tuple[Row, ...]
    hurting: int
    blinking: int
    quiet: int
    left_out: tuple[int, int]


def sorted_map(singles: Singles) -> Map:
    """The rows and columns of the map: equal ones together, the loudest first."""
    groups: dict[_Verdicts, list[str]] = {}
    for part, column in zip(singles.parts, singles.verdicts.T, strict=True):
        groups.setdefault(tuple(Verdict(int(value)) for value in column), []).append(part)
    return sorted_groups(groups, singles.services)


def sorted_groups(groups: Mapping[_Verdicts, Sequence[str]], services: Sequence[str]) -> Map:
    """The same of losses that are already by what they do.

    Args:
        groups: losses by the verdicts of each service.
        services: ids.
    """
    worst = {verdicts: max(verdicts, default=Verdict.STANDS) for verdicts in groups}
    ranked = [verdicts for verdicts in groups if worst[verdicts]]
    ranked.sort(key=lambda verdicts: (-worst[verdicts], -_loud(verdicts), groups[verdicts][0]))
    merged = len(services) > MOST_COLUMNS
    columns: dict[tuple[_Verdicts, int], list[int]] = {}
    for at in range(len(services)):
        columns.setdefault((tuple(row[at] for row in ranked), 0 if merged else at), []).append(at)
    order = sorted(columns, key=lambda key: (-_loud(key[0]), [-each for each in key[0]], columns[key][0]))
    # With the columns settled, rows of one weight sort by where their marks lie: that makes the blocks.
    shown = [columns[key][0] for key in order]
    ranked.sort(key=lambda row: (-worst[row], -_loud(row), [-row[at] for at in shown]))
    return Map(
        columns=tuple(tuple(services[at] for at in columns[key]) for key in order[:MOST_COLUMNS]),
        rows=tuple(
            Row(parts=tuple(groups[row]), verdicts=tuple(row[at] for at in shown[:MOST_COLUMNS]))
            for row in ranked[:MOST_ROWS]
        ),
        hurting=sum(len(groups[row]) for row in ranked if worst[row] >= Verdict.FALLS),
        blinking=sum(len(groups[row]) for row in ranked if worst[row] is Verdict.BLINKS),
        quiet=sum(len(parts) for row, parts in groups.items() if not worst[row]),
        left_out=(max(len(ranked) - MOST_ROWS, 0), max(len(order) - MOST_COLUMNS, 0)),
    )


def _loud(verdicts: Sequence[Verdict]) -> int:
    return sum(_WEIGHT[each] for each in verdicts)
