"""Which take-over, restart, move of an address or battery may take longer or shorter than the file says?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from falsework import units
from falsework.analyses.comparing import Sort
from falsework.errors import QuestionError
from falsework.findings.edits.writing import Edit, put, removed
from falsework.findings.explaining.scene import Change, Seen, written_time
from falsework.findings.finding import POWER_CAUTION
from falsework.lab.quote import Value
from falsework.model.parts import Thing, ThingId, Ups
from falsework.model.services import Pool, Service
from falsework.support.power import Draws
from falsework.units import Dimension

LEAST_S = 0.5
"""Changes of a time by less are not thought of."""


def other_times(seen: Seen, *, rank: int) -> Iterator[Change]:
    """A figure of the thing, or of what it leans on, so that the return comes when it was seen."""
    if not seen.came_back:
        return
    back_s = seen.line.falls_s + seen.line.lasts_s
    for number, service in enumerate(seen.services()):
        at = seen.down(service.id)
        if at is None or not math.isfinite(at.back_s):
            continue
        if service.id == seen.line.thing and seen.line.sort in (Sort.SLOWER, Sort.FASTER):
            more_s = seen.line.lasts_s - at.back_s
        else:
            more_s = back_s - (at.falls_s + at.back_s)
        if abs(more_s) >= LEAST_S:
            yield from _slower(seen, service, more_s, rank + min(number, 1))


def _slower(seen: Seen, service: Service, more_s: float, rank: int) -> Iterator[Change]:
    """Each of the figures that the return of a service is made of, longer or shorter by so much."""
    hosts = {copy.pool for copy in seen.copies(service)}
    pools = [seen.lab.things[ThingId(name)] for name in sorted(hosts) if name]
    for thing, key, says in (
        (service, "takes over", f"taking over takes {service.id}"),
        (service, "floats", f"the address of {service.id} takes"),
        (service, "restarts in", f"a restart takes {service.id}"),
        *((pool, "restarts in", f"a restart elsewhere takes {pool.id}") for pool in pools),
    ):
        known = _figure(thing, key)
        if known is None or known + more_s < 0:
            continue
        time = written_time(known + more_s)
        try:
            texts = _put(seen, thing, key, time)
        except QuestionError:
            continue
        yield Change(edit=Edit(says=f"{says} {time}", texts=texts), rank=rank)


def _figure(thing: Thing, key: str) -> float | None:
    if isinstance(thing, Service) and key == "floats":
        return (thing.floats.in_ or 0.0) if thing.floats is not None and thing.takes_over is None else None
    if isinstance(thing, Service) and key == "takes over":
        return thing.takes_over
    return thing.restarts_in if isinstance(thing, Service | Pool) else None


def _put(seen: Seen, thing: Thing, key: str, time: str) -> dict[str, str]:
    if key != "floats":
        return dict(put(seen.lab.files, thing, key, time))
    assert isinstance(thing, Service)
    assert thing.floats is not None
    addresses = thing.floats.address
    value: Value = (
        f"{addresses[0]} in {time}" if len(addresses) == 1 else {"address": list(addresses), "in": time}
    )
    return dict(put(seen.lab.files, thing, "floats", value))


def takes_over(seen: Seen, *, rank: int) -> Iterator[Change]:
    """One copy serves at a time, and another takes over; or all serve at once after all."""
    for number, service in enumerate(seen.services()):
        several = len(seen.copies(service)) > 1 and service.serves == "any"
        if several and service.takes_over is None and service.floats is None and seen.came_back:
            time = written_time(max(seen.line.lasts_s, 0.1))
            says = f"one copy of {service.id} serves at a time, and another takes over after {time}"
            try:
                texts = put(seen.lab.files, service, "takes over", time)
            except QuestionError:
                continue
            yield Change(edit=Edit(says=says, texts=texts), rank=rank + min(number, 1))
        if service.takes_over is not None and math.isinf(seen.line.falls_s):
            try:
                texts = removed(seen.lab.files, service.place("takes_over"))
            except QuestionError:
                continue
            says = f"all copies of {service.id} serve at once, with nothing to take over"
            yield Change(edit=Edit(says=says, texts=texts), rank=rank + 1)


def runtimes(seen: Seen, *, rank: int) -> Iterator[Change]:
    """A battery that lasts as long as it was seen to."""
    falls_s = seen.line.falls_s if math.isfinite(seen.line.falls_s) else seen.window_s
    for ups in (each for each in seen.under if isinstance(each, Ups)):
        if ups.fed_by is None or not set(ups.fed_by.ids) & seen.gone_names:
            continue
        begins_s = max(seen.falls_s(name) for name in ups.fed_by.ids)
        lasts_s = falls_s - begins_s
        load_w = round(Draws(seen.lab).alone_w(ups.id)) or 100
        if lasts_s < 1.0:
            continue
        value = {units.format(float(load_w), Dimension.POWER): written_time(lasts_s)}
        atleast = " at least" if math.isinf(seen.line.falls_s) else ""
        try:
            texts = put(seen.lab.files, ups, "runs", value)
        except QuestionError:
            continue
        yield Change(
            edit=Edit(
                says=f"{ups.id} lasts {written_time(lasts_s)}{atleast}", texts=texts, caution=POWER_CAUTION
            ),
            rank=rank,
        )
