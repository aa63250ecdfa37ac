"""How is what can be made again, and what can not, said in short?"""

from __future__ import annotations

import math

from falsework.analyses.rebuild.result import (
    Fate,
    Loss,
    Rebuild,
    Source,
    Way,
)
from falsework.errors import counted, listed
from falsework.faces.cli.words import called_all, joined
from falsework.support.standing import Standing
from falsework.units import format_time

MOST_FATES = 3
"""Fates told in the short answer of each loss."""


def headline(found: Rebuild) -> str:
    """The short answer, without the lab's name."""
    gone = dict.fromkeys(
        fate.thing for loss in found.losses for fate in loss.fates if fate.way is Way.ONLY_HERE
    )
    stuck = sum(1 + len(loss.alike) for loss in found.losses if loss.way is Way.STAND_IN)
    said = [
        f"{listed(gone, 4)} {'exists' if len(gone) == 1 else 'exist'} only here"
        if gone
        else "nothing exists only here"
    ]
    if stuck:
        said.append(f"{counted(stuck, 'thing')} can't be made again without a stand-in")
    saves = found.teardown.saves
    said.append(
        f"save {listed([each.thing for each in saves], 4)} before you take it down"
        if saves
        else "nothing has to be saved before you take it down"
    )
    return "; ".join(said)


def _count(loss: Loss) -> int:
    return sum(1 for fate in loss.fates if fate.way is loss.way)


def ranked(found: Rebuild) -> tuple[Loss, ...]:
    """The losses, worst first: by what comes of them, then by how much of it, those made again the slowest first."""
    ways = tuple(reversed(tuple(Way)))
    return tuple(
        sorted(
            found.losses,
            key=lambda each: (
                ways.index(each.way),
                -each.back_s.likely if each.way is Way.MADE else -_count(each),
            ),
        )
    )


def short(standing: Standing, loss: Loss) -> str:
    """One loss on one line: what it was, what comes of the worst of it, when it is over."""
    if loss.way is Way.MADE:
        return f"{_names(standing, loss)}: {over_said(loss)}{_misses(loss)}"
    worst = [fate for fate in loss.fates if fate.way is loss.way]
    said = "; ".join(
        f"{fate.thing}, {_why_short(fate)}" if fate.thing not in loss.lost else _why_short(fate)
        for fate in (worst[:1] if loss.way is Way.STAND_IN else worst[:MOST_FATES])
    )
    if loss.way is Way.STAND_IN and len(worst) > 1:
        said = f"{listed([fate.thing for fate in worst], MOST_FATES)}: {said}"
    elif len(worst) > MOST_FATES:
        said += f"; and {len(worst) - MOST_FATES} more"
    return f"{_names(standing, loss)}: {said}; {over_said(loss)}{_misses(loss)}"


def _misses(loss: Loss) -> str:
    late = [each.data for each in loss.broken]
    if not late:
        return ""
    return f"; {listed(late, 3)} {'misses its objective' if len(late) == 1 else 'miss their objectives'}"


def _names(standing: Standing, loss: Loss) -> str:
    first = called_all(loss.lost, standing.lab)
    return f"{first} (or {listed(loss.alike, 3)})" if loss.alike else first


def over_said(loss: Loss) -> str:
    """When all of a loss stands again, a clause."""
    if math.isinf(loss.back_s.likely):
        return "not all of it ever stands again"
    if loss.back_s.likely == 0:
        return "nothing stops"
    return f"over after {format_time(loss.back_s.likely)}{f', {format_time(loss.hands_s)} of work' if loss.hands_s else ''}"


def ends_said(loss: Loss) -> str:
    """What is gone for good by a loss, and when the rest stands again, a clause."""
    gone = [fate.thing for fate in loss.fates if fate.way is Way.ONLY_HERE]
    said = f"{listed(gone, 4)} {'is' if len(gone) == 1 else 'are'} gone for good; " if gone else ""
    if math.isinf(loss.back_s.likely):
        return f"{said}not all of it ever stands again"
    lent = f" with {joined(loss.stand_ins)}" if loss.stand_ins else ""
    low, high = loss.back_s.low, loss.back_s.high
    spread = f" ({format_time(low)} to {format_time(high)})" if low < high else ""
    return f"{said}the rest stands again after {format_time(loss.back_s.likely)}{spread}{lent}, {format_time(loss.hands_s)} of work"


def _why_short(fate: Fate) -> str:
    if fate.source is None:
        return why_said(fate)
    every = f", made every {format_time(fate.source.every_s)}" if fate.source.every_s is not None else ""
    return f"from {listed(fate.source.to)}{every}, {proved_said(fate.source)}"


def why_said(fate: Fate) -> str:
    """Why a thing does not come back by itself, a clause."""
    if fate.way is Way.STAND_IN:
        helps = f"with {joined(fate.stand_ins)}" if fate.stand_ins else "no accepted stand-in helps"
        chain = " -> ".join(fate.circle) if fate.circle else "; ".join(fate.reasons)
        return f"{helps} ({chain})" if chain else helps
    return "; ".join(fate.reasons)


def proved_said(source: Source) -> str:
    """When a restore from a backup was last seen to work, a clause."""
    return f"restored {source.proved.isoformat()}" if source.proved else "never seen restored"
