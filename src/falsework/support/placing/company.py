"""Which copies must, should or must not share something?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from falsework.engines.placing.problem import HARD, Apart, Near
from falsework.model.services import Company, Service
from falsework.support.placing.scene import Scene
from falsework.where import Where

Named = dict[str, Where]
"""Where the lab file says each rule, by the rule's name; filled as rules are made."""


def apart(scene: Scene, named: Named) -> Iterator[Apart]:
    """Copies of one service by its `apart`, and services that are kept away from others."""
    for name, items in scene.items.items():
        service = scene.services[name]
        if len(items) > 1 and service.apart != "not":
            rule = f"no two copies of {name} in one {service.apart}"
            named[rule] = service.place("apart")
            yield Apart(name=rule, items=items, domain=scene.domains(service.apart))
        for company, other in _others(scene, service.away_from):
            rule = f"{name} away from {other}, not in one {company.in_}"
            named[rule] = company.where
            for pair in product(items, scene.items[other]):
                yield Apart(name=rule, items=pair, domain=scene.domains(company.in_))


def near(scene: Scene, named: Named, *, wished: int) -> Iterator[Near]:
    """Copies that lie beside or near those of another service.

    Args:
        scene: copies and hosts.
        named: takes the place of each rule.
        wished: the level of what should be, and need not.
    """
    for name in scene.items:
        service = scene.services[name]
        yield from _near(scene, named, service, service.beside, word="beside", level=HARD)
        yield from _near(scene, named, service, service.near, word="near", level=wished)


def _near(
    scene: Scene, named: Named, service: Service, company: Iterable[Company], *, word: str, level: int
) -> Iterator[Near]:
    for each, other in _others(scene, company):
        rule = f"{service.id} {word} {other}, in one {each.in_}"
        named[rule] = each.where
        yield Near(
            name=rule,
            items=scene.items[service.id],
            to=scene.items[other],
            domain=scene.domains(each.in_),
            level=level,
        )


def _others(scene: Scene, company: Iterable[Company]) -> Iterator[tuple[Company, str]]:
    return ((each, other) for each in company for other in each.of.ids if other in scene.items)
