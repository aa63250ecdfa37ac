"""In which order do the services stand, and which of them lean on each other?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.analyses.verdicts import Loss, Verdict
from falsework.faces.report.keeping import kept
from falsework.model.services import Copy
from falsework.support.graph import Role
from falsework.support.standing import Standing

_SERVICES = ("service", "alarm")


def leans_of(standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """The services and stores that each service leans on by needs, state or way, in the order in which it says so."""
    things = standing.support.things
    owner: dict[str, str] = {copy.id: copy.service for copy in standing.lab.of(Copy)}
    copies: dict[str, list[str]] = {}
    for copy, service in owner.items():
        copies.setdefault(service, []).append(copy)
    found = {}
    for service in standing.support.services:
        on: dict[str, None] = {}
        for name in (service, *copies.get(service, ())):
            for lean in things[name].leans:
                if lean.role not in (Role.NEED, Role.STATE, Role.WAY):
                    continue
                for each in lean.on:
                    target = owner.get(each, each)
                    if target != service and target in things:
                        on[target] = None
        found[service] = tuple(on)
    return found


def levels(standing: Standing) -> Mapping[str, int]:
    """How high each service stands: above all that it leans on; those that lean on each other stand alike."""
    leans = {
        name: tuple(each for each in on if standing.support.things[each].word in _SERVICES)
        for name, on in leans_of(standing).items()
    }
    reached = {name: _reached(name, leans) for name in leans}
    level = dict.fromkeys(leans, 0)
    for _ in range(min(len(leans), 60)):  # a circle would rise without end
        changed = False
        for name, on in leans.items():
            higher = max((level[each] + 1 for each in on if name not in reached[each]), default=0)
            if higher > level[name]:
                level[name], changed = higher, True
        if not changed:
            break
    for name, on in leans.items():  # a circle stands where its highest member does
        for each in on:
            if name in reached[each]:
                level[name] = level[each] = max(level[name], level[each])
    return level


def _reached(start: str, leans: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """All that a service leans on, through others too."""
    seen: set[str] = set()
    waiting = [start]
    while waiting:
        more = [each for each in leans.get(waiting.pop(), ()) if each not in seen]
        seen.update(more)
        waiting.extend(more)
    return frozenset(seen)


def ordered(standing: Standing, loss: Loss | None) -> tuple[str, ...]:
    """The services from top to bottom: the loudest trouble first, then what leans on others above these."""
    level = kept(standing, "levels", (), lambda: levels(standing))
    place = {name: number for number, name in enumerate(standing.support.services)}
    effects = {effect.service: effect for effect in loss.effects} if loss is not None else {}

    def key(name: str) -> tuple[float, float, int, int]:
        effect = effects.get(name)
        if effect is None:
            worst = Verdict.FALLS if not standing.baseline.up(name) else Verdict.STANDS
            return -float(worst), 0.0, -level[name], -place[name]
        return -float(effect.verdict), effect.falls_s, -level[name], -place[name]

    return tuple(sorted(place, key=key))


def rings(standing: Standing, circles: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Circles of things as circles of the services drawn, each told once; a service may wait for itself."""
    owner: dict[str, str] = {copy.id: copy.service for copy in standing.lab.of(Copy)}
    found: dict[frozenset[str], tuple[str, ...]] = {}
    for circle in circles:
        services = [owner.get(each, each) for each in circle]
        drawn = tuple(dict.fromkeys(each for each in services if each in standing.support.services))
        if drawn:
            found.setdefault(frozenset(drawn), drawn)
    return tuple(found.values())
