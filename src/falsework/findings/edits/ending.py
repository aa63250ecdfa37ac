"""When should a battery tell its machines to stop, and when switch off?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from falsework.analyses.shutdown import Shutdown, shutdowns
from falsework.findings.edits.feeds import fed_from
from falsework.findings.edits.writing import Edit, put
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import Powered, Strip, ThingId, Ups
from falsework.support.standing import Standing
from falsework.units import format_time

MINUTE = 60.0


def signalled_sooner(standing: Standing, ups: str) -> Iterator[Edit]:
    """A signal so soon that all have stopped before the battery ends; none that every short cut would give."""
    result, battery = _of(standing, ups)
    if result is not None and battery is not None and result.latest_signal_s >= MINUTE:
        latest = result.latest_signal_s
        latest -= latest % (MINUTE if latest >= 2 * MINUTE else 1.0)
        yield Edit(
            says=f"let {ups} tell its machines to stop {format_time(latest)} after the cut",
            texts=put(standing.lab.files, battery, "signals at", format_time(latest)),
            assumes=("a shorter cut stops the machines too",),
            caution=DATA_CAUTION,
        )


def switched_off_later(standing: Standing, ups: str) -> Iterator[Edit]:
    """The outlets off only after all have stopped; so machines that are off see the power return."""
    result, battery = _of(standing, ups)
    if result is None or battery is None or not result.done_s:
        return
    last = max(result.done_s.values())
    after = math.ceil((last - result.signal_s) / MINUTE) * MINUTE
    yield Edit(
        says=f"let {ups} switch its outlets off {format_time(after)} after its signal",
        texts=put(standing.lab.files, battery, "then cuts", format_time(after)),
        assumes=("the battery can be set so",),
        caution=DATA_CAUTION,
    )


def fed_from_battery(standing: Standing, ups: str) -> Iterator[Edit]:
    """The switches that the message passes on the battery as well."""
    result, battery = _of(standing, ups)
    if result is None or battery is None:
        return
    fallen = dict.fromkeys(hop.name for way in result.ways if not way.arrives for hop in way.falls)
    sources = _behind(standing.lab, ups)
    for name in fallen:
        thing = standing.lab.things.get(ThingId(name))
        if isinstance(thing, Powered):
            for source in sources:
                yield from fed_from(standing, thing, source)


def _behind(lab: Lab, ups: str) -> list[str]:
    """The strips behind a battery, else the battery itself."""
    strips: list[str] = [
        strip.id for strip in lab.of(Strip) if strip.fed_by is not None and ups in strip.fed_by.ids
    ]
    return strips or [ups]


def _of(standing: Standing, ups: str) -> tuple[Shutdown | None, Ups | None]:
    thing = standing.lab.things.get(ThingId(ups))
    return (
        next((each for each in shutdowns(standing) if each.ups == ups), None),
        thing if isinstance(thing, Ups) else None,
    )
