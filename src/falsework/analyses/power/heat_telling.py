"""How is told how much heat arises where, so that every face says the same?"""

from __future__ import annotations

from falsework.analyses.power.heat_result import Heat, Heated
from falsework.analyses.power.telling import share_said, watts
from falsework.errors import few

HEAT_HEAD = ("place", "idle", "usual", "busy", "BTU/h", "tons", "cooling", "of it", "air it needs")
LEFT_OUT = (
    "if cooling fails, all of this heat stays in the room; how fast it gets warm then is not reckoned, since that "
    "hangs on walls and air"
)


def heat_says(found: Heat) -> str:
    """One line: does the cooling carry away all heat?"""
    if not found.rooms:
        return "no room is told of in which anything that draws power stands"
    over = [each for each in found.rooms if each.over]
    if over:
        more = len(over) - 1
        return f"{over_says(over[0])}{f'; the same holds of {few([each.place for each in over[1:]])}' if more else ''}"
    told = [each for each in found.rooms if each.cools]
    if told:
        most = max(told, key=lambda each: each.busy.watts / (each.cools or 1.0))
        share = share_said(most.busy.watts / (most.cools or 1.0))
        return (
            f"cooling carries away all heat where it is told of; {most.place} takes {share} of it, all busy "
            f"({watts(most.busy.watts)} of {watts(most.cools or 0.0)})"
        )
    most = max(found.rooms, key=lambda each: each.busy.watts)
    return f"most heat arises in {most.place}, {watts(most.busy.watts)} with all busy; nobody says what its cooling carries away"


def over_says(room: Heated) -> str:
    """`cellar gets 2,300 W of heat with all busy, and its cooling carries away 2,000 W`."""
    when = "on an ordinary day" if room.over_usually else "with all busy"
    amount = room.usual.watts if room.over_usually else room.busy.watts
    return f"{room.place} gets {watts(amount)} of heat {when}, and its cooling carries away {watts(room.cools or 0.0)}"


def over_why(room: Heated) -> str:
    """Where it comes from, and how much is too much."""
    excess = room.busy.watts - (room.cools or 0.0)
    return f"{few(room.machines, 5)} draw {watts(room.busy.watts)} with all busy: {watts(excess)} too much"


def over_mend(room: Heated) -> str:
    """What to do about it."""
    return f"move machines out of {room.place}, or give it cooling for {watts(room.busy.watts)} and more"


def heat_notes(found: Heat) -> tuple[str, ...]:
    """What else is to be known, sentences without their full stops."""
    said = []
    silent = [each.place for each in found.rooms if each.cools is None and each.busy.watts > 0]
    if silent and len(silent) < len(found.rooms):
        said.append(f"nobody says what cooling {few(silent)} {'has' if len(silent) == 1 else 'have'}")
    if found.rooms:
        low, high = found.inlet_c
        rise = max(found.rooms, key=lambda each: each.busy.watts).rise_k
        said.append(
            f"air is best at {low:g} to {high:g} °C where it goes in (ASHRAE TC 9.9, as quoted in public notes), and "
            f"comes out {rise:g} °C warmer, at {low + rise:g} to {high + rise:g} °C"
        )
        said.append(LEFT_OUT)
    if found.unplaced:
        said.append(
            f"in no room that is told of: {few(found.unplaced, 6)}, with {watts(found.unplaced_w)} of heat with all busy"
        )
    return tuple(said)


def heat_row(each: Heated) -> tuple[str, ...]:
    """What stands under `HEAT_HEAD`."""
    busy = each.busy
    name = each.place if each.word == "room" or not each.room else f"{each.place} in {each.room}"
    return (
        name,
        watts(each.idle.watts),
        watts(each.usual.watts),
        watts(busy.watts),
        f"{busy.btu_h:,.0f}",
        f"{busy.tons:.2f}",
        watts(each.cools) if each.cools is not None else "-",
        share_said(busy.watts / each.cools) if each.cools else "-",
        f"{busy.air_m3_h:,.0f} m³/h ({busy.air_cfm:,.0f} CFM)",
    )
