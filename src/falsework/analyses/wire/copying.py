"""How long does a whole copy of each data set take over the wire, to where its backups go?"""

from __future__ import annotations

from collections.abc import Iterable

from falsework.analyses.wire.loads import Flowing
from falsework.analyses.wire.passing import Copying
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Node, Outside, ThingId
from falsework.model.services import Copy, Data, Service, Store
from falsework.support.reached import nodes_of
from falsework.support.standing import Standing

BITS = 8.0


def copying(standing: Standing, flows: Flowing) -> tuple[Copying, ...]:
    """Every backup whose size and place are said, in the order of the file.

    One stream over the way that bridges leave open, with nothing else on the wire: the least time there is. What
    goes outside is counted as far as the machine that leads out; drives are taken to be fast enough.
    """
    lab, there, open_ = standing.lab, standing.baseline, flows.now.open_
    found = []
    for data in lab.of(Data):
        sources = [node for name in (data.in_.ids if data.in_ else ()) for node in _at(lab, name)]
        for backup in data.backed_up:
            if data.size is None or not sources:
                continue
            goals = [node for name in backup.to.ids for node in _at(lab, name)]
            if any(isinstance(lab.things[ThingId(name)], Outside) for name in backup.to.ids):
                goals = [host for name in sources for host in flows.talk.exits(name, there)[1]]
            if not goals or set(goals) & set(sources):
                continue
            rate, limit = 0.0, ""
            for one in dict.fromkeys(sources):
                for other in dict.fromkeys(goals):
                    route = flows.talk.route(one, other, (), there, open_)
                    if route is not None and (narrowest := flows.narrowest(route))[0] > rate:
                        rate, limit = narrowest
            found.append(
                Copying(
                    what="backup",
                    of=data.id,
                    to=", ".join(backup.to.ids),
                    size=data.size,
                    rate=rate,
                    takes_s=data.size * BITS / rate if rate else float("inf"),
                    every_s=backup.every,
                    limit=(limit,) if limit else (),
                    where=backup.where,
                )
            )
    return tuple(found)


def _at(lab: Lab, name: str) -> Iterable[str]:
    """The nodes at which what lies in a thing is read or written."""
    thing = lab.things[ThingId(name)]
    if isinstance(thing, Node):
        return (name,)
    if isinstance(thing, Store):
        return nodes_of(lab, thing)
    if isinstance(thing, Drive):
        holder = thing.in_.ids[0] if thing.in_ else ""
        return (holder,) if isinstance(lab.things.get(ThingId(holder)), Node) else ()
    if isinstance(thing, Service):
        return [copy.host for copy in lab.of(Copy) if copy.service == name]
    return ()
