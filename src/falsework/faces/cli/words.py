"""How are verdicts, parts and leans said in words?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from falsework import units
from falsework.analyses.verdicts import Effect, Verdict
from falsework.errors import listed
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.support.graph import LATER, NOW, Lean, Phase, Role, Support
from falsework.units import Dimension

_BARE = ("outside", "person", "service", "alarm")
"""What goes by its name alone: `lose mains`, not `lose outside mains`."""
_SHORT = {"ups": "UPS"}
_MOST = 8


def joined(names: Sequence[str], last: str = "and") -> str:
    """All of a few names as people list them: `a, b and c`."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"


def without(out: Iterable[str]) -> str:
    """What is said behind a headline of parts that are out beforehand: ` (with hide-3 out)`, or nothing."""
    names = sorted(out)
    return f" (with {listed(names, 4)} out)" if names else ""


def called(name: str, word: str) -> str:
    """A thing with what it is, unless its name says so: `strip A`, `socket strip`."""
    shown = _SHORT.get(word, word)
    return name if word in _BARE or word.lower() in name.lower() else f"{shown} {name}"


def called_all(names: Iterable[str], lab: Lab) -> str:
    """Several things of the lab, as `called`."""
    return joined([called(name, lab.things[ThingId(name)].IS) for name in dict.fromkeys(names)])


def when(effect: Effect) -> str:
    """When and how long, without the verdict: `at once`, `after 18 min`, `for 40 s`; empty where it stands."""
    late = f"after {_time(effect.falls_s)}" if 0 < effect.falls_s < float("inf") else ""
    if effect.verdict is Verdict.FALLS:
        return late or "at once"
    if effect.verdict is Verdict.BLINKS:
        length = f"for {_time(effect.blinks_s)}"
        return f"{late} {length}" if late else length
    return ""


def leans_said(thing: Support) -> Iterator[tuple[Lean, str]]:
    """Each lean of a thing as words that follow its name: `runs on desk-1`.

    Where it leans on one thing now and may lean on others later, both are said at once.
    """
    now = {lean.role: lean for lean in thing.leans if lean.times == NOW}
    later = {lean.role: lean for lean in thing.leans if lean.times == LATER}
    for lean in thing.leans:
        if lean.times == NOW and lean.role in later:
            whole = later[lean.role]
            others = [each for each in whole.on if each not in lean.on]
            one = "" if len(others) == 1 else "any one of "
            instead = f", or {one}{listed(others, _MOST)} once that is lost" if others else ""
            yield whole, f"{_lean(lean)}{instead}"
        elif lean.times != LATER or lean.role not in now:
            yield lean, _lean(lean)


def _lean(lean: Lean) -> str:
    verb = _verb(lean)
    many = listed(lean.on, _MOST)
    count = len(lean.on)
    if count == 1:
        said = f"{verb} {many}"
    elif lean.enough == count:
        said = f"{verb} all of {many}"
    elif lean.enough == 1:
        said = f"{verb} any one of {many}"
    else:
        said = f"{verb} at least {lean.enough} of {many}"
    if lean.role is Role.NEED:
        said += _phases(lean)
    if lean.together and lean.enough > 1:
        said += ", which must see each other"
    if lean.at:
        said += f", known by {'its address' if len(lean.at) == 1 else 'the addresses'} {listed(lean.at, 4)}"
    if lean.hold_s > 0:
        said += f", and can do without for {_time(lean.hold_s)}"
    return said


def _phases(lean: Lean) -> str:
    if lean.phases == frozenset((Phase.START,)):
        return " to start"
    return " to run" if lean.phases == frozenset((Phase.RUN,)) else " to run and to start"


def _verb(lean: Lean) -> str:
    return {
        Role.POWER: "takes power from",
        Role.HOUSING: "sits in",
        Role.HOST: "runs on",
        Role.COPIES: "is served by",
        Role.DRIVES: "lies on",
        Role.THROUGH: "is reached through",
        Role.STATE: "keeps its state in",
        Role.WAY: "passes",
        Role.KEPT: "is kept in",
        Role.ROOM: "takes room in",
        Role.LOAD: "is carried by",
    }.get(lean.role, "needs")


def _time(seconds: float) -> str:
    return units.format(seconds, Dimension.TIME)
