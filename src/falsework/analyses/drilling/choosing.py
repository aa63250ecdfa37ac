"""Which drills could be done, what would each prove, and what does each cost?"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.drilling.promises import Promise
from falsework.analyses.drilling.result import Claim, Sort
from falsework.analyses.drilling.scene import Lost, Scene, Tried
from falsework.analyses.verdicts import NEVER, Verdict
from falsework.model.drilling import Drill
from falsework.model.parts import Cable, Node, ThingId
from falsework.model.services import Copy, Data, Service, Store

HANDS_S = 900.0
"""Assumed of somebody's time for a drill: to get ready, to begin it, to put it back."""
AS_PLANNED = ", as planned"
"""Behind the name of a drill of the list where the owner calls another one so: names are unique."""
LONGEST_S = 3600.0
"""What is foretold for later than this is not waited for, but in a cold start."""
_BLINK_S, _FALL_S, _DATA_S = 300.0, 3600.0, 7200.0
"""What an interruption, a fall, and data at stake weigh against hours of work, where as many drills would do."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A drill that could be done.

    Attributes:
        tries: as `model.drilling.TRIED`.
        taken: the parts that it takes out, and the copies and stores that it stops.
        of: what it is about; for a restore the data and where the backup lies.
        tried: what it does; None for a restore and a cold start.
        own: the owner's words, if they wrote it.
        taken_name: whether the owner calls another drill as the list would call this one.
    """

    tries: str
    taken: Lost = ()
    of: tuple[str, ...] = ()
    tried: Tried | None = None
    own: Drill | None = None
    taken_name: bool = False

    @property
    def key(self) -> tuple[str, ...]:
        """The drill that a promise of just one drill asks for."""
        return ("restore", *self.of) if self.tries == "restore" else (self.tries,)

    @property
    def same(self) -> Hashable:
        """Equal for drills that try the same."""
        return (self.tries, frozenset(self.taken), () if self.taken else self.of)

    @property
    def name(self) -> str:
        """How the list calls it."""
        if self.own is not None:
            return str(self.own.id)
        return f"{self._plain_name}{AS_PLANNED if self.taken_name else ''}"

    @property
    def _plain_name(self) -> str:
        what = " and ".join(self.taken)
        if self.tries == "restore":
            return f"restore {self.of[0]} from {self.of[1]}"
        if self.tries == "failover":
            return f"take-over of {self.of[0]}"
        if self.tries == "full disk":
            return f"fill {what}"
        if self.tries == "clock":
            return f"time without {self.of[0]}"
        return {"cold start": "cold start", "cut": f"cut {what}"}.get(self.tries, f"lose {what}")

    def proves(self, promise: Promise) -> bool:
        """Whether it proves a promise if it goes as foretold."""
        if promise.only:
            return promise.only == self.key
        if promise.claim.sort is Sort.FULL and self.tries != "full disk":
            return False  # a store without power is seen to be gone; one that is full still answers
        return self.tried is not None and promise.proved_by(self.tried)


def candidates(scene: Scene, promises: Iterable[Promise]) -> tuple[Candidate, ...]:
    """The owner's drills, then one for each loss that a promise is about, each once."""
    found: dict[Hashable, Candidate] = {}
    for each in owned(scene):
        found[(each.name,)] = each
    mine = {each.same for each in found.values()}
    names = {drill.id for drill in scene.lab.of(Drill)}
    for promise in promises:
        each = _of(scene, promise.claim, promise.only)
        if each.same in mine or (each.tried is not None and each.tried.gone):
            continue
        found.setdefault(each.same, replace(each, taken_name=each.name in names))
    return tuple(found.values())


def _of(scene: Scene, claim: Claim, only: tuple[str, ...]) -> Candidate:
    if only:
        return Candidate(tries=only[0], of=only[1:])
    tries = sort_of(scene, claim.lost)
    of = claim.about if tries == "failover" else ()
    if claim.sort is Sort.HOLD and claim.name.startswith("time "):
        tries, of = "clock", (claim.name.removeprefix("time without "),)
    return Candidate(tries=tries, taken=claim.lost, of=of, tried=scene.tried([claim.lost])[0])


def sort_of(scene: Scene, taken: Sequence[str]) -> str:
    """What losing or stopping these tries."""
    things = [scene.lab.things.get(ThingId(name)) for name in taken]
    if all(isinstance(each, Copy) for each in things):
        return "failover"
    if all(isinstance(each, Store) for each in things):
        return "full disk"
    if all(isinstance(each, Cable) for each in things):
        return "cut"
    return "loss"


def owned(scene: Scene) -> Iterator[Candidate]:
    """The drills that the owner wrote, but for those of parts that are out."""
    for drill in scene.lab.of(Drill):
        taken = taken_by(scene, drill)
        if not any(name in scene.standing.out for name in taken):
            yield of_own(scene, drill, taken)


def of_own(scene: Scene, drill: Drill, taken: Lost) -> Candidate:
    """A drill that the owner wrote, with what it takes out."""
    of = tuple(drill.of.ids) if drill.of else ()
    if drill.tries == "restore":
        of = _backup_of(scene, of)
    tried = scene.tried([taken])[0] if taken else None
    return Candidate(tries=drill.tries, taken=taken, of=of, tried=tried, own=drill)


def taken_by(scene: Scene, drill: Drill) -> Lost:
    """What a drill of the owner's takes out or stops.

    What it names is taken out; a store stands for its drives, but for a disk that is full, where a node stands for
    the copies on it. If it names only a service, the copy that serves is stopped, or all copies of a source of time.
    """
    named = tuple(drill.loses.ids) if drill.loses else ()
    of = tuple(drill.of.ids) if drill.of else ()
    things = scene.lab.things
    copies = scene.lab.of(Copy)
    if drill.tries in ("restore", "cold start"):
        return ()
    if drill.tries == "full disk":
        found: list[str] = []
        for name in named or of:
            thing = things[ThingId(name)]
            if isinstance(thing, Node):
                found.extend(copy.id for copy in copies if copy.host == name)
            elif isinstance(thing, Data):
                found.extend(
                    place
                    for place in (thing.in_.ids if thing.in_ else ())
                    if isinstance(things[ThingId(place)], Store)
                )
            elif isinstance(thing, Service) and thing.state_in:
                found.extend(thing.state_in.ids)
            elif isinstance(thing, Service):
                found.extend(copy.id for copy in copies if copy.service == name)
            else:
                found.append(name)
        return _known(scene, found)
    if named:
        found = []
        for name in named:
            thing = things[ThingId(name)]
            if isinstance(thing, Store) and thing.drives:
                found.extend(thing.drives.ids)
            elif isinstance(thing, Service):
                found.extend(copy.id for copy in copies if copy.service == name)
            else:
                found.append(name)
        return _known(scene, found)
    stopped: list[str] = []
    for name in of:
        mine = [copy.id for copy in copies if copy.service == name]
        stopped.extend(mine if drill.tries == "clock" else mine[:1])
    return _known(scene, stopped)


def _known(scene: Scene, names: Iterable[str]) -> Lost:
    return scene.standing.known(dict.fromkeys(names))


def _backup_of(scene: Scene, of: tuple[str, ...]) -> tuple[str, ...]:
    """The data, and where its first backup lies; of a service the first of its data that has a backup."""
    for name in of:
        for data in scene.lab.of(Data):
            if data.backed_up and (data.id == name or (data.of and name in data.of.ids)):
                return (data.id, data.backed_up[0].to.ids[0])
    return of


def lasts_s(candidate: Candidate, *, restores_s: float = 0.0, rises_s: float = 0.0) -> float:
    """How long it takes until all that is foretold, and is waited for, has happened."""
    if candidate.tries == "restore":
        return restores_s
    if candidate.tries == "cold start":
        return rises_s
    times = [0.0]
    for each in candidate.tried.effects.values() if candidate.tried else ():
        ends = each.falls_s + (each.blinks_s if each.verdict is Verdict.BLINKS else 0.0)
        if ends < NEVER and ends <= LONGEST_S:
            times.append(ends)
    return max(times)


def cost_of(candidate: Candidate, scene: Scene) -> int:
    """What it costs in hours and risk, in seconds of work: for choosing among as many drills."""
    total = HANDS_S + lasts_s(candidate)
    if candidate.tries in ("cold start", "restore"):
        return round(total + _DATA_S)
    for each in candidate.tried.effects.values() if candidate.tried else ():
        total += {Verdict.BLINKS: _BLINK_S, Verdict.FALLS: _FALL_S, Verdict.LOST: 100 * _DATA_S}.get(
            each.verdict, 0.0
        )
    drives = sum(1 for name in candidate.taken if scene.support.things[name].word in ("drive", "store"))
    return round(total + _DATA_S * drives)
