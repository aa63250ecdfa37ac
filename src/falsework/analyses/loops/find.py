"""Which things wait for each other, kind by kind?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from falsework.analyses.loops.after import after_a_loss
from falsework.analyses.loops.cuts import cheapest_cuts, cuts_of
from falsework.analyses.loops.result import KINDS, Cuts, Link, Loop, Loops
from falsework.analyses.loops.rings import smallest_rings
from falsework.analyses.loops.running import running
from falsework.analyses.loops.waiting import Wait, Waits, waits
from falsework.engines.founded.growing import Growing
from falsework.model.parts import ThingId
from falsework.model.services import Copy
from falsework.support.standing import Standing

_MEANS = {
    "to build": "none of them can be built from nothing without help",
    "to start": "once all are down, none comes back by itself",
}


def loops(standing: Standing, *, seconds: float = 10.0) -> Loops:
    """Every loop, each kind of need apart, smallest first, with what would cut it.

    A loop to build or to start is told only where alternatives do not break it: where nothing outside of it would
    do. Loops to take over, to mend and to restore are those of a thing that needs, after its loss, what is lost
    with it. Loops to run hold while they stand.

    Args:
        standing: the lab; parts that are out are taken as mended.
        seconds: how long the cheapest cuts of each kind may be looked for.

    Returns:
        For each need that lies in a loop, the smallest loop through it; each set of things once a kind.
    """
    found: list[Loop] = []
    cheapest: list[Cuts] = []
    shown = shown_names(standing)
    for kind in ("to build", "to start"):
        waiting = waits(standing, kind)
        growing = Growing(waiting.system(), free=range(len(waiting.names)))
        stuck = frozenset(range(len(waiting.names))) - growing.serves
        links = dict(_links(waiting, growing, shown))
        edges: dict[str, list[str]] = {}
        for thing, on in links:
            edges.setdefault(thing, []).append(on)
            edges.setdefault(on, [])
        through = [pair for pair, link in links.items() if link.kind == kind]
        rings = smallest_rings(edges, through)
        for ring in rings:
            on_it = tuple(links[pair] for pair in pairwise(ring))
            found.append(
                Loop(kind=kind, ring=ring, links=on_it, cuts=cuts_of(standing.lab, on_it), means=_MEANS[kind])
            )
        if rings:
            cheapest.append(cheapest_cuts(standing.lab, waiting, stuck, shown, kind, seconds=seconds))
    found.extend(after_a_loss(standing, shown))
    found.extend(running(standing, found))
    order = {kind: number for number, kind in enumerate(KINDS)}
    found.sort(key=lambda loop: (order[loop.kind], len(loop.ring)))
    return Loops(loops=tuple(found), cheapest=tuple(cheapest))


def shown_names(standing: Standing) -> Mapping[str, str]:
    """The name of the lab file under which each thing of the support graph is told."""
    things = standing.support.things
    found = {name: name for name in things}
    for name, thing in things.items():
        own = standing.lab.things.get(ThingId(name))
        if isinstance(own, Copy):
            found[name] = own.service
        elif thing.word in ("supply", "card", "controller"):
            found[name] = str(getattr(own, "holder", name))
        for lean in thing.leans:
            for each in lean.on:
                if things[each].word == "share":
                    found[each] = name
    return found


def _links(
    waiting: Waits, growing: Growing, shown: Mapping[str, str]
) -> Iterator[tuple[tuple[str, str], Link]]:
    """Every unmet wait between two things that never serve; of several between two, a need before the rest."""
    found: dict[tuple[str, str], Link] = {}
    for at, name in enumerate(waiting.names):
        if at in growing.serves:
            continue
        for wait in (*waiting.begin[at], *waiting.serve[at]):
            for on in _lacks(wait, growing):
                pair = (shown[name], shown[waiting.names[on]])
                if pair[0] == pair[1] and not wait.kind:
                    continue
                link = Link(thing=pair[0], on=pair[1], says=wait.says, kind=wait.kind, where=wait.where)
                if pair not in found or _rank(link) < _rank(found[pair]):
                    found[pair] = link
    yield from found.items()


def _rank(link: Link) -> int:
    return {"to build": 0, "to start": 1, "to run": 2}.get(link.kind, 3)


def _lacks(wait: Wait, growing: Growing) -> list[int]:
    """The items that a wait lacks, if it is unmet."""
    known = growing.begun if wait.clause.begun else growing.serves
    if sum(1 for each in set(wait.clause.of) if each in known) >= wait.clause.enough:
        return []
    return [each for each in dict.fromkeys(wait.clause.of) if each not in known]
