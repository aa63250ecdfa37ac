"""How does a permanent thing take over from its stand-in, step by step?

State has one owner at every moment. What is frozen while it is copied: freeze, copy, check, hand over. What
stays in use: follow, check, freeze, hand over. Then the clients that learnt an address of the stand-in's own are
told the new one, and the stand-in is unplugged as a proof before anybody takes it away.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.analyses.raising.moving import state_moves
from falsework.analyses.raising.result import Doing, StateMove, Step
from falsework.analyses.raising.words import DATA, cut_says, listed
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Thing, ThingId
from falsework.model.people import StandIn
from falsework.model.raising import Raising
from falsework.model.services import Pool, Service
from falsework.units import ThreePoint

MINUTE = 60.0

_TAKES: Mapping[Doing, tuple[float, float, float, float]] = {
    Doing.FREEZE: (2, 5, 10, 5),
    Doing.CHECK: (5, 15, 30, 15),
    Doing.HAND_OVER: (2, 5, 15, 5),
    Doing.REPOINT: (2, 5, 15, 5),
    Doing.PROVE: (10, 20, 60, 20),
    Doing.RETIRE: (5, 10, 20, 10),
}
"""Least, most likely and most minutes, and minutes of work; assumed. Repointing counts for each client."""
_FULL = 2.0
"""A copy may take twice what its slowest link allows: links are shared, and small files are slow (assumed)."""


def cut_over(lab: Lab, stand_in: StandIn, targets: Sequence[str], clients: Sequence[str]) -> tuple[Step, ...]:
    """The steps by which covered things take over from a stand-in, not numbered yet.

    Args:
        lab: references resolved.
        stand_in: who serves until then.
        targets: the covered things, which are made and serve.
        clients: things that stand and need one of the targets to run or to start.
    """
    moves = state_moves(lab, stand_in, targets)
    follows = [target for target in targets if moves_by_itself(lab, stand_in, target)]
    told = tuple(
        client
        for client in clients
        if any(
            target not in follows
            for target in needed_of(lab, client)
            if target in targets and target != client
        )
    )
    doings = [Doing.HAND_OVER]
    if moves and all(move.in_use for move in moves):
        doings = [Doing.COPY, Doing.CHECK, Doing.FREEZE, Doing.HAND_OVER]
    elif moves:
        doings = [Doing.FREEZE, Doing.COPY, Doing.CHECK, Doing.HAND_OVER]
    doings += [Doing.REPOINT] if told else []
    doings += [Doing.PROVE]
    takes = {doing: _takes(doing, moves, len(told)) for doing in doings}
    first = doings.index(Doing.FREEZE if Doing.FREEZE in doings else Doing.HAND_OVER)
    out = sum(takes[doing][0].likely for doing in doings[first:-1])
    return tuple(
        Step(
            number=0,
            doing=doing,
            things=told if doing is Doing.REPOINT else tuple(targets),
            says=_says(lab, doing, stand_in, targets, moves, told),
            of=stand_in.id,
            takes=takes[doing][0],
            hands_s=takes[doing][1],
            leans=(stand_in.id,),
            moves=moves if doing is Doing.COPY else (),
            by=hands_of(stand_in.raising),
            check=_check(doing, stand_in, targets),
            back=_back(doing, stand_in, moves, targets),
            no_return=_no_return(doing, moves, targets),
            out_s=_out(lab, targets, clients, out) if number == first else None,
            cautions=(DATA,) if doing in (Doing.FREEZE, Doing.COPY) else (),
            assumed=True,
        )
        for number, doing in enumerate(doings)
    )


def retire(stand_in: StandIn, moves: Sequence[StateMove]) -> Step:
    """The step that takes a stand-in away for good, not numbered yet."""
    takes, hands = _takes(Doing.RETIRE, moves, 0)
    states = listed([move.state for move in moves])
    return Step(
        number=0,
        doing=Doing.RETIRE,
        things=(stand_in.id,),
        says=cut_says(Doing.RETIRE, "", stand_in.id, "", moves),
        of=stand_in.id,
        takes=takes,
        hands_s=hands,
        by=hands_of(stand_in.raising),
        check="nothing asks for it any more",
        back=f"set up {stand_in.id} again",
        no_return=f"the copy of {states} on {stand_in.id} is gone" if moves else "",
        cautions=(DATA,) if moves else (),
        assumed=True,
    )


def hands_of(said: Raising | None) -> tuple[str, ...]:
    """Who may do it, as the owner says; empty for anyone."""
    return said.by.ids if said is not None and said.by is not None else ()


def moves_by_itself(lab: Lab, stand_in: StandIn, target: str) -> bool:
    """Whether clients follow: by a name, by a floating address, or by an address that the stand-in has before.

    What floats afterwards is no help where clients have learnt another address from the stand-in.
    """
    thing = lab.things.get(ThingId(target))
    if not isinstance(thing, Service):
        return False
    own = (*thing.reached_at, *(thing.floats.address if thing.floats else ()))
    if thing.named is not None:
        return True
    return stand_in.address in own if stand_in.address else thing.floats is not None


def needed_of(lab: Lab, client: str) -> tuple[str, ...]:
    """What a thing needs to run or to start, soft needs and its state's home too: it has learnt where that is."""
    thing = lab.things[ThingId(client)]
    home: tuple[str, ...] = ()
    if isinstance(thing, Service) and thing.state_in is not None:
        home = thing.state_in.ids
    elif isinstance(thing, Pool) and thing.store is not None:
        home = thing.store.ids
    return (*home, *(name for need in _bound(thing) for name in need.of.ids))


def _bound(thing: Thing) -> tuple[Need, ...]:
    if thing.needs is None:
        return ()
    return (*thing.needs.run_and_start, *thing.needs.to_run, *thing.needs.to_start)


def _takes(doing: Doing, moves: Sequence[StateMove], clients: int) -> tuple[ThreePoint, float]:
    if doing is Doing.COPY:
        seconds = sum(move.seconds for move in moves)
        likely = seconds * (1 + _FULL) / 2 + MINUTE
        return ThreePoint(low=seconds + MINUTE, likely=likely, high=seconds * _FULL + MINUTE), MINUTE
    times = clients if doing is Doing.REPOINT else 1
    low, likely, high, hands = (each * MINUTE * times for each in _TAKES[doing])
    return ThreePoint(low=low, likely=likely, high=high), hands


def _says(
    lab: Lab,
    doing: Doing,
    stand_in: StandIn,
    targets: Sequence[str],
    moves: Sequence[StateMove],
    told: Sequence[str],
) -> str:
    if doing is Doing.REPOINT:
        where = {name: _address(lab, name) for name in targets if not moves_by_itself(lab, stand_in, name)}
        at = listed([f"{name}{' at ' + place if place else ''}" for name, place in where.items()])
        return f"Point {listed(list(told))} at {at}, no more at {stand_in.address or stand_in.id}"
    how = "; ".join(dict.fromkeys(_how(lab, stand_in, name) for name in targets))
    return cut_says(doing, listed(list(targets)), stand_in.id, how, moves)


def _how(lab: Lab, stand_in: StandIn, target: str) -> str:
    thing = lab.things.get(ThingId(target))
    if not isinstance(thing, Service):
        return f"from now on {target} is the one that is used"
    if thing.floats is not None:
        return f"{listed(list(thing.floats.address))} floats to it"
    if thing.named is not None:
        return f"{thing.named.name} now names it"
    if stand_in.address and stand_in.address in thing.reached_at:
        return f"{stand_in.address} goes from {stand_in.id} to it"
    at = listed(list(thing.reached_at))
    return f"it answers at {at}" if at else f"from now on {target} is the one that answers"


def _address(lab: Lab, name: str) -> str:
    thing = lab.things.get(ThingId(name))
    if not isinstance(thing, Service):
        return ""
    return listed([*thing.reached_at, *(thing.floats.address if thing.floats else ())])


def _check(doing: Doing, stand_in: StandIn, targets: Sequence[str]) -> str:
    names = listed(list(targets))
    return {
        Doing.FREEZE: f"nothing on {stand_in.id} has changed for a minute",
        Doing.COPY: "the copy ended without a complaint",
        Doing.CHECK: "counts and sums are the same on both sides",
        Doing.HAND_OVER: f"{names} answers at the address that clients know, and {stand_in.id} no longer does",
        Doing.REPOINT: f"each of them gets its answer from {names}",
        Doing.PROVE: f"nothing complains while {stand_in.id} is unplugged",
    }[doing]


def _back(doing: Doing, stand_in: StandIn, moves: Sequence[StateMove], targets: Sequence[str]) -> str:
    lost = "; what was written since is lost" if moves else ""
    return {
        Doing.FREEZE: f"let {stand_in.id} write again",
        Doing.COPY: f"throw the copy away; {stand_in.id} still owns the state",
        Doing.CHECK: f"throw the copy away and let {stand_in.id} write again",
        Doing.HAND_OVER: f"let {stand_in.id} take the address back{' and write again' if moves else ''}{lost}",
        Doing.REPOINT: f"point them at {stand_in.id} again",
        Doing.PROVE: f"plug {stand_in.id} in again{lost}",
    }[doing]


def _no_return(doing: Doing, moves: Sequence[StateMove], targets: Sequence[str]) -> str:
    if doing is not Doing.HAND_OVER or not moves:
        return ""
    return f"from here on only {listed(list(targets))} has what is written; going back loses it"


def _out(lab: Lab, targets: Sequence[str], clients: Sequence[str], seconds: float) -> Mapping[str, float]:
    """The targets, and services that need one of them and can't wait so long."""
    out = dict.fromkeys(targets, seconds)
    grew = True
    while grew:
        grew = False
        for client in clients:
            thing = lab.things[ThingId(client)]
            if client in out or thing.needs is None or not isinstance(thing, Service):
                continue
            for need in (*thing.needs.run_and_start, *thing.needs.to_run):
                left = [name for name in need.of.ids if name not in out]
                short = len(left) < (need.enough or 1)
                if short and not need.soft and (need.for_ or 0.0) < seconds:
                    out[client] = seconds - (need.for_ or 0.0)
                    grew = True
                    break
    return out
