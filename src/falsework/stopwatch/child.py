"""What does the process do that a stopwatch runs in?

It is told over one pipe what to watch, answers questions about it, and ends when the pipe does: whoever began it may be
gone by then, and the record is closed all the same.
"""

from __future__ import annotations

import contextlib
import gc
import signal
import sys
import threading
import time
import traceback
from collections.abc import Sequence
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path

from falsework.errors import FalseworkError, shortened
from falsework.record.keeping import NewRun, Recorder
from falsework.record.live import Live
from falsework.record.seen import Marked
from falsework.stopwatch.clocks import boot_s
from falsework.stopwatch.lateness import Watched
from falsework.stopwatch.loop import Glance, Watch
from falsework.support.probing import Question

MARK_S = 2.0
"""A mark is waited for so long to be on disk, seconds; it is tried further afterwards."""
_TURN_S = 0.000_5
"""For so long another thread may keep the interpreter when a question is due; seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be watched."""

    questions: Sequence[Question]
    record: Path
    run: NewRun
    folder: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """It runs."""

    zero_s: float
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Asks how things stand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Whether a mark is on disk."""

    on_disk: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Asks it to end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """It is over: how well it kept its time, how things stood at the end, and what went wrong."""

    watched: Watched | None
    live: Live | None
    error: FalseworkError | None = None


Said = Begun | Glance | Taken | Ended


def main() -> None:
    """Serve the pipe whose number is the last word of the command line."""
    pipe = Connection(int(sys.argv[-1]))
    try:
        ended = _serve(pipe)
    except Exception as error:  # a defect of ours must reach the one who can report it
        last = traceback.format_exception(error)[-2:]
        said = shortened(" ".join(" ".join(last).split()), 500)
        ended = Ended(watched=None, live=None, error=FalseworkError(f"the stopwatch broke: {said}"))
    with contextlib.suppress(OSError):  # perhaps nobody reads it any more
        pipe.send(ended)


def _serve(pipe: Connection) -> Ended:
    watch_box: list[Watch] = []
    asked_to_end = threading.Event()

    def end(*_: object) -> None:
        asked_to_end.set()
        for watch in watch_box:
            watch.end()

    sys.setswitchinterval(_TURN_S)
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, end)
    order = pipe.recv()
    assert isinstance(order, Order)
    zero_s, run = boot_s(), replace(order.run, began=time.time())
    try:
        recorder = Recorder(order.record, run, order.questions)
    except FalseworkError as error:
        return Ended(watched=None, live=None, error=error)
    try:
        watch = Watch(order.questions, recorder, folder=order.folder, zero_s=zero_s)
        watch_box.append(watch)
        with contextlib.suppress(OSError):
            pipe.send(Begun(zero_s=watch.zero_s, number=recorder.number))
        threading.Thread(target=_answer, args=(pipe, watch), name="speaker", daemon=True).start()
        if asked_to_end.is_set():
            watch.end()
        # What is there from the start stays to the end: looking through it again and again would only make us late.
        gc.collect()
        gc.freeze()
        watched = watch.run()
    except FalseworkError as error:
        _closed(recorder, None)
        return Ended(watched=None, live=None, error=error)
    return Ended(watched=watched, live=watch.live(), error=_closed(recorder, watch.now_s()))


def _closed(recorder: Recorder, at_s: float | None) -> FalseworkError | None:
    try:
        recorder.end(at_s)
    except FalseworkError as error:
        return error
    return None


def _answer(pipe: Connection, watch: Watch) -> None:
    """Answer one after the other until the pipe is closed on the other side."""
    try:
        while True:
            said = pipe.recv()
            if isinstance(said, Look):
                pipe.send(watch.glance())
            elif isinstance(said, Marked):
                pipe.send(Taken(on_disk=watch.mark(said, wait_s=MARK_S)))
            elif isinstance(said, Stop):
                break
    except (OSError, EOFError):
        pass
    watch.end()
