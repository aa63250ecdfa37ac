"""Which way of asking belongs to which question, and whom does it ask?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from falsework.model.asks import Sort
from falsework.stopwatch.desk import NOBODY, Asker, Target
from falsework.stopwatch.names import Host, by_digits
from falsework.stopwatch.tcp import Tcp
from falsework.support.probing import Question


class Way:
    """How one question is put.

    Attributes:
        name: the name that must be looked up for it; empty if there is none to look up.
        patience_s: how long its answer is waited for, seconds.
        target: whom it asks; None while that is not known.
        asker: how it asks; None if it can't.
        cannot: why it can't be asked at all, in words; empty if it can.
        mend: how to mend that.
    """

    __slots__ = ("_port", "asker", "cannot", "mend", "name", "patience_s", "target")

    def __init__(self, question: Question, folder: Path) -> None:
        self._port = question.ask.port
        self.patience_s = question.patience_s
        self.name = ""
        self.cannot = ""
        self.mend = ""
        self.target: Target | None = None
        self.asker: Asker | None = None
        try:
            self._aim_first(question)
            self.asker = _asker(question, folder)
        except OSError as error:
            self.cannot = f"it can't be asked: {error.strerror or error}"
            self.mend = "Mend what is asked."

    def _aim_first(self, question: Question) -> None:
        if question.ask.sort is Sort.COMMAND:
            self.target = NOBODY
            return
        host = by_digits(question.ask.host)
        if host is None:
            self.name = question.ask.host
        else:
            self.aim(host)

    def aim(self, host: Host) -> None:
        """Ask at this address from now on."""
        self.target = Target(host.family, host.at(self._port))


def ways(questions: Sequence[Question], folder: Path) -> tuple[Way, ...]:
    """How each question is put, in their order.

    Args:
        questions: what is asked.
        folder: where commands run.
    """
    return tuple(Way(each, folder) for each in questions)


def _asker(question: Question, folder: Path) -> Asker:
    if question.ask.sort is Sort.TCP:
        return Tcp()
    raise NotImplementedError(question.ask.sort)
