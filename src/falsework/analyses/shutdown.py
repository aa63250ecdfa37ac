"""Does each battery last until what it carries has stopped in order, and does the message to stop arrive?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.model.parts import Powered, ThingId, Ups
from falsework.model.services import Copy, Service
from falsework.support import power
from falsework.support.graph import Role
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Shutdown:
    """A stop on battery after a power cut.

    Attributes:
        ups: the battery.
        runtime_s: how long it carries its present load, taken as constant.
        signal_s: when it tells the machines to stop.
        done_s: when each thing that it carries has stopped, seconds after the cut.
        cut_hard: things still stopping when the battery is empty, last to stop first.
        latest_signal_s: the latest moment at which the signal would still do; negative if none would.
        unreached: things that it should tell and whose network is down by then.
    """

    ups: str
    runtime_s: float
    signal_s: float
    done_s: Mapping[str, float]
    cut_hard: tuple[str, ...]
    latest_signal_s: float
    unreached: tuple[str, ...]


def shutdowns(standing: Standing) -> tuple[Shutdown, ...]:
    """One result for each battery that says when it signals.

    A thing stops once everything that leans on it has stopped; each takes its `stops in`. The load is taken
    as constant until the end, which is the careful assumption: it really falls as things stop.
    """
    draws = power.Draws(standing.lab)
    return tuple(_one(standing, ups, draws) for ups in standing.lab.of(Ups) if ups.signals_at is not None)


def _one(standing: Standing, ups: Ups, draws: power.Draws) -> Shutdown:
    runtime = power.runtime_s(ups, draws.alone_w(ups.id))
    signal = ups.signals_at or 0.0
    carried = _carried(standing, ups, draws)
    took = _took(standing, carried)
    done = {name: signal + seconds for name, seconds in took.items()}
    late = sorted(
        (name for name in done if done[name] > runtime + 1e-6), key=lambda name: (-done[name], name)
    )
    return Shutdown(
        ups=ups.id,
        runtime_s=runtime,
        signal_s=signal,
        done_s=done,
        cut_hard=tuple(late),
        latest_signal_s=runtime - max(took.values(), default=0.0),
        unreached=_unreached(standing, ups, signal),
    )


def _carried(standing: Standing, ups: Ups, draws: power.Draws) -> set[str]:
    """Machines with a supply behind this battery, and the copies on them."""
    machines = {
        consumer
        for consumer, supplies in draws.supplies.items()
        if any(ups.id in draws.chain(supply.source) for supply in supplies)
    }
    inside = {
        name
        for name, thing in standing.support.things.items()
        if thing.word == "node"
        and (
            name in machines
            or any(lean.role is Role.HOUSING and lean.on[0] in machines for lean in thing.leans)
        )
    }
    copies = {copy.id for copy in standing.lab.of(Copy) if copy.host in inside}
    return inside | copies


def _took(standing: Standing, carried: set[str]) -> dict[str, float]:
    """Seconds from the signal until each thing has stopped: the longest chain of what leans on it, then itself."""
    leaning: dict[str, list[str]] = {name: [] for name in carried}
    for name in sorted(
        carried
    ):  # in order: where things lean on each other, who is asked first makes a difference
        for target in _targets(standing, name):
            if target in leaning and target != name:
                leaning[target].append(name)
    took: dict[str, float] = {}

    def until(name: str, trail: tuple[str, ...]) -> float:
        if name in took:
            return took[name]
        if name in trail:
            return 0.0
        value = max((until(each, (*trail, name)) for each in leaning[name]), default=0.0) + _stops_s(
            standing, name
        )
        took[name] = value
        return value

    for name in sorted(carried):
        until(name, ())
    return took


def _targets(standing: Standing, name: str) -> set[str]:
    """The nodes and copies that a thing leans on, straight or through services and stores."""
    found: set[str] = set()
    waiting = [
        each for lean in standing.support.things[name].leans if "now" in lean.times for each in lean.on
    ]
    seen: set[str] = set()
    while waiting:
        at = waiting.pop()
        if at in seen:
            continue
        seen.add(at)
        thing = standing.support.things[at]
        if thing.word in ("node", "copy"):
            found.add(at)
        elif thing.word in ("service", "store", "share", "drive"):
            waiting.extend(each for lean in thing.leans if "now" in lean.times for each in lean.on)
    return found


def _stops_s(standing: Standing, name: str) -> float:
    thing = standing.lab.things[ThingId(name)]
    if isinstance(thing, Copy):
        service = standing.lab.things[ThingId(thing.service)]
        return service.stops_in or 0.0 if isinstance(service, Service) else 0.0
    return thing.stops_in or 0.0 if isinstance(thing, Powered) else 0.0


def _unreached(standing: Standing, ups: Ups, signal: float) -> tuple[str, ...]:
    """Whom the message does not reach, because the switches on its way are down when it is sent."""
    if ups.tells is None or ups.fed_by is None:
        return ()
    chain = power.Draws(standing.lab).chain(ups.id)
    source = chain[-1] if standing.support.things[chain[-1]].part else ups.fed_by.ids[0]
    view = standing.views([(source,)])[0]
    falls = standing.falls([view])[:, 0]
    fallen = {name for name, row in standing.row.items() if falls[row] <= signal}
    lost: list[str] = []
    for name in ups.tells.ids:
        places = standing.support.things[name].places
        ways = [
            attachment.vertex
            for network in standing.support.networks.values()
            for place in places
            for attachment in network.attachments.get(place, ())
        ]
        over = list(ups.over.ids) if ups.over else []
        if (over and all(each in fallen for each in over)) or (ways and all(way in fallen for way in ways)):
            lost.append(name)
    return tuple(lost)
