"""Which pairs of lines tell of one event on two clocks, cause and effect?

Three sorts of lines do. A line that was taken in by another host and stamped again: it was written before it was taken
in. Lines of two hosts that hold the same name of one time (a long number, a mixed word), of which one says that it was
sent and the other that it was received. And lines in which a host says that its clock was set; what lies on the other
side of such a step is not compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from falsework.logs.bounds import Tie, weakened
from falsework.logs.line import Line
from falsework.logs.stamps import SECOND

BUCKET_US = 600 * SECOND
"""Of all ties of two clocks the tightest of each ten minutes is kept."""
MOST_NAMES = 100_000
MOST_TIES = 50_000
MOST_STEPS = 1_000
_SENT = re.compile(
    r"\b(?:sen[dt]|sending|asks?|asked|asking|forward(?:s|ed|ing)?|quer(?:y|ies) to|request to)\b",
    re.IGNORECASE,
)
_RECEIVED = re.compile(
    r"\b(?:receiv(?:e[ds]?|ing)|got|accept(?:s|ed|ing)?|arrived|taken in)\b", re.IGNORECASE
)
_ANSWER = re.compile(
    r"\b(?:answer(?:s|ed)?|repl(?:y|ies|ied)|respon(?:se|ds|ded)|ack(?:nowledged)?)\b", re.IGNORECASE
)
_NAME = re.compile(
    r"(?<![0-9A-Za-z-])(?=[0-9A-Za-z-]*[0-9])(?=[0-9A-Za-z-]*[A-Za-z])[0-9A-Za-z]{4,64}(?:-[0-9A-Za-z]{4,32}){0,6}(?![0-9A-Za-z-])"
)
_SHORTEST_NAME = 8
_STEP = re.compile(
    r"(?:\bclock|(?:^|\bsystem |\bthe )time)(?: (?:has|was|been|got|suddenly))*"
    r" (?:step(?:ped|s)?|jump(?:ed|s)?|set|changed?|moved)\b|\bstep(?:ped|ping)? (?:the )?(?:system )?(?:clock|time)\b",
    re.IGNORECASE,
)
_BY = re.compile(
    r"\b(?:by|offset)[ :=]{1,3}([+-]?\d{1,9}(?:\.\d{1,9})?) ?(ms|s|sec|secs|seconds|milliseconds)\b",
    re.IGNORECASE,
)
_BACK = re.compile(r"\b(?:back|backwards?)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A clock was set.

    Attributes:
        host: whose.
        at_us: when, by that clock, as it was after the step or just before.
        by_us: by how much, forward above 0; None if the line does not say.
        line: that says so.
    """

    host: str
    at_us: int
    by_us: int | None
    line: Line


class Ties:
    """Gathers ties from lines in any order; what it holds is bounded.

    Args:
        moment_us: that clocks are asked about.
    """

    def __init__(self, moment_us: int) -> None:
        self._moment = moment_us
        self._kept: dict[tuple[str, str, int], Tie] = {}
        self._names: dict[tuple[str, bool], dict[tuple[str, bool], int]] = {}
        self._tells: dict[str, tuple[bool, bool, bool, bool]] = {}
        self.steps: list[Step] = []

    def see(self, line: Line, says: str = "") -> None:
        """Look at a line.

        Args:
            line: the line.
            says: what lines of its kind say, by which it is known what to look for in it; its own text if not given.
        """
        if line.by:
            self._add(Tie(line.host, line.by, line.at_us, line.by_us))
        said = says or line.text
        tells = self._tells.get(said)
        if tells is None:
            if len(self._tells) >= MOST_NAMES:
                self._tells.clear()
            tells = self._tells[said] = _tells(said)
        step, sent, received, answer = tells
        if step:
            self._step(line)
        if sent == received:
            return
        text = line.text
        for name in _names(text):
            known = self._names.get((name, answer))
            if known is None:
                if len(self._names) >= MOST_NAMES:
                    return
                known = self._names[name, answer] = {}
            key = (line.host, sent)
            # The first sending comes before the first receipt, whatever was said again.
            known[key] = min(known.get(key, line.at_us), line.at_us)

    def found(self) -> tuple[Tie, ...]:
        """All ties that no step parts from the moment, in a fixed order."""
        for known in self._names.values():
            senders = [(host, at) for (host, sent), at in known.items() if sent]
            if len(senders) == 1:  # of several nobody knows who was first
                for (host, sent), at in known.items():
                    if not sent and host != senders[0][0]:
                        self._add(Tie(senders[0][0], host, senders[0][1], at))
        kept = (tie for tie in self._kept.values() if not self._parted(tie.cause, tie.cause_us))
        return tuple(
            sorted(
                (tie for tie in kept if not self._parted(tie.effect, tie.effect_us)),
                key=lambda tie: (tie.cause, tie.effect, tie.cause_us, tie.effect_us),
            )
        )

    def _add(self, tie: Tie) -> None:
        key = (tie.cause, tie.effect, tie.cause_us // BUCKET_US)
        known = self._kept.get(key)
        if known is None:
            if len(self._kept) < MOST_TIES:
                self._kept[key] = tie
        elif weakened(tie, self._moment) < weakened(known, self._moment):
            self._kept[key] = tie

    def _step(self, line: Line) -> None:
        if len(self.steps) >= MOST_STEPS:
            return
        found = _BY.search(line.text, 0, 400)
        by = None
        if found is not None:
            by = round(float(found[1]) * (1_000 if found[2].lower().startswith("m") else SECOND))
            if by > 0 and _BACK.search(line.text):
                by = -by
        self.steps.append(Step(host=line.host, at_us=line.at_us, by_us=by, line=line))

    def _parted(self, host: str, at_us: int) -> bool:
        """Whether a step lies between a time of a clock and the moment; near a step nobody can know."""
        for step in self.steps:
            if step.host == host:
                near = abs(step.by_us or 0) + SECOND
                if abs(at_us - step.at_us) <= near or (at_us < step.at_us) != (self._moment < step.at_us):
                    return True
        return False


def _tells(text: str) -> tuple[bool, bool, bool, bool]:
    """Whether a text tells of a clock that was set, of sending, of receiving, of an answer."""
    step, sent, received, answer = (
        each.search(text, 0, 400) is not None for each in (_STEP, _SENT, _RECEIVED, _ANSWER)
    )
    return step, sent, received, answer


def _names(text: str) -> Iterator[str]:
    for found in _NAME.finditer(text, 0, 400):
        if len(found[0]) >= _SHORTEST_NAME:
            yield found[0]
