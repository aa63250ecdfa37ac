"""Which things does a machine share with its neighbours: its failure domains at each level?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from falsework.model.parts import Part, Powered, Thing, ThingId

Domains = Callable[[str, str], frozenset[str]]


def own_domain(shared: Domains, name: str, level: str) -> str:
    """The one domain of a thing at a level: the first by name of what it shares, and itself where it shares nothing."""
    return min(shared(name, level), default=name)


def numbered(shared: Domains, names: Iterable[str], level: str) -> tuple[int, ...]:
    """The domain of each thing at a level as a number, from 0 in the order in which they are met."""
    order: dict[str, int] = {}
    return tuple(order.setdefault(own_domain(shared, name, level), len(order)) for name in names)


def housed_in(things: Mapping[ThingId, Thing], name: str) -> list[str]:
    """All that houses a thing, the nearest first."""
    chain: list[str] = []
    at = things.get(ThingId(name))
    while isinstance(at, Part) and at.in_ is not None and at.in_.ids and at.in_.ids[0] not in chain:
        chain.append(at.in_.ids[0])
        at = things.get(ThingId(at.in_.ids[0]))
    return chain


def domains(things: Mapping[ThingId, Thing]) -> Domains:
    """A function (thing, level) -> ids of the domains at that level that can take the thing down.

    A machine is its own domain at the levels `node` and, where nothing holds it, `enclosure`. At the level
    of strips and circuits a machine with one feed has one domain and a machine with two has none of its own:
    either feed may go, so it shares neither.
    """

    def feeds(name: str) -> tuple[str, ...]:
        for each in (name, *housed_in(things, name)):
            thing = things.get(ThingId(each))
            if isinstance(thing, Powered) and thing.fed_by is not None:
                return tuple(dict.fromkeys(thing.fed_by.ids))
        return ()

    def upstream(name: str, level: str, depth: int = 0) -> frozenset[str]:
        thing = things.get(ThingId(name))
        if thing is None or depth > 16:
            return frozenset()
        if level == thing.IS:
            return frozenset((name,))
        sources = feeds(name)
        return upstream(sources[0], level, depth + 1) if len(sources) == 1 else frozenset()

    def at(name: str, level: str) -> frozenset[str]:
        if level in ("strip", "circuit"):
            sources = feeds(name)
            return upstream(sources[0], level) if len(sources) == 1 else frozenset()
        found = frozenset(each for each in housed_in(things, name) if level == things[ThingId(each)].IS)
        if found or level not in ("node", "enclosure"):
            return found
        thing = things.get(ThingId(name))
        return (
            frozenset((name,)) if thing is not None and thing.IS in ("node", "switch", "enclosure") else found
        )

    cache: dict[tuple[str, str], frozenset[str]] = {}

    def cached(name: str, level: str) -> frozenset[str]:
        if (name, level) not in cache:
            cache[name, level] = at(name, level)
        return cache[name, level]

    return cached
