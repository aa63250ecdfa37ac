"""How are the rows of the recovery table and the margins said, at the terminal and on the page?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.history import Left, Recovery, Row, Sort
from falsework.analyses.history.summary import seconds_said
from falsework.errors import counted, few

HEADS = ("what", "may take", "foretold", "worst", "usual", "last proved")
"""Over the cells of `cells`."""
MARGINS = "How many more failures until each service falls"
"""Over `margins`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginSaid:
    """Services with the same margin.

    Attributes:
        least: `0`, `1`, `2` or `3 or more`.
        services: in lab order.
        says: what brings them down, a clause; empty where nothing is known.
        less: whether what is out now has taken some of it.
    """

    least: str
    services: tuple[str, ...]
    says: str
    less: bool


def cells(row: Row) -> tuple[str, ...]:
    """A row in words, as under `HEADS`."""
    what = {
        Sort.INTERRUPTED: row.of,
        Sort.RESTORED: f"{row.of}, restored",
        Sort.RAISED: f"all, after a power cut ({row.of})",
    }[row.sort]
    return (
        what,
        "" if row.aim_s is None else seconds_said(row.aim_s),
        foretold(row),
        _took(row.worst_s),
        _took(row.usual_s),
        proved(row),
    )


def foretold(row: Row) -> str:
    """What the lab file says of it: `5 s (gate-1)`; `stays out (c1)` where nothing ends by itself."""
    if row.foretold_s is None:
        return f"stays out ({row.stays_out_by})" if row.stays_out_by else ""
    by = f" ({row.foretold_by})" if row.foretold_by else ""
    stays = f", stays out ({row.stays_out_by})" if row.stays_out_by else ""
    return f"{seconds_said(row.foretold_s)}{by}{stays}"


def proved(row: Row) -> str:
    """When it was last proved, and by what; and what went wrong since."""
    said = "never"
    if row.proof is not None:
        by = f"run {row.proof.run}" if row.proof.run else "the lab file"
        drill = f", {row.proof.drill}" if row.proof.drill else ""
        said = f"{row.proof.on.isoformat()} ({by}{drill})"
    if row.failed is not None:
        said += f"; it did not come back in run {row.failed.run}"
    elif row.met is False:
        said += f"; too late in run {row.trials[-1].run}"
    return said


def state(row: Row) -> str:
    """Which sort of word tells of it: `falls`, `thin`, `stands`, or none."""
    if row.bad:
        return "falls"
    return "thin" if row.proof is None else ""


def headline(found: Recovery, runs: int) -> str:
    """The short answer, a sentence."""
    rows = found.rows
    bad = [row for row in rows if row.bad]
    never = [row for row in rows if row.proof is None]
    begin = f"{counted(runs, 'run')} kept" if runs else "No run is kept yet"
    if not rows:
        return f"{begin}; nothing in the lab file has to come back by itself."
    if bad:
        one = bad[0]
        what = "did not come back" if one.failed else "took too long"
        more = f", and {len(bad) - 1} more went wrong" if len(bad) > 1 else ""
        return f"{begin}; {one.of} {what} in run {one.trials[-1].run}{more}."
    if never:
        verb = "was" if len(never) == 1 else "were"
        return f"{begin}; {len(never)} of {len(rows)} things that must come back {verb} never proved."
    oldest = rows[0]
    assert oldest.proof is not None
    return f"{begin}; everything that must come back was proved, {oldest.of} the longest ago ({oldest.proof.on.isoformat()})."


def margins(left: Sequence[Left]) -> tuple[MarginSaid, ...]:
    """Services by the margin that is left, the smallest first, those that lost some of it before the others."""
    groups: dict[tuple[float, bool, tuple[str, ...], int], list[Left]] = {}
    for each in left:
        least = math.inf if each.least is None else each.least
        # Of pairs there are many: the services are told together, with one as an example.
        by, ways = (each.by, each.ways) if each.least == 1 else ((), 0)
        groups.setdefault((least, not each.less, by, ways), []).append(each)
    return tuple(
        _margin(groups[key]) for key in sorted(groups, key=lambda key: (key[0], key[1], -len(groups[key])))
    )


def ground(left: Sequence[Left]) -> str:
    """What is counted apart, a sentence; empty for nothing."""
    names = tuple(dict.fromkeys(name for each in left for name in each.ground))
    if not names:
        return ""
    return f"Counted apart, since much stands on them: {few(names, 6)}."


def _margin(group: Sequence[Left]) -> MarginSaid:
    one = group[0]
    if one.least == 0:
        says = "down now"
    elif one.least == 1:
        rest = f" or {counted(one.ways - 1, 'other part')}" if one.ways > 1 else ""
        says = f"{one.by[0]}{rest}"
    elif one.least == 2:
        says = f"such as {' and '.join(one.by)}"
    else:
        says = f"no {'two parts' if one.looked_at == 2 else 'single part'} can bring down"
    if one.less:
        built = "more" if one.least_built is None else str(one.least_built)
        says += f"; {built} with nothing out"
    least = str(one.least) if one.least is not None else f"{one.looked_at + 1} or more"
    return MarginSaid(least=least, services=tuple(each.service for each in group), says=says, less=one.less)


def _took(seconds: float | None) -> str:
    if seconds is None:
        return ""
    return "stayed out" if math.isinf(seconds) else seconds_said(seconds)
