"""Which way of asking belongs to which question, and whom does it ask?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from falsework.errors import shortened
from falsework.model.asks import Sort
from falsework.stopwatch.desk import NOBODY, Asker, CannotAsk, Target
from falsework.stopwatch.names import Host, by_digits
from falsework.stopwatch.ping import Echoes, Ping
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

    def __init__(self, question: Question, folder: Path, echoes: dict[int, Echoes]) -> None:
        self._port = question.ask.port
        self.patience_s = question.patience_s
        self.name = ""
        self.cannot = ""
        self.mend = ""
        self.target: Target | None = None
        self.asker: Asker | None = None
        try:
            self._aim_first(question)
            self.asker = _asker(question, folder, echoes)
        except CannotAsk as error:
            self.cannot, self.mend = error.what, error.mend
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
    echoes: dict[int, Echoes] = {}
    return tuple(Way(each, folder, echoes) for each in questions)


def _asker(question: Question, folder: Path, echoes: dict[int, Echoes]) -> Asker:
    ask, expects = question.ask, question.expects
    if expects.strip() and ask.sort is Sort.PING:
        raise CannotAsk(
            f"nothing but an echo can be expected of ping, and it expects '{shortened(expects)}'",
            "Leave out expects, or ask in a way that is answered with words.",
        )
    # Loaded only where they are asked for: the libraries behind them take longer than all the rest.
    match ask.sort:
        case Sort.TCP:
            if not expects.strip():
                return Tcp()
            from falsework.stopwatch.greeting import Greeted

            return Greeted(expects)
        case Sort.PING:
            return Ping(echoes)
        case Sort.TLS:
            from falsework.stopwatch.certificates import prepare
            from falsework.stopwatch.tls import Tls

            prepare()
            return Tls(ask.host, expects)
        case Sort.HTTP | Sort.HTTPS:
            from falsework.stopwatch.certificates import prepare
            from falsework.stopwatch.page import Page

            if ask.sort is Sort.HTTPS:
                prepare()
            return Page(ask, expects)
        case Sort.DNS:
            from falsework.stopwatch.lookup import Dns

            return Dns(ask, expects)
        case Sort.COMMAND:
            from falsework.stopwatch.command import Command

            return Command(ask.about, expects, folder)
