"""Which words do drawn years get?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from falsework import units
from falsework.analyses.years.result import Years
from falsework.analyses.years.story import Hit, Lost, Mishap, Story
from falsework.errors import listed
from falsework.units import Dimension

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def headline(found: Years) -> str:
    """One sentence on how many years there are and how sure they make us."""
    if not found.years:
        return "No year was finished."
    text = f"{found.years:,} years, seed {found.seed}"
    if found.stopped:
        text += f" (stopped; {found.asked:,} were asked for)"
    if found.off is not None:
        whose = f"of {found.of}" if found.of else "of the least sure service"
        text += f"; the mean {whose} is within {_share(found.off)} of the truth with 95 % confidence"
    if found.reached is False and found.wanted is not None:
        text += f", not the {_share(found.wanted)} asked for"
    return text + "."


def told(year: Story) -> tuple[str, ...]:
    """A year as sentences: a heading, then one line for each mishap, then what nobody felt."""
    of = year.of or "all services together"
    lines = [
        f"A year that {year.percent:.0f} % of years are no worse than: "
        f"{units.format(year.down_min * 60.0, Dimension.TIME)} down, {of}."
    ]
    lines.extend(_mishap(each) for each in year.mishaps)
    if year.unfelt:
        one = year.unfelt == 1
        lines.append(
            f"{'One more part' if one else f'{year.unfelt} more parts'} failed and {'was' if one else 'were'} mended "
            "without any service noticing"
            + (f"; {year.silenced} of these kept an alarm from leaving." if year.silenced else ".")
        )
    return tuple(lines)


def _mishap(mishap: Mishap) -> str:
    fails = "fails" if len(mishap.parts) == 1 else "fail together"
    pieces = [f"{_when(mishap.at)}: {listed(mishap.parts, 4)} {fails}."]
    pieces.extend(_lost(each) for each in mishap.lost)
    pieces.extend(_hits(mishap))
    pieces.append(_mended(mishap))
    return " ".join(pieces)


def _hits(mishap: Mishap) -> list[str]:
    """Services that fared alike in one sentence."""
    alike: dict[str, list[str]] = {}
    for hit in mishap.hits:
        alike.setdefault(_hit(hit, mishap.at), []).append(hit.service)
    return [
        f"{listed(services, 5)} {(one if len(services) == 1 else _many(one))}."
        for one, services in alike.items()
    ]


def _hit(hit: Hit, at: str) -> str:
    wait = (datetime.fromisoformat(hit.at) - datetime.fromisoformat(at)).total_seconds()
    after = f", {units.format(wait, Dimension.TIME)} later" if wait >= 1.0 else ""
    length = units.format(hit.for_s, Dimension.TIME)
    if hit.stumbled:
        return f"does not come back by itself as it should{after}, and is out for {length}"
    if hit.by_itself:
        return f"blinks for {length}{after}"
    return f"is out for {length}{after}"


def _many(one: str) -> str:
    return (
        one.replace("does not", "do not")
        .replace("itself", "themselves")
        .replace("as it should", "as they should")
        .replace("and is out", "and are out")
        .replace("blinks", "blink")
        .replace("is out", "are out")
    )


def _lost(lost: Lost) -> str:
    if lost.work_lost_s is None:
        return f"{lost.data} is gone: no backup survives."
    work = units.format(lost.work_lost_s, Dimension.TIME)
    return f"{lost.data} must be restored: {work} of work are lost."


def _mended(mishap: Mishap) -> str:
    if mishap.begun_at == mishap.at:
        return f"Whole again {_then(mishap.at, mishap.whole_at)}."
    return (
        f"Known {_then(mishap.at, mishap.known_at)}, in hand {_then(mishap.known_at, mishap.begun_at)}, "
        f"whole {_then(mishap.begun_at, mishap.whole_at)}."
    )


def _when(at: str) -> str:
    moment = datetime.fromisoformat(at)
    return f"{_DAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]} {moment:%H:%M}"


def _then(before: str, at: str) -> str:
    """A later moment: the time alone on the same day."""
    moment = datetime.fromisoformat(at)
    same = moment.date() == datetime.fromisoformat(before).date()
    return f"at {moment:%H:%M}" if same else f"on {_when(at)}"


def _share(value: float) -> str:
    return units.format(value, Dimension.SHARE)


def lines(found: Years) -> Sequence[str]:
    """The heading and the story, for a face that shows plain text."""
    return (headline(found), *(told(found.story) if found.story else ()))
