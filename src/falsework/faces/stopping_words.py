"""How is a stop on battery said, on the terminal and on paper?

Every piece is a clause without its full stop.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from falsework import units
from falsework.analyses.shutdown.result import Machine, Shutdown, Waking, Way
from falsework.errors import few
from falsework.units import Dimension

Labelled = tuple[str, str]
"""A label of one word or two, and a clause."""


def time(seconds: float) -> str:
    """A time, whole minutes from ten minutes on."""
    if not math.isfinite(seconds):
        return "ever"
    return units.format(round(seconds / 60.0) * 60.0 if seconds >= 600.0 else round(seconds), Dimension.TIME)


def early(seconds: float) -> str:
    """A latest moment, never rounded up: whole minutes from two minutes on."""
    return units.format(seconds - seconds % (60.0 if seconds >= 120.0 else 1.0), Dimension.TIME)


def exactly(seconds: float) -> str:
    """How much too short or to spare, to the second below an hour."""
    return units.format(round(seconds) if seconds < 3600.0 else seconds, Dimension.TIME)


def headline(each: Shutdown) -> str:
    """Whether a battery lasts, and whether all are told, in one line."""
    if each.unreached:
        return f"{each.ups}: the message to stop does not reach {few(each.unreached)}; if it did: {_lasting(each)}"
    return f"{each.ups}: {_lasting(each)}"


def _lasting(each: Shutdown) -> str:
    if each.cut_hard:
        return f"{exactly(-each.spare_s)} too short; {few(each.cut_hard)} would be cut hard"
    if each.cut_off:
        return f"its outlets go off too soon; {few(each.cut_off)} would be cut hard"
    if not each.done_s:
        return "nothing that it carries is told to stop"
    last = max(each.done_s.values())
    spare = (
        "and its power never ends" if not math.isfinite(each.spare_s) else f"{exactly(each.spare_s)} to spare"
    )
    return f"all has stopped {time(last)} after the cut, {spare}"


def details(each: Shutdown) -> Iterator[Labelled]:
    """What is behind the headline, and how to mend what is wrong, in reading order."""
    if each.cut_hard:
        if each.latest_signal_s >= 0:
            yield "mend", f"signal after {early(each.latest_signal_s)} at the latest"
        else:
            yield "mend", "no signal is early enough: a larger battery, or less on it"
    yield "load", _load(each)
    if each.uncounted:
        yield (
            "",
            f"nobody says what {few(each.uncounted)} {_verb(each.uncounted, 'draws', 'draw')}: not counted",
        )
    if len(each.path) > 1:
        yield "longest", "the last to stop waits for what leans on it: " + ", then ".join(each.path)
    if each.cut_off:
        last = max(each.done_s[name] for name in each.cut_off)
        yield (
            "outlets",
            f"{each.ups} switches them off {time(each.cuts_s or 0.0)} after the cut, before {few(each.cut_off)} stopped",
        )
        yield "mend", f"`then cuts: {time(math.ceil((last - each.signal_s) / 60.0) * 60.0)}` or more"
    if each.dark:
        yield (
            "note",
            f"{few(each.dark)} {_verb(each.dark, 'has', 'have')} no power from the cut on, so there is nobody to tell",
        )
    if each.needless:
        yield (
            "note",
            f"{few(each.needless)} {_verb(each.needless, 'is', 'are')} stopped though another cord keeps power",
        )
    if each.left_on:
        yield "left on", f"nobody tells {few(each.left_on)}: cut off when the battery is empty"
    yield from _message(each)
    yield from _returns(each)


def _load(each: Shutdown) -> str:
    watts = units.format(round(each.load_w), Dimension.POWER)
    if each.trips:
        return f"{watts} at first, later more than it carries: it shuts off after {time(each.runtime_s)}"
    said = f"{watts}, taken as constant: empty after {time(each.runtime_s)}"
    falling = (
        "as the load falls it is never empty"
        if not math.isfinite(each.falling_s)
        else f"as the load falls after {time(each.falling_s)}"
    )
    if not each.cut_hard:
        return f"{said}; {falling}"
    if each.cut_falling:
        return f"{said}; {falling}, and {few(each.cut_falling)} {_verb(each.cut_falling, 'is', 'are')} cut hard even so"
    return f"{said}; {falling}, and nothing is cut hard then, if the figures are right"


def _message(each: Shutdown) -> Iterator[Labelled]:
    """Over what the message goes, ways that are alike told once."""
    groups: dict[tuple[str, ...], list[Way]] = {}
    for way in each.ways:
        key = tuple(hop.name for hop in way.hops) if way.there else ("", way.to)
        groups.setdefault((*key, str(way.arrives), str(way.to in each.slow)), []).append(way)
    for ways in groups.values():
        first, to = ways[0], few([way.to for way in ways], 6)
        if not first.there:
            yield "message", f"no wire leads from {first.sender} to {to}"
            continue
        over = [hop for hop in first.hops if hop.name != first.sender]
        by = f"from {first.sender} to {to}" + (
            " over " + ", then ".join(f"{hop.name} {_until(hop.until_s)}" for hop in over) if over else ""
        )
        if first.arrives and first.to not in each.slow:
            yield "message", by
        elif first.arrives:
            yield "message", f"{by}: all must be told at once, for later the way is down"
        else:
            falls = [hop.name for hop in first.falls]
            yield "message", f"does not arrive {by}"
            yield (
                "mend",
                f"feed {few(falls)} from a battery that lasts longer than {time(max(way.begins_s for way in ways))}",
            )


def _until(seconds: float) -> str:
    return "(power for ever)" if not math.isfinite(seconds) else f"(power for {time(seconds)})"


def _returns(each: Shutdown) -> Iterator[Labelled]:
    back = each.returns
    if back is None:
        return
    if back.window_s is not None:
        begin, end = back.window_s
        worst = (
            f"; most of them from {time(back.worst_s)} on" if back.worst_s and back.worst_s > begin else ""
        )
        until = (
            f"between {time(begin)} and {time(end)}"
            if math.isfinite(end)
            else f"at any moment from {time(begin)} on"
        )
        yield (
            "returns",
            f"power that is back {until} after the cut leaves {few(back.off)} off until a hand comes{worst}",
        )
        for clause in returns_mends(each):
            yield "mend", clause
    if back.set_off:
        yield (
            "returns",
            f"{few(back.set_off)} {_verb(back.set_off, 'stays', 'stay')} off whenever the power returns: as it was, after an orderly stop, is off",
        )
        it = "it" if len(back.set_off) == 1 else "them"
        yield "mend", f"set {it} to come on with power, and write `power back: on`"


def returns_mends(each: Shutdown) -> Iterator[str]:
    """How to have machines wake after a return half-way."""
    back = each.returns
    if back is None:
        return
    alone = tuple(name for name in back.off if name not in back.elsewhere)
    if alone:
        # After whatever it carries has stopped, not only what would be woken.
        last = max(each.done_s.values(), default=each.signal_s)
        minutes = math.ceil((last - each.signal_s) / 60.0 + 1.0) * 60.0
        also = (
            f"; {few(each.left_on)} {_verb(each.left_on, 'goes', 'go')} dark then too" if each.left_on else ""
        )
        yield f"let {each.ups} switch its outlets off after the stop (`then cuts: {time(minutes)}`): they see the power return{also}"
    if back.elsewhere:
        yield (
            f"{few(back.elsewhere)} {_verb(back.elsewhere, 'has', 'have')} a cord elsewhere and never "
            f"{_verb(back.elsewhere, 'sees', 'see')} the power go: plan who switches them on, and how from afar"
        )


MACHINES_HEAD = ("machine", "told by", "stopped", "power until", "stays off if back", "wakes by")
"""The head over what `machine_row` gives."""


def machine_row(machine: Machine) -> tuple[str, str, str, str, str, str]:
    """A machine that is told: when it has stopped, and what wakes it when the power is back."""
    hand = "a hand or its controller" if machine.from_afar else "a hand"
    if machine.after is Waking.SETTING:
        off, by = "at any time", f"{hand}: it is not set to come on"
    elif machine.stays_off is None:
        off, by = "never", "itself"
    else:
        begin, end = machine.stays_off
        off = f"{time(begin)} to {time(end)}" if math.isfinite(end) else f"from {time(begin)} on"
        by = hand
    return machine.name, machine.told_by, time(machine.done_s), power_until(machine), off, by


def power_until(machine: Machine) -> str:
    """How long a machine has power."""
    return "for ever" if not math.isfinite(machine.power_s) else time(machine.power_s)


def _verb(names: tuple[str, ...], one: str, many: str) -> str:
    return one if len(names) == 1 else many
