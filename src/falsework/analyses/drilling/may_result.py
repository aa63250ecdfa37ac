"""What is told of whether a drill may be done today?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from falsework.analyses.drilling.result import Foretold
from falsework.analyses.verdicts import Verdict


class Against(StrEnum):
    """What speaks against a drill, worst first."""

    DATA = "data is lost"
    UNPROVED = "a backup was never restored from"
    AIM = "an aim breaks"
    FALLS = "a service falls"
    SILENT = "no alarm leaves"
    NOTHING = "nothing would be tried"


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One thing that speaks against it.

    Attributes:
        what: which sort of thing.
        about: the data, aims, services, alarms or parts that it is about.
        says: a clause.
        why: the chain of reasons, a clause; empty where there is none.
    """

    what: Against
    about: tuple[str, ...]
    says: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MayDrill:
    """The answer.

    Attributes:
        drill: its name.
        yes: whether it may be done.
        because: what speaks against it, worst first; empty where it may be done.
        first: what to do before; sentences.
        mind: what is told and does not speak against it; sentences.
        effects: what it does today, with what is out.
        out: what is out today.
    """

    drill: str
    yes: bool
    because: tuple[Because, ...]
    first: tuple[str, ...]
    mind: tuple[str, ...]
    effects: tuple[Foretold, ...]
    out: tuple[str, ...]

    @property
    def says(self) -> str:
        """The answer as one sentence without its full stop."""
        if self.yes and self.falls:
            return "yes: what falls is foretold, and nothing else does"
        if self.yes:
            hit = any(each.verdict is Verdict.BLINKS for each in self.effects)
            return f"yes: {'what is interrupted comes back by itself' if hit else 'nothing is interrupted'}"
        more = len(self.because) - 1
        return f"no: {self.because[0].says}{f', and {more} more' if more else ''}"

    @property
    def falls(self) -> tuple[str, ...]:
        """The services that fall in it today."""
        return tuple(each.service for each in self.effects if each.verdict >= Verdict.FALLS)
