"""Where do the bars of wire and power lie, so that none covers another?

Each bar spans what it serves and what stands on it. Bars that do not overlap share a row, so forty switches of
twenty racks take a few rows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from falsework.faces.report.bars import GROUND, TYPE, Bar, Plan, Tie
from falsework.faces.report.columns import Columns
from falsework.faces.report.svg import width_of

APART = 4.0
"""Between two bars of one row: racks stand as close, and their bars are to lie beside each other."""
ASIDE = 10.0
"""Between two of what stands on its own."""
MOST_NAMED = 28
"""With more bars than this, a bar is no longer made wide enough for its name."""


def laid(
    plan: Plan, columns: Columns, *, left: float, right: float, above: Mapping[str, Bar] | None = None
) -> Plan:
    """The bars with their edges and rows.

    Args:
        plan: what to lay.
        columns: the uprights.
        left: the edge of the sheet's middle.
        right: the other edge.
        above: bars laid before, of which some may stand on these.
    """
    above = above or {}
    spans = {name: _span(bar, columns) for name, bar in plan.bars.items()}
    for tie in plan.ties:
        if tie.lower in spans and tie.upper in above:
            bar = above[tie.upper]
            foot = spans[tie.lower]
            spans[tie.lower] = (
                (bar.left, min(bar.left + 60, bar.right))
                if foot is None
                else _reaching(foot, (bar.left, bar.right))
            )
    for _ in range(6):  # a bar spans what stands on it, which may itself stand on something
        for tie in plan.ties:
            upper, lower = spans.get(tie.upper), spans.get(tie.lower)
            if tie.upper not in spans or tie.lower not in spans:
                continue
            if upper is None:
                spans[tie.upper] = lower
            elif lower is None:
                spans[tie.lower] = upper
            elif plan.bars[tie.upper].level < plan.bars[tie.lower].level:
                spans[tie.lower] = min(lower[0], upper[0]), max(lower[1], upper[1])
            else:
                spans[tie.lower] = _reaching(lower, upper)
    bars: dict[str, Bar] = {}
    free: dict[str, Bar] = {}
    for name, bar in plan.bars.items():
        start, end = spans[name] or (left, left)
        named = bool(bar.says) and (len(plan.bars) <= MOST_NAMED or bar.level == GROUND)
        least = width_of(bar.says, TYPE) + 16 if named else 8
        wide = max(end - start, least)
        start = max(min(start, right - wide), left)
        done = replace(bar, left=start, right=min(start + wide, right))
        (free if spans[name] is None and bar.level == GROUND else bars)[name] = done
    return Plan(
        bars={**_in_rows(bars), **_in_line(free, bars, max(columns.left, left), right)}, ties=plan.ties
    )


def _span(bar: Bar, columns: Columns) -> tuple[float, float] | None:
    if not bar.joints:
        return None
    ends = [columns.columns[joint.column] for joint in bar.joints]
    return ends[0].left, ends[-1].right


def _reaching(span: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """A span made long enough to pass under another."""
    if span[1] < other[0] + 24:
        return span[0], other[0] + 24
    if span[0] > other[1] - 24:
        return other[1] - 24, span[1]
    return span


def _in_rows(bars: Mapping[str, Bar]) -> dict[str, Bar]:
    """Each bar in the first row of its level where it has room."""
    found: dict[str, Bar] = {}
    base = 0
    for level in sorted({bar.level for bar in bars.values()}):
        rows: list[list[Bar]] = []
        for bar in sorted((bar for bar in bars.values() if bar.level == level), key=lambda each: each.left):
            row = next(
                (number for number, ends in enumerate(rows) if ends[-1].right + APART <= bar.left), len(rows)
            )
            if row == len(rows):
                rows.append([])
            rows[row].append(bar)
            found[bar.name] = replace(bar, row=base + row)
        base += len(rows)
    return {name: found[name] for name in bars}


def _in_line(free: Mapping[str, Bar], bars: Mapping[str, Bar], left: float, right: float) -> dict[str, Bar]:
    """What stands on its own side by side, in rows below all others."""
    row = max((bar.row for bar in _in_rows(bars).values()), default=-1) + 1
    x = left
    found: dict[str, Bar] = {}
    for bar in free.values():
        wide = bar.right - bar.left
        if x > left and x + wide > right:
            x, row = left, row + 1
        found[bar.name] = replace(bar, left=x, right=x + wide, row=row)
        x += wide + ASIDE
    return found


def tied(
    ties: Sequence[Tie], bars: Mapping[str, Bar], avoid: Sequence[float], *, from_right: bool
) -> tuple[Tie, ...]:
    """The ties with their places, apart from each other and, where there is room, from the columns.

    Args:
        ties: between bars of any plans.
        bars: every bar, laid.
        avoid: middles of the columns.
        from_right: whether to seek from the right end of where two bars overlap, or from the left.
    """
    used: list[float] = []
    found = []
    for tie in ties:
        if tie.upper not in bars or tie.lower not in bars:
            continue
        upper, lower = bars[tie.upper], bars[tie.lower]
        low, high = max(upper.left, lower.left) + 5, min(upper.right, lower.right) - 5
        if high < low:
            low, high = sorted(((upper.left + upper.right) / 2, (lower.left + lower.right) / 2))
        steps = [low + 2.0 * number for number in range(int((high - low) / 2) + 1)] or [low]
        if from_right:
            steps.reverse()
        x = next(
            (
                x
                for x in steps
                if all(abs(x - each) >= 7 for each in used) and all(abs(x - each) >= 4 for each in avoid)
            ),
            next((x for x in steps if all(abs(x - each) >= 4 for each in used)), steps[0]),
        )
        used.append(x)
        found.append(replace(tie, x=x))
    return tuple(found)
