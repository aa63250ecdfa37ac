"""What does a thing lean on, in words?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.errors import few, listed
from falsework.support.graph import LATER, NOW, Lean, Phase, Role, Support
from falsework.support.standing import Standing
from falsework.units import format_time

IMPLIED = ("copy", "supply", "share")
"""What nobody writes down; its leans are told with those of the thing that it belongs to."""
_MOST = 8


def leans_told(standing: Standing, thing: Support) -> Iterator[tuple[Lean, str]]:
    """The leans of a thing and of the copies, supplies and shares that make it up, in words with their subject."""
    own = list(leans_said(thing))
    for lean, says in own:
        yield lean, f"{thing.id} {says}"
    inner = [
        each
        for each in dict.fromkeys(each for lean, _ in own for each in lean.on)
        if standing.support.things[each].word in IMPLIED
    ]
    said: dict[str, tuple[Lean, list[str]]] = {}
    for each in inner:
        for lean, says in leans_said(standing.support.things[each]):
            said.setdefault(says, (lean, []))[1].append(each)
    for says, (lean, subjects) in said.items():
        yield lean, _said_of(subjects, says, whole=len(inner), of=thing)


def _said_of(subjects: Sequence[str], says: str, *, whole: int, of: Support) -> str:
    if len(subjects) == whole > 1:
        return f"each of them {says}"
    return (
        f"{subjects[0] if len(subjects) == 1 else few(subjects)} {says}"
        if len(subjects) <= 4
        else f"{len(subjects)} of them, {subjects[0]} among them, {says}"
    )


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
        said += f", and can do without for {format_time(lean.hold_s)}"
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
