"""How do things stand in a run of the stopwatch, as of now?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.errors import Fault
from falsework.record.seen import Told


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveProbe:
    """The last that is known of one probe; seconds since the run began.

    Attributes:
        told: how the question was answered that was asked last of those that are told; UNKNOWN before the first.
        since_s: when the first question was asked that was answered so, all since then being answered so too.
        asked_s: when the last question was asked that is told; minus infinity before the first.
        usual_s: the median time to the last few good answers; NaN if there was none.
        says: a few words on the last answer, or nothing.
        changes: from when on it was answered how, oldest first, as far as that is known of the last changes; the last
            of them is `since_s` and `told`.
    """

    told: Told
    since_s: float
    asked_s: float
    usual_s: float
    says: str = ""
    changes: tuple[tuple[float, Told], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """How a run stands.

    Attributes:
        at_s: the moment that this is true of, seconds since the run began.
        probes: in the order of the questions.
        until_s: up to when everything is on disk, seconds since the run began.
        faults: what is wrong with the stopwatch itself or with its questions, such as a name that does not resolve.
        ended: whether the run is over.
    """

    at_s: float
    probes: tuple[LiveProbe, ...]
    until_s: float
    faults: tuple[Fault, ...] = ()
    ended: bool = False
