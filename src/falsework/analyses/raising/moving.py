"""Which state does a stand-in hold, and how long does it take to bring it home?"""

from __future__ import annotations

from collections.abc import Iterable

from falsework.analyses.raising.result import StateMove
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Node, ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Data, Pool, Service, Store
from falsework.support.reached import ASSUMED_PORT, ASSUMED_SIZE, best_port, nodes_of


def states(lab: Lab, stand_in: StandIn, name: str) -> tuple[str, ...]:
    """What of a covered thing's has state to be moved: its data, else itself; empty where it has none.

    A service has state if data is `of` it, if it says `state in`, or if the stand-in says what it `gathers` and
    nothing else that it stands in for has any.
    """
    data = tuple(each.id for each in lab.of(Data) if each.of and name in each.of.ids)
    if data:
        return data
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Service) and thing.state_in is not None:
        return (name,)
    others = stand_in.for_.ids if stand_in.for_ else ()
    if stand_in.gathers and not any(_has_state(lab, other) for other in others):
        return (name,)
    return ()


def _has_state(lab: Lab, name: str) -> bool:
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Service) and thing.state_in is not None:
        return True
    return any(each.of and name in each.of.ids for each in lab.of(Data))


def state_moves(lab: Lab, stand_in: StandIn, names: Iterable[str]) -> tuple[StateMove, ...]:
    """The moves that bring the state of covered things home, one for each piece of state."""
    return tuple(_move(lab, stand_in, name, state) for name in names for state in states(lab, stand_in, name))


def _move(lab: Lab, stand_in: StandIn, name: str, state: str) -> StateMove:
    data = lab.things.get(ThingId(state))
    size = data.size if isinstance(data, Data) else None
    if stand_in.gathers is not None:
        size = stand_in.gathers if size is None else min(size, stand_in.gathers)
    home = home_of(lab, name, state)
    speed, slowest, guessed = _speed(lab, stand_in, home)
    known = size is not None
    size = ASSUMED_SIZE if size is None else size
    return StateMove(
        state=state,
        source=stand_in.id,
        target=home[0],
        size=size,
        speed=speed,
        slowest=slowest,
        seconds=8 * size / speed,
        in_use=isinstance(data, Data) and data.moves == "in use",
        assumed=guessed or not known,
    )


def home_of(lab: Lab, name: str, state: str) -> tuple[str, ...]:
    """Where a piece of a covered thing's state is to lie in the end: the first is where it is brought."""
    data = lab.things.get(ThingId(state))
    if isinstance(data, Data) and data.in_ is not None:
        return data.in_.ids
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Service) and thing.state_in is not None:
        return thing.state_in.ids
    return (name,)


def _speed(lab: Lab, stand_in: StandIn, home: tuple[str, ...]) -> tuple[float, str, bool]:
    """The slowest of the stand-in, its port, the drives and the ports at home: bit/s, in words, whether assumed."""
    limits: list[tuple[float, str]] = []
    if stand_in.speed is not None:
        limits.append((stand_in.speed, stand_in.id))
    ends = [*(stand_in.on.ids if stand_in.on else ()), *_nodes(lab, home)]
    for node in dict.fromkeys(ends):
        fastest = best_port(lab, node)
        if fastest is not None:
            limits.append((fastest, f"the best port of {node}"))
    for name in home:
        store = lab.things.get(ThingId(name))
        if isinstance(store, Store) and store.drives:
            drives = (lab.things[ThingId(each)] for each in store.drives.ids)
            limits += [
                (each.speed, f"the drive {each.id}")
                for each in drives
                if isinstance(each, Drive) and each.speed
            ]
    if not limits:
        return ASSUMED_PORT, "a port of 1 Gb/s, assumed", True
    speed, slowest = min(limits, key=lambda limit: limit[0])
    if stand_in.on is None and stand_in.speed is None and speed > ASSUMED_PORT:
        return ASSUMED_PORT, f"the port of {stand_in.id}, 1 Gb/s assumed", True
    return speed, slowest, False


def _nodes(lab: Lab, names: Iterable[str]) -> Iterable[str]:
    for name in names:
        thing = lab.things.get(ThingId(name))
        if isinstance(thing, Node):
            yield thing.id
        elif isinstance(thing, Service):
            for copy in lab.of(Copy):
                if copy.service == thing.id:
                    pool = lab.things.get(ThingId(copy.pool)) if copy.pool else None
                    yield from pool.hosts.ids if isinstance(pool, Pool) and pool.hosts else (copy.host,)
        elif isinstance(thing, Store):
            yield from nodes_of(lab, thing)
