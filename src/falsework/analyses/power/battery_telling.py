"""How is told how long a battery lasts, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.power.battery_result import Age, Battery, From, Runtime
from falsework.analyses.power.telling import share_said, watts
from falsework.engines.battery import LEFT_AT_END
from falsework.errors import few
from falsework.units import Dimension

BATTERY_HEAD = ("battery", "when", "load", "of it", "lasts", "a new one")


def lasts(seconds: float) -> str:
    """`17 min`."""
    return units.format(seconds, Dimension.TIME)


def battery_says(battery: Battery) -> str:
    """`battery lasts 17 min with all busy when the power is cut (950 W), 34 min on an ordinary day`."""
    _, usual, busy = battery.cut
    if busy.over:
        return battery_over(battery)
    if busy.watts <= 0:
        return f"nobody says what hangs on {battery.ups}: {lasts(busy.lasts_s)} is the least that is told or taken"
    said = (
        f"{battery.ups} lasts {lasts(busy.lasts_s)} with all busy when the power is cut ({watts(busy.watts)})"
    )
    if usual.watts < busy.watts:
        said += f", {lasts(usual.lasts_s)} on an ordinary day ({watts(usual.watts)})"
    return said


def battery_over(battery: Battery) -> str:
    """`when the power is cut, battery is asked for 1,500 W, all busy, and carries 1,350 W: it shuts off at once`."""
    busy = battery.cut[-1]
    return (
        f"when the power is cut, {battery.ups} is asked for {watts(busy.watts)} with all busy, and carries "
        f"{watts(battery.carries or 0.0)}: it shuts off at once"
    )


def battery_mend(battery: Battery) -> str:
    """What to do where it is asked for too much."""
    return (
        f"move machines off {battery.ups}, or take a larger one: at the cut it alone feeds what else has two"
    )


def battery_notes(battery: Battery) -> tuple[str, ...]:
    """What else is to be known of it: where the figure comes from, and age. Sentences without their full stops."""
    said = []
    if battery.reckoned is From.NOTHING:
        said.append(
            f"nobody says how long {battery.ups} lasts: give `runs`, times at loads, or `battery`, its energy"
        )
    if battery.reckoned is From.CURVE:
        if battery.aged_s is not None and battery.left < 1:
            said.append(
                f"the curve of {battery.ups} counts as it is written; if it is that of a new battery, the "
                f"{share_said(battery.left)} that are left give {lasts(battery.aged_s)} with all busy"
            )
    elif battery.reckoned is From.ENERGY and battery.left < 1:
        new = battery.cut[-1].new_s
        how = "" if battery.age is Age.SAID else ", by its hours"
        if new is not None and not battery.cut[-1].over:
            said.append(
                f"the battery of {battery.ups} has {share_said(battery.left)} of its new capacity left{how}; a new battery "
                f"would last {lasts(new)}"
            )
    if old(battery.left):
        said.append(
            f"the battery of {battery.ups} is at the end of its life: test it under load, or replace it"
        )
    return tuple(said)


def old(left: float) -> bool:
    """Whether so little of its new capacity is left that a battery should be replaced; all of it where nobody says."""
    return left < LEFT_AT_END - 1e-9


def battery_rows(battery: Battery, most: int = 3) -> tuple[tuple[str, ...], ...]:
    """What stands under `BATTERY_HEAD`: the cut at each draw, its own feed alone, and the worst losses before that."""
    rows = [_row(battery.ups, f"power cut, {_word(each)}", each) for each in reversed(battery.cut)]
    rows.append(_row("", "only its own feed fails, busy", battery.alone[-1]))
    rows.extend(
        _row("", f"{_either(names)} lost before, busy", each)
        for names, each in list(_alike(battery.losses))[:most]
    )
    return (rows[0], *(("", *row[1:]) for row in rows[1:]))


def _either(names: Sequence[str], most: int = 3) -> str:
    """`c2 or B`, since each is lost alone."""
    if len(names) > most:
        return few(names, most)
    return f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else names[0]


def _word(runtime: Runtime) -> str:
    return "ordinary day" if runtime.when == "usual" else runtime.when


def _alike(losses: Sequence[Runtime]) -> Iterator[tuple[list[str], Runtime]]:
    """Losses that bring the same load, together."""
    groups: dict[float, tuple[list[str], Runtime]] = {}
    for each in losses:
        groups.setdefault(round(each.watts, 6), ([], each))[0].append(each.when)
    yield from groups.values()


def _row(name: str, when: str, each: Runtime) -> tuple[str, ...]:
    return (
        name,
        when,
        watts(each.watts),
        share_said(each.share),
        "shuts off" if each.over else lasts(each.lasts_s),
        "-" if each.new_s is None or each.over else lasts(each.new_s),
    )
