"""What does the recommended layout give, what does it trade against the next ones, and what is missing where none does?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from falsework.analyses.drives.choosing import choices
from falsework.analyses.drives.comparing import Question
from falsework.analyses.drives.machines import machine_plans
from falsework.analyses.drives.naming import (
    any_says,
    chance_says,
    plan_says,
)
from falsework.analyses.drives.network import network_plans
from falsework.analyses.drives.recommending import ENOUGH
from falsework.analyses.drives.result import Bays, Layout, Stick
from falsework.errors import counted, few
from falsework.units import Dimension
from falsework.units import format as said

MOST_MORE = 24
"""So many more drives or bays are tried, no more."""
TRADES = 2


def trades(chosen: Layout, ranked: Sequence[Layout]) -> tuple[str, ...]:
    """What the next two have for them and against them, of those that have something for them.

    Args:
        chosen: the one that is recommended.
        ranked: all that give what is wanted, the best first.
    """
    found = []
    told: set[tuple[str, str]] = set()
    for other in ranked:
        better, worse = differs(chosen, other)
        kind = (other.plan.scheme, other.plan.apart.value)
        if other is chosen or not better or kind in told:
            continue
        told.add(kind)
        but = f", but {_listed(worse)}" if worse else ""
        found.append(f"{plan_says(other.plan)}, {_listed(better)}{but}")
        if len(found) == TRADES:
            break
    return tuple(found)


def _listed(clauses: Sequence[str]) -> str:
    return few(clauses, len(clauses))


def differs(here: Layout, there: Layout) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """In what another layout is better, and in what worse, as clauses of which it is the subject."""
    better: list[str] = []
    worse: list[str] = []
    more = there.usable_bytes - here.usable_bytes
    if abs(more) > 0.02 * here.usable_bytes:
        size = said(abs(more), Dimension.DATA)
        (better if more > 0 else worse).append(f"has {size} {'more' if more > 0 else 'less'} room")
    changes = [
        (word, getattr(there.survives, attribute), getattr(here.survives, attribute))
        for attribute, word in (("drives", "drive"), ("nodes", "node"), ("enclosures", "enclosure"))
    ]
    more_of = [each for each in changes if each[1] > each[2]]
    less_of = [each for each in changes if 0 < each[1] < each[2]]
    none_of = [word for word, has, had in changes if not has and had]
    if more_of:
        just = " or ".join(any_says(had, word) for word, _, had in more_of if had)
        better.append(
            f"survives {' or '.join(any_says(has, word) for word, has, _ in more_of)}"
            + (f", not just {just}" if just else "")
        )
    if less_of:
        worse.append(
            f"survives only {' or '.join(any_says(has, word) for word, has, _ in less_of)}, "
            f"not {' or '.join(any_says(had, word) for word, _, had in less_of)}"
        )
    if none_of:
        worse.append(f"does not survive the loss of any {' or '.join(none_of)}")
    ours, theirs = max(here.usual.lost, 1e-300), max(there.usual.lost, 1e-300)
    if max(ours, theirs) > ENOUGH and max(ours, theirs) > 1.3 * min(ours, theirs):
        chances = f"loses data with a chance of {chance_says(theirs)} a year, not {chance_says(ours)}"
        (better if theirs < ours else worse).append(chances)
    if bool(here.heals.drive_bytes) != bool(there.heals.drive_bytes):
        if there.heals.drive_bytes:
            better.append("heals itself when a drive is lost")
        else:
            worse.append("does not heal itself when a drive is lost")
    if max(there.rebuild_s, here.rebuild_s) > 1.3 * min(there.rebuild_s, here.rebuild_s):
        times = (
            f"rebuilds in {said(there.rebuild_s, Dimension.TIME)}, not {said(here.rebuild_s, Dimension.TIME)}"
        )
        (better if there.rebuild_s < here.rebuild_s else worse).append(times)
    watts = there.watts.high - here.watts.high
    if abs(watts) > 0.05 * max(there.watts.high, here.watts.high):
        (better if watts < 0 else worse).append(f"draws {abs(watts):.0f} W {'less' if watts < 0 else 'more'}")
    drives = there.drives - here.drives
    if drives:
        count = counted(abs(drives), "drive")
        (better if drives < 0 else worse).append(f"takes {count} {'fewer' if drives < 0 else 'more'}")
    return tuple(better), tuple(worse)


def reasons(chosen: Layout, asked: Question) -> str:
    """Why it is recommended, in words."""
    wanted = asked.wanted.room_bytes
    parts = []
    if wanted is not None:
        parts.append(f"holds the {said(wanted, Dimension.DATA)} that are wanted")
    if chosen.survives.drives:
        parts.append(f"survives the loss of {any_says(chosen.survives.drives, 'drive')}")
    if chosen.survives.nodes:
        parts.append("goes on with any node gone")
    if chosen.heals.drive_bytes >= (chosen.usable_bytes if wanted is None else wanted) * (1 - 1e-9):
        parts.append("heals itself when a drive is lost")
    rarer = f"of those that do so none is ten times as safe ({chance_says(chosen.usual.lost)} a year)"
    if chosen.usual.lost <= ENOUGH:
        rarer = f"a loss is rarer than {chance_says(ENOUGH)} a year, below which other mishaps are likelier"
    last = "has most room" if wanted is None else "draws least"
    does = f"it {_listed(parts)}" if parts else "no loss need be survived"
    return f"{does}; {rarer}; of those like it, it {last}"


def needed(asked: Question) -> tuple[str, ...]:
    """Where no layout gives what is wanted: how many more bays or drives would do, tried one by one."""
    if not asked.sticks:
        return ("drives that say their size",)
    if not asked.bays:
        return ("machines with free bays: name them under `bays of`, and tell their `bays`",)
    found = []
    over = len(asked.sticks) - sum(each.free for each in asked.bays)
    if over > 0:
        for more in range(1, min(over, MOST_MORE) + 1):
            if _does(asked.sticks, _wider(asked.bays, more), asked):
                found.append(f"{counted(more, 'more bay')}, for drives that lie in the heap already")
                break
    largest = max(asked.sticks, key=lambda each: each.size_bytes)
    for more in range(1, MOST_MORE + 1):
        extra = tuple(replace(largest, name=f"{largest.name} more {number}") for number in range(more))
        sticks = (*asked.sticks, *extra)
        short = max(len(sticks) - sum(each.free for each in asked.bays), 0)
        bays = _wider(asked.bays, min(short, more))
        if _does(sticks, bays, asked):
            with_bays = f" and {counted(min(short, more), 'more bay')}" if short else ""
            found.append(
                f"{counted(more, 'more drive')} of {said(largest.size_bytes, Dimension.DATA)}{with_bays}"
            )
            break
    return tuple(found)


def _wider(bays: Sequence[Bays], more: int) -> tuple[Bays, ...]:
    """So many bays more, spread over the machines."""
    each, rest = divmod(more, len(bays))
    return tuple(replace(one, free=one.free + each + (number < rest)) for number, one in enumerate(bays))


def _does(sticks: Sequence[Stick], bays: Sequence[Bays], asked: Question) -> bool:
    """Whether some layout then gives what is wanted."""
    wanted = asked.wanted
    return any(
        wanted.room_bytes is None or plan.usable_bytes >= wanted.room_bytes
        for chosen in choices(sticks)
        for plan in (
            *machine_plans(chosen, bays, least=wanted.most_lost),
            *network_plans(chosen, bays, least=wanted.most_lost),
        )
    )
