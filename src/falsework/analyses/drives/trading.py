"""What does the recommended layout give, what does it trade against the next ones, and what is missing where none does?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from falsework.analyses.drives.choosing import choices
from falsework.analyses.drives.comparing import Question
from falsework.analyses.drives.machines import machine_plans
from falsework.analyses.drives.naming import chance_says, scheme_says, sizes_say, sticks_of
from falsework.analyses.drives.network import network_plans
from falsework.analyses.drives.recommending import ENOUGH
from falsework.analyses.drives.result import Bays, Layout, Stick
from falsework.errors import counted
from falsework.units import Dimension
from falsework.units import format as said

MOST_MORE = 24
"""So many more drives or bays are tried, no more."""
TRADES = 2


def trades(chosen: Layout, ranked: Sequence[Layout]) -> tuple[str, ...]:
    """What one would gain and give up with the next two of which each has something for it.

    Args:
        chosen: the one that is recommended.
        ranked: all that give what is wanted, the best first.
    """
    found = []
    told: set[tuple[str, str]] = set()
    for other in ranked:
        better, worse = tuple(_gains(chosen, other)), tuple(_gains(other, chosen))
        kind = (other.plan.scheme, other.plan.apart.value)
        if other is chosen or not better or kind in told:
            continue
        told.add(kind)
        gives_up = f" and gives up {_listed(worse)}" if worse else ""
        found.append(
            f"{scheme_says(other.plan)} on {sizes_say(sticks_of(other.plan))} instead gains {_listed(better)}{gives_up}"
        )
        if len(found) == TRADES:
            break
    return tuple(found)


def _listed(clauses: Sequence[str]) -> str:
    return clauses[0] if len(clauses) == 1 else f"{', '.join(clauses[:-1])} and {clauses[-1]}"


def _gains(here: Layout, there: Layout) -> Iterator[str]:
    """What is better there than here, in clauses that also say what is worse the other way round."""
    more = there.usable_bytes - here.usable_bytes
    if more > 0.05 * here.usable_bytes:
        yield f"{said(more, Dimension.DATA)} of room"
    for attribute, word in (("drives", "drive"), ("nodes", "node"), ("enclosures", "enclosure")):
        had, has = getattr(here.survives, attribute), getattr(there.survives, attribute)
        if has > had:
            yield f"surviving any {word}" if not had else f"surviving any {has} {word}s, not {had or 'none'}"
    least = max(min(here.usual.lost, there.usual.lost), 1e-300)
    if there.usual.lost * 2 < here.usual.lost and here.usual.lost > ENOUGH:
        ratio = here.usual.lost / least
        yield f"a chance of loss {'a thousand times' if ratio > 1e3 else f'{ratio:.0f} times'} smaller"
    if not here.heals.drive_bytes and there.heals.drive_bytes:
        yield "healing itself when a drive is lost"
    if there.rebuild_s * 1.5 < here.rebuild_s:
        yield f"a rebuild of {said(there.rebuild_s, Dimension.TIME)}, not {said(here.rebuild_s, Dimension.TIME)}"
    if there.watts.high * 1.1 < here.watts.high:
        yield f"{here.watts.high - there.watts.high:.0f} W"
    fewer = here.drives - there.drives
    if fewer > 0:
        yield f"{counted(fewer, 'drive')} left over"


def reasons(chosen: Layout, asked: Question) -> str:
    """Why it is recommended, in words."""
    parts = []
    if asked.wanted.room_bytes is not None:
        parts.append(f"it holds the {said(asked.wanted.room_bytes, Dimension.DATA)} that are wanted")
    parts.append(f"survives any {counted(chosen.survives.drives, 'drive')} lost at once")
    if chosen.survives.nodes:
        parts.append("goes on with any one node gone")
    small = chosen.usual.lost <= ENOUGH
    parts.append(
        f"has a chance of loss of {chance_says(chosen.usual.lost)} a year"
        + (", below which other mishaps are likelier" if small else "")
    )
    return _listed(parts)


def needed(asked: Question) -> tuple[str, ...]:
    """Where no layout gives what is wanted: how many more bays or drives would do, tried one by one."""
    if not asked.sticks:
        return ("drives that say their size",)
    found = []
    over = len(asked.sticks) - sum(each.free for each in asked.bays)
    if over > 0 and asked.bays:
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
        if asked.bays and _does(sticks, bays, asked):
            with_bays = f" and {counted(min(short, more), 'more bay')}" if short else ""
            found.append(
                f"{counted(more, 'more drive')} of {said(largest.size_bytes, Dimension.DATA)}{with_bays}"
            )
            break
    if not asked.bays:
        found.append("machines with free bays: name them under `bays of`, and tell their `bays`")
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
