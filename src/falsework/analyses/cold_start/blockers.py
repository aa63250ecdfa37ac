"""What does each thing wait for that does not come up?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.analyses.cold_start.blocked import Reason, Why
from falsework.analyses.cold_start.scene import Reached, Scene
from falsework.support.building import switches
from falsework.support.graph import Lean, Phase, Role, Support

_SAYS = {
    Role.POWER: "takes its power from",
    Role.HOUSING: "sits in",
    Role.HOST: "runs on",
    Role.COPIES: "is served by",
    Role.DRIVES: "lies on",
    Role.THROUGH: "is served through",
    Role.STATE: "keeps its state in",
    Role.WAY: "passes",
    Role.KEPT: "is kept in",
}


def own_cause(scene: Scene, reached: Reached, name: str, feeds: frozenset[str]) -> Why | None:
    """Why a thing stays down whatever it leans on; None if it only waits for others."""
    thing = scene.support.things[name]
    if name in scene.out:
        return Why.OUT
    if name in scene.spent:
        return Why.EXPIRED
    if name in reached.early:
        return Why.EARLY
    if thing.stays_off and not scene.hands:
        return Why.FIRST if thing.word == "copy" else Why.OFF
    if thing.word in ("outside", "person") and not scene.counts_on(name, feeds):
        return Why.OUTSIDE if thing.word == "outside" else Why.NOBODY
    return None


def blockers(scene: Scene, reached: Reached) -> Mapping[str, tuple[Reason, ...]]:
    """For each thing that is not up, everything it waits for that is not up either.

    Where all it leans on is up, it can't see it over the wire: then it waits for the switches that are not up.
    """
    near = switches(scene.support)
    found: dict[str, tuple[Reason, ...]] = {}
    for name, thing in scene.support.things.items():
        if name not in reached.back:
            waits = {each.on: each for each in reversed(tuple(_waits(scene, reached, thing)))}
            found[name] = tuple(reversed(waits.values())) or tuple(_unseen(scene, reached, thing, near))
    return found


def counted(lean: Lean) -> bool:
    """Whether a lean counts for coming up; one with a hold is not waited for, and must be met in the end."""
    return "later" in lean.times


def _waits(scene: Scene, reached: Reached, thing: Support) -> Iterator[Reason]:
    for lean in thing.leans:
        if counted(lean) and sum(each in reached.back for each in lean.on) < lean.enough:
            says = _SAYS.get(lean.role, "needs to start" if Phase.START in lean.phases else "needs")
            for on in lean.on:
                if on not in reached.back:
                    yield Reason(thing=thing.id, on=on, says=says, where=lean.where)
    for host in thing.after_all:
        if host not in reached.back:
            yield Reason(
                thing=thing.id,
                on=host,
                says="may start only after the last that stopped, perhaps the one on",
                where=thing.where,
            )


def _unseen(
    scene: Scene, reached: Reached, thing: Support, near: Mapping[str, tuple[str, ...]]
) -> Iterator[Reason]:
    places = dict.fromkeys(
        place
        for name in (thing.id, *(on for lean in thing.leans if counted(lean) for on in lean.on))
        for place in scene.support.things[name].places
    )
    told = dict.fromkeys(each for place in places for each in near.get(place, ()))
    for switch in told:
        if switch not in reached.back and switch != thing.id:
            yield Reason(thing=thing.id, on=switch, says="sees the others through", where=thing.where)
