"""Which drill is meant by a name, or by some parts, and what does it do today?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from falsework.analyses.drilling.choosing import AS_PLANNED, Candidate, of_own, sort_of, taken_by
from falsework.analyses.drilling.of_lab import active_copy
from falsework.analyses.drilling.result import Plan
from falsework.analyses.drilling.scene import Scene
from falsework.analyses.drilling.whole import plan_of
from falsework.analyses.verdicts import losses
from falsework.errors import QuestionError, few, nearest
from falsework.model.drilling import Drill
from falsework.model.services import Data
from falsework.support.standing import Standing


def plan_for(standing: Standing, names: Sequence[str]) -> Plan:
    """One drill, with what is out today: by its name, the owner's or the list's, or by the parts that it takes out.

    Raises:
        QuestionError: no such drill, and no such part; names the nearest.
    """
    scene = Scene(standing)
    each = _meant(scene, names)
    loss = losses(scene.standing, [each.taken])[0] if each.taken else None
    return plan_of(scene, each, loss, ())


def _meant(scene: Scene, names: Sequence[str]) -> Candidate:
    lab = scene.lab
    said = " ".join(names)
    for drill in lab.of(Drill):
        if drill.id == said:
            taken = taken_by(scene, drill)
            out = [name for name in taken if name in scene.standing.out]
            if out:
                raise QuestionError(
                    what=f"'{drill.id}' takes out {few(out)}, which {'is' if len(out) == 1 else 'are'} out already",
                    mend="Bring it back first, or name the parts of another drill.",
                )
            return of_own(scene, drill, taken)
    if len(names) == 1:
        known = _by_words(scene, names[0].removesuffix(AS_PLANNED))
        if known is not None:
            return replace(known, taken_name=names[0].endswith(AS_PLANNED))
    try:
        taken = scene.plain.known(names)
    except QuestionError as slip:
        if len(names) > 1:
            raise
        near = nearest(said, [drill.id for drill in lab.of(Drill)])
        raise QuestionError(
            what=f"no drill and no part is called {said!r}",
            mend=f"Did you mean {near!r}?" if near else slip.mend,
        ) from slip
    out = [name for name in taken if name in scene.standing.out]
    if out:
        raise QuestionError(
            what=f"{few(out)} {'is' if len(out) == 1 else 'are'} out already",
            mend="Name parts that stand, or bring it back first.",
        )
    return Candidate(tries=sort_of(scene, taken), taken=taken, tried=scene.tried([taken])[0])


def _by_words(scene: Scene, name: str) -> Candidate | None:
    """A drill of the list by its name, without making the list."""
    things = scene.support.things
    first, _, rest = name.partition(" ")
    if name == "cold start":
        return Candidate(tries="cold start")
    if first == "restore":
        for data in scene.lab.of(Data):
            for backup in data.backed_up:
                if rest == f"{data.id} from {backup.to.ids[0]}":
                    return Candidate(tries="restore", of=(data.id, backup.to.ids[0]))
        return None
    if name.startswith("take-over of "):
        service = name.removeprefix("take-over of ")
        copy = active_copy(scene, service) if service in things else ""
        return _stopping(scene, "failover", (copy,), (service,)) if copy else None
    if name.startswith("time without "):
        source = name.removeprefix("time without ")
        if source not in things:
            return None
        copies = tuple(
            each for each in things if things[each].word == "copy" and each.rpartition(".")[0] == source
        )
        return _stopping(scene, "clock", copies or (source,), (source,))
    if first == "fill" and rest in things and things[rest].word == "store":
        return _stopping(scene, "full disk", (rest,), ())
    if first in ("lose", "cut"):
        taken = (rest,) if rest in things else tuple(dict.fromkeys(rest.split(" and ")))
        known = scene.plain.support.things
        if all(each in known and known[each].part for each in taken):
            return _stopping(scene, "cut" if first == "cut" else "loss", taken, ())
    return None


def _stopping(scene: Scene, tries: str, taken: tuple[str, ...], of: tuple[str, ...]) -> Candidate:
    return Candidate(tries=tries, taken=taken, of=of, tried=scene.tried([taken])[0])
