"""How are verdicts, parts and leans said in words?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from falsework.analyses.verdicts import Effect, Verdict
from falsework.errors import listed
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.units import format_time

_BARE = ("outside", "person", "service", "alarm")
"""What goes by its name alone: `lose mains`, not `lose outside mains`."""
_SHORT = {"ups": "UPS"}


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
    late = f"after {format_time(effect.falls_s)}" if 0 < effect.falls_s < float("inf") else ""
    if effect.verdict is Verdict.FALLS:
        before = f", blinks before for {format_time(effect.before.back_s)}" if effect.before else ""
        return f"{late}{before}" or "at once"
    if effect.verdict is Verdict.BLINKS:
        length = f"for {format_time(effect.blinks_s)}"
        return f"{late} {length}" if late else length
    return ""
