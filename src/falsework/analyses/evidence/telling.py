"""How is said what the logs say?"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from falsework import units
from falsework.analyses.evidence.result import Clock, Evidence, Point, Sort
from falsework.errors import counted, few
from falsework.logs.line import SEVERITIES
from falsework.units import Dimension

CAUTION = (
    "Logs hold names, addresses and sometimes secrets: look through what you pass on. "
    "What comes first in time need not be the cause."
)
_SHOWN = 160


def length(seconds: float) -> str:
    """A length of time as people say it: tenths under a minute, `0.4 s`, `12.3 s`, `3 min 5 s`."""
    if math.isinf(seconds):
        return "for good"
    if seconds < 0.0005:
        return "0 s"
    if seconds < 0.0995:
        return f"{seconds * 1000:.0f} ms"
    if seconds < 60:
        return f"{seconds:.1f} s".replace(".0 s", " s")
    return units.format(round(seconds), Dimension.TIME)


def since(seconds: float) -> str:
    """When something was, seen from the moment: `0.4 s after`, `3 min before`."""
    if abs(seconds) < 0.0005:
        return "at that moment"
    return f"{length(abs(seconds))} {'after' if seconds > 0 else 'before'} it"


def whose(point: Point) -> str:
    """Who says it: `desk-1, mailer`."""
    return f"{point.whose}, {point.app}" if point.app and point.app != point.whose else point.whose


def quoted(text: str, most: int = _SHOWN) -> str:
    """What a line says, short enough to be read at a glance."""
    return text if len(text) <= most else f"{text[: most - 3]}..."


def headline(found: Evidence) -> str:
    """The short answer: who spoke first; without its full stop."""
    if not found.lines:
        return "no line is in the time asked about"
    if found.first is None:
        return f"of {counted(found.lines, 'line')} none after the moment differs from an ordinary time"
    first = found.first
    said = f"{first.whose} spoke first, {since(first.at_s)}: {quoted(first.says)}"
    if found.rivals:
        said += f" (or {few(found.rivals, 3)}: the clocks are not known well enough)"
    return said


def differs_say(found: Evidence) -> str:
    """How much differs from an ordinary time; without its full stop."""
    whys = Counter(dict.fromkeys(("new", "more", "stopped", "severe", "uncompared"), 0))
    seen = set()
    for each in found.points:
        if each.why and (key := (each.whose, each.app, each.says, each.why)) not in seen:
            seen.add(key)
            whys[each.why] += 1
    said = [
        f"{whys[why]} {word}"
        for why, word in (
            ("new", "new"),
            ("more", "more often than usual"),
            ("stopped", "stopped"),
            ("severe", "severe and rare"),
            ("uncompared", "rare or bad, with nothing to compare"),
        )
        if whys[why]
    ]
    text = f"{counted(found.lines, 'line')} of {counted(found.kinds, 'kind')}"
    text += f"; told are {few(said, 5)}" if said else "; nothing differs"
    if whys["new"]:
        usual = f"about {found.chance_new:.2g} new kinds" if found.chance_new >= 0.05 else "hardly any"
        text += f" (an ordinary time of that length has {usual})"
    return text


def clock_says(clock: Clock) -> str:
    """How far a clock is off, and how well that is known; without its full stop."""
    if clock.clash:
        said = f"what ties {clock.host}'s clock to others contradicts itself, so it is taken as right"
    elif clock.known:
        within = (clock.high_s - clock.low_s) / 2
        way = "ahead" if clock.ahead_s > 0 else "behind"
        if clock.off:
            said = f"{clock.host}'s clock is {length(abs(clock.ahead_s))} {way}, to within {length(within)}"
        else:
            said = (
                f"{clock.host}'s clock is right to within {length(max(abs(clock.low_s), abs(clock.high_s)))}"
            )
    elif clock.off:
        way, bound = ("ahead", clock.low_s) if clock.low_s > 0 else ("behind", -clock.high_s)
        said = f"{clock.host}'s clock is {length(bound)} {way} or more"
    elif clock.ties:
        said = f"{clock.host}'s clock is bounded on one side only and may be right"
    else:
        said = f"nothing ties {clock.host}'s clock to another, so it is taken as right"
    if clock.set:
        said += f"; it was set {counted(clock.set, 'time')}"
    return said


def clocks_say(found: Evidence) -> Iterator[str]:
    """What is said of all clocks; sentences without full stops."""
    if not found.reference:
        if len(found.clocks) > 1:
            yield (
                f"nothing ties the clocks of {few([each.host for each in found.clocks], 4)} to each other: "
                "all are taken as right, and nobody knows how far they are"
            )
        return
    told = [each for each in found.clocks if each.host != found.reference]
    yield f"all times are by the clock of {found.reference}"
    yield from (clock_says(each) for each in told if each.off or each.clash or each.set)
    fine = [each for each in told if not (each.off or each.clash or each.set)]
    known = [each for each in fine if each.known]
    if known:
        worst = max(max(abs(each.low_s), abs(each.high_s)) for each in known)
        yield f"right to within {length(worst)}: {few([each.host for each in known], 8)}"
    loose = [each for each in fine if not each.known]
    if loose:
        yield f"not tied well enough to tell, and taken as right: {few([each.host for each in loose], 8)}"
    if not found.tied:
        yield "nothing ties the stopwatch's clock to these: its moments are taken to be by the same clock"


def unforetold_says(thing: str, point: Point) -> str:
    """What the plan says stands and something tells of; without its full stop."""
    if point.sort is Sort.SEEN:
        return f"{thing} stands by the plan, and {point.whose} was not answered {since(point.at_s)} ({point.says})"
    if point.sort is Sort.SILENT:
        return f"{thing} stands by the plan, and {point.whose} stopped saying what it always says: {quoted(point.says)}"
    return f"{thing} stands by the plan, and {whose(point)} said {since(point.at_s)}: {quoted(point.says)}"


def near_says(point: Point) -> str:
    """Where a point lies by the plan: `2 s before mail falls`; empty if nothing of it was foretold."""
    if point.near is None:
        return ""
    fall, after = point.near.foretold, point.near.after_s
    says = f"{fall.thing} {fall.verdict.word} by the plan"
    if abs(after) < 0.05:
        return f"as {says}"
    return f"{length(abs(after))} {'after' if after > 0 else 'before'} {says}"


def point_says(point: Point) -> str:
    """What a point tells, on one line."""
    if point.sort is Sort.DONE:
        return point.says
    if point.sort is Sort.FORETOLD:
        back = "" if math.isinf(point.until_s) else f", back after {length(point.until_s - point.at_s)}"
        return f"{point.whose} {point.says}{back}"
    if point.sort is Sort.SEEN:
        until = "still" if math.isinf(point.until_s) else f"for {length(point.until_s - point.at_s)}"
        return f"{point.whose}: not answered, {until} ({point.says})"
    if point.sort is Sort.SILENT:
        return f"{whose(point)}: {quoted(point.says)}"
    level = SEVERITIES[point.severity] if point.severity <= 4 else ""
    level = f"{level}: " if level and level not in point.says[:40].lower() else ""
    return f"{whose(point)}: {level}{quoted(point.says)}"


def notes(found: Evidence) -> Iterator[str]:
    """What the answer rests on and what is missing from it; sentences without full stops."""
    if found.run is None and not found.lost:
        yield "nothing is foretold, since nobody says what failed: name what may have with --lose"
    if found.uncompared:
        yield (
            f"the logs of {few(found.uncompared, 6)} do not go back far enough to know what is ordinary: "
            "their rare lines and their warnings are told"
        )
    if found.unknown:
        yield f"the lab names no {few(found.unknown, 6)}: what the plan says of them is not known"
    if found.full:
        yield "there are more kinds of lines than are told apart, so that nothing is called new any more"
    if found.dropped:
        yield f"{counted(found.dropped, 'line')} found no room; ask about a shorter time to see them"
    if found.guessed:
        yield "times that say no offset are taken to be in the zone asked for, UTC if none was (--zone)"
    if found.quiet:
        yield f"no line in the time asked about: {few([each.name for each in found.quiet], 6)}"
    if found.passed:
        yield f"no logs, and passed over: {few([each.name for each in found.passed], 6)}"
