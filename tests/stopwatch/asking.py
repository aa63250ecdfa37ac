"""Puts questions for a test: once each, in this process, to servers that the test makes on loopback."""

import contextlib
import datetime
import socket
import ssl
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tests.certificates import self_signed
from tests.waiting import LONGEST_S

from falsework.model.asks import Ask, Sort
from falsework.record.seen import Gap, Jump, Marked, Seen
from falsework.stopwatch.clocks import CLOCKS, Clocks
from falsework.stopwatch.loop import Watch
from falsework.stopwatch.names import Host, Names, by_digits
from falsework.support.probing import Question
from falsework.where import Where

HOME = "127.0.0.1"
WHERE = Where("lab.yaml", 7, 3)


def question(sort: Sort, host: str = HOME, port: int = 0, *, expects: str = "", **more) -> Question:
    """A question with what a test does not care about filled in; patient enough for a machine that is held up."""
    ask = Ask(sort=sort, host=host, port=port, about=more.pop("about", ""), record=more.pop("record", ""))
    given = {"name": "front", "every_s": 60.0, "patience_s": 20.0, **more}
    return Question(sees="", ask=ask, expects=expects, from_="", where=WHERE, **given)


class Memory:
    """Takes down in memory, and ends the watch once there is enough."""

    def __init__(self, enough: Callable[["Memory"], bool]) -> None:
        self.seen: list[Seen] = []
        self.gaps: list[Gap] = []
        self.jumps: list[Jump] = []
        self.marks: list[Marked] = []
        self.beats: list[float] = []
        self.watch: Watch | None = None
        self._enough = enough

    def answers(self, batch: Sequence[Seen]) -> None:
        """Keep them."""
        self.seen.extend(batch)
        self._look()

    def beat(self, at_s: float, wall_s: float) -> None:
        """Keep it."""
        self.beats.append(at_s)
        self._look()

    def gap(self, gap: Gap) -> None:
        """Keep it."""
        self.gaps.append(gap)

    def jump(self, jump: Jump) -> None:
        """Keep it."""
        self.jumps.append(jump)

    def mark(self, marked: Marked) -> None:
        """Keep it."""
        self.marks.append(marked)

    def _look(self) -> None:
        if self.watch is not None and self._enough(self):
            self.watch.end()


def watched(
    questions: Sequence[Question],
    enough: Callable[[Memory], bool],
    *,
    clocks: Clocks = CLOCKS,
    folder: Path | None = None,
) -> Memory:
    """What is seen until there is enough of it; a minute at most. Every name but nowhere.invalid is at home."""
    memory = Memory(enough)
    names = Names(dict.fromkeys(each.ask.host for each in questions if _is_name(each)), look_up=_looked_up)
    memory.watch = Watch(questions, memory, clocks=clocks, folder=folder, names=names)
    memory.watch.run(LONGEST_S)
    return memory


def asked(*questions: Question, folder: Path | None = None) -> list[Seen]:
    """The first answer to each question, in their order; asked anew where the machine held the test up meanwhile."""
    first: dict[int, Seen] = {}
    while left := [number for number in range(len(questions)) if number not in first]:
        fresh = _answers([questions[number] for number in left], folder)
        first |= {
            number: seen
            for number, seen in zip(left, fresh, strict=True)
            if not seen.says.startswith("the stopwatch was")
        }
    return [first[number] for number in range(len(questions))]


def _answers(questions: Sequence[Question], folder: Path | None) -> list[Seen]:
    memory = watched(questions, lambda got: len(_answered(got)) == len(questions), folder=folder)
    first = _answered(memory)
    return [first[number] for number in range(len(questions))]


def _answered(memory: Memory) -> dict[int, Seen]:
    """The first answer of each probe once its name was looked up."""
    return {seen.probe: seen for seen in reversed(memory.seen) if seen.says != "its name is being looked up"}


def _is_name(question: Question) -> bool:
    return question.ask.host != "" and by_digits(question.ask.host) is None


def _looked_up(name: str) -> Host:
    if name == "nowhere.invalid":
        raise OSError("no such name")
    return Host(socket.AF_INET, HOME)


def told(question: Question, folder: Path | None = None) -> tuple[str, str]:
    """How one question was answered, and the words on it."""
    (seen,) = asked(question, folder=folder)
    return seen.told.name, seen.says


@contextlib.contextmanager
def served(speak: Callable[[socket.socket], None], *, secret: ssl.SSLContext | None = None) -> Iterator[int]:
    """The port of a server that treats each connection so, one after the other, until the block ends."""
    listener = socket.create_server((HOME, 0))

    def serve() -> None:
        while True:
            try:
                connection, _ = listener.accept()
            except OSError:
                return
            with contextlib.suppress(OSError, ValueError), connection:
                if connection.getsockname()[1] != port:
                    return
                connection.settimeout(LONGEST_S)
                if secret is not None:
                    with secret.wrap_socket(connection, server_side=True) as safe:
                        speak(safe)
                else:
                    speak(connection)

    port = listener.getsockname()[1]
    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield port
    finally:
        listener.shutdown(socket.SHUT_RDWR)  # wakes the one who waits for a connection
        listener.close()
        thread.join(LONGEST_S)


def saying(answer: bytes) -> Callable[[socket.socket], None]:
    """A server that hears something and says this."""

    def speak(connection: socket.socket) -> None:
        connection.recv(65_536)
        connection.sendall(answer)

    return speak


def closed_port() -> int:
    """A port at which nobody listens."""
    with socket.create_server((HOME, 0)) as listener:
        return listener.getsockname()[1]


def certificate(
    folder: Path, *, days: float = 90.0, lives_days: float = 90.0, names: Sequence[str] = (HOME, "localhost")
) -> tuple[Path, ssl.SSLContext, str]:
    """A certificate that vouches for itself: its file, a server's context with it, and its sum.

    Args:
        folder: where to put it.
        days: in how many days it ends; below 0 if it has.
        lives_days: how long it is good for altogether.
        names: whom it is for.
    """
    ends = datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=days)
    file = folder / "certificate.pem"
    pin = self_signed(file, names, begins=ends - datetime.timedelta(days=lives_days), ends=ends)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file)
    return file, context, pin
