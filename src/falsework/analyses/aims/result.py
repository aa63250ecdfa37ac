"""What is said of one aim?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework import units
from falsework.analyses.verdicts import Effect, Loss, Verdict
from falsework.model.parts import ThingId
from falsework.model.people import Aim, Alarm
from falsework.model.services import Data
from falsework.support.standing import Standing
from falsework.units import Dimension
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class AimResult:
    """One aim.

    Attributes:
        name: as in the lab file.
        met: True or False with a proof; None where it can't be judged, `says` telling why.
        says: one sentence without its full stop.
        why: the chain for the witness, in clauses; empty where met.
        witness: the loss that breaks it, if a loss does.
        effect: what that loss does to the service that the sentence is about.
        where: the aim's place in the lab file.
        tried: how many losses were looked at.
        kind: which sort of aim it was judged as: lose, cold, room, told, addresses, out, during, or open.
    """

    name: str
    met: bool | None
    says: str
    where: Where
    why: tuple[str, ...] = ()
    witness: Loss | None = None
    effect: Effect | None = None
    tried: int = 0
    kind: str = "open"


def open_aim(aim: Aim, says: str) -> AimResult:
    """An aim that can't be judged, and why."""
    return AimResult(name=aim.name, met=None, says=says, where=aim.where)


def about(aim: Aim, standing: Standing) -> tuple[list[str], list[str]]:
    """The services and data sets that an aim is about; all services where it names none."""
    if aim.of is None:
        return [
            name
            for name in standing.support.services
            if not isinstance(standing.lab.things[ThingId(name)], Alarm)
        ], []
    services = [name for name in aim.of.ids if name in standing.support.services]
    return services, [name for name in aim.of.ids if isinstance(standing.lab.things[ThingId(name)], Data)]


def effect_words(effect: Effect) -> str:
    """What happens to a service, in words: `falls at once`, `falls after 32 min`, `blinks for 40 s`."""
    if effect.verdict is Verdict.BLINKS:
        return f"blinks for {units.format(effect.blinks_s, Dimension.TIME)}"
    if effect.verdict is Verdict.FALLS:
        before = effect.before
        first = f", and blinks before, for {units.format(before.back_s, Dimension.TIME)}" if before else ""
        return (
            "falls at once"
            if effect.falls_s <= 0
            else f"falls after {units.format(effect.falls_s, Dimension.TIME)}{first}"
        )
    if effect.verdict is Verdict.LOST:
        return "loses its data, and no backup survives"
    return "stands with nothing to spare" if effect.verdict is Verdict.THIN else "stands"
