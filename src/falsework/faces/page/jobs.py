"""Which heavy work is going on, which waits, and what has been made?"""

from __future__ import annotations

import asyncio
import contextlib
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from falsework.errors import FalseworkError, QuestionError
from falsework.faces.page.child import Asked, Work
from falsework.faces.page.made import Made, made_of_error
from falsework.faces.page.started import Started, Starter

MOST_AT_ONCE = 2
"""Jobs that run side by side."""

MOST_WAITING = 16
"""Jobs that wait; of more, those asked for longest ago are let go."""

MOST_MADE = 48
"""Results that are kept for the next time they are asked for."""

FAILURE_S = 30.0
"""Seconds after which what failed is tried again when it is asked for."""

ENDING_S = 1.0
"""Seconds that closing waits for a process to be gone; killed it is long before."""

Done = Callable[[Made], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a job is.

    Attributes:
        asked: the job.
        what: it is doing.
        done: steps behind it.
        of: steps that there are.
    """

    asked: Asked
    what: str
    done: int
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """How it stands with a job.

    Attributes:
        asked: the job.
        stage: not asked for yet, waiting for its turn, running, or done.
        what: it is doing, "" where it has not told.
        done: steps behind it.
        of: steps that there are.
        since: when it began to run.
        made: what it made, if it is done.
        older: what the same question last gave of an earlier state of the lab, if that is still known.
        older_at: when that was made.
    """

    asked: Asked
    stage: Literal["new", "waiting", "running", "made"]
    what: str = ""
    done: int = 0
    of: int = 0
    since: datetime | None = None
    made: Made | None = None
    older: Made | None = None
    older_at: datetime | None = None


@dataclass(slots=True, kw_only=True, eq=False)
class _Job:
    asked: Asked
    work: Work
    heard: list[Done] = field(default_factory=list)
    heard_early: list[Done] = field(default_factory=list)
    started: Started | None = None
    since: datetime | None = None
    at: tuple[str, int, int] = ("", 0, 0)
    instead: FalseworkError | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    made: Made
    at: datetime
    clock_s: float


class Jobs:
    """Runs heavy work in processes of its own: few at once, the newest asked for first.

    All methods are called on the thread of one event loop, and everybody is told there.

    Args:
        tell: is told how far a job is.
        preload: modules that the jobs need; they load once, in the process that the others are forked from.
            Leave out what starts threads when it loads.
        most: jobs that run side by side.
    """

    def __init__(
        self,
        *,
        tell: Callable[[Progress], None] = lambda progress: None,
        preload: Iterable[str] = (),
        most: int = MOST_AT_ONCE,
    ) -> None:
        self.tell = tell
        self._starter = Starter(preload)
        self._most = most
        self._running: dict[Asked, _Job] = {}
        self._waiting: dict[Asked, _Job] = {}  # the newest asked for last
        self._made: dict[Asked, _Kept] = {}
        self._older: dict[tuple[str, str, tuple[str, ...]], tuple[Asked, _Kept]] = {}
        self._ending: set[Started] = set()
        self._closed = False

    def warm(self) -> None:
        """Begin to load what jobs need, in a process beside; returns at once."""
        if not self._closed:
            self._starter.begin()

    def ask(
        self,
        asked: Asked,
        work: Work,
        *,
        done: Done | None = None,
        early: Done | None = None,
        again: bool = False,
    ) -> State:
        """See to it that a job is done, unless it has been done already.

        Args:
            asked: what it works on.
            work: the job.
            done: called with what it makes, unless that is there at once.
            early: called with what it hands over before, if it does.
            again: do it anew though it has been done.

        Returns:
            How it stands: with what it made, if that was there.
        """
        if again:
            self._made.pop(asked, None)
        if self._found(asked) is None and not self._closed:
            job = self._running.get(asked)
            if job is None:
                # Back to the end of the line, from where it is called first.
                job = self._waiting.pop(asked, None) or _Job(asked=asked, work=work)
                self._waiting[asked] = job
            if done is not None:
                job.heard.append(done)
            if early is not None:
                job.heard_early.append(early)
            self._begin()
            while len(self._waiting) > MOST_WAITING:
                _told(self._waiting.pop(next(iter(self._waiting))), _LET_GO)
        return self.state(asked)

    def state(self, asked: Asked) -> State:
        """How it stands with a job; begins nothing."""
        before, kept = self._older.get(_question(asked), (asked, None))
        older, older_at = (kept.made, kept.at) if kept and before.digest != asked.digest else (None, None)
        found = self._found(asked)
        if found is not None:
            return State(asked=asked, stage="made", made=found.made, older=older, older_at=older_at)
        job = self._running.get(asked)
        if job is not None:
            what, done, of = job.at
            return State(
                asked=asked,
                stage="running",
                what=what,
                done=done,
                of=of,
                since=job.since,
                older=older,
                older_at=older_at,
            )
        stage: Literal["waiting", "new"] = "waiting" if asked in self._waiting else "new"
        return State(asked=asked, stage=stage, older=older, older_at=older_at)

    async def wait(self, asked: Asked, work: Work) -> Made:
        """Do a job and wait for what it makes, be it only why there is nothing."""
        later: asyncio.Future[Made] = asyncio.get_running_loop().create_future()
        state = self.ask(asked, work, done=lambda made: None if later.done() else later.set_result(made))
        if state.made is not None:
            return state.made
        if self._closed:
            return made_of_error(_CLOSED, command=asked.command)
        return await later

    def stop(self, key: str) -> bool:
        """Ask a job to end with what it has; whether there was one.

        Args:
            key: of what it works on.
        """
        for asked in [each for each in self._waiting if each.key == key]:
            _told(self._waiting.pop(asked), _STOPPED)
            return True
        for asked, job in self._running.items():
            if asked.key == key and job.started is not None:
                job.started.stop()
                return True
        return False

    def renew(self, digest: str) -> None:
        """The lab is another now: end all work on what it was.

        Whoever waits for such work is told so.
        """
        for asked in [each for each in self._waiting if each.digest != digest]:
            _told(self._waiting.pop(asked), _CHANGED)
        for asked in [each for each in self._running if each.digest != digest]:
            self._kill(self._running.pop(asked), _CHANGED)
        self._begin()

    async def close(self) -> None:
        """End all work.

        When this returns no process of a job is left, but one that was being started; that ends by itself.
        """
        self._closed = True
        for job in list(self._waiting.values()):
            _told(job, _CLOSED)
        self._waiting.clear()
        for job in list(self._running.values()):
            self._kill(job, _CLOSED)
        self._running.clear()
        for started in list(self._ending):
            await asyncio.to_thread(started.join, ENDING_S)

    def _begin(self) -> None:
        # What was killed counts until it is gone: it may hold much memory.
        while self._waiting and len(self._running) + len(self._ending) < self._most and not self._closed:
            asked, job = self._waiting.popitem()
            self._running[asked] = job
            self._start(job)

    def _start(self, job: _Job) -> None:
        loop = asyncio.get_running_loop()

        def told(what: str, done: int, of: int) -> None:
            with contextlib.suppress(RuntimeError):  # the loop may be gone by now
                loop.call_soon_threadsafe(self._progress, job, what, done, of)

        def early(made: Made) -> None:
            with contextlib.suppress(RuntimeError):
                loop.call_soon_threadsafe(self._early, job, made)

        def ended(made: Made) -> None:
            with contextlib.suppress(RuntimeError):
                loop.call_soon_threadsafe(self._ended, job, made)

        job.since = datetime.now().astimezone()
        job.started = Started(self._starter, job.asked, job.work, told=told, early=early, ended=ended)

    def _kill(self, job: _Job, instead: FalseworkError) -> None:
        _told(job, instead)
        job.instead = instead
        if job.started is not None:
            self._ending.add(job.started)
            job.started.kill()

    def _progress(self, job: _Job, what: str, done: int, of: int) -> None:
        if job.instead is None:
            job.at = (what, done, of)
            self.tell(Progress(asked=job.asked, what=what, done=done, of=of))

    def _early(self, job: _Job, made: Made) -> None:
        if job.instead is None:
            for early in job.heard_early:
                early(made)

    def _ended(self, job: _Job, made: Made) -> None:
        if job.started is not None:
            self._ending.discard(job.started)
        if job.instead is None:
            self._running.pop(job.asked, None)
            self._keep(job.asked, made)
            for done in job.heard:
                done(made)
        self._begin()

    def _keep(self, asked: Asked, made: Made) -> None:
        kept = _Kept(made=made, at=datetime.now().astimezone(), clock_s=time.monotonic())
        self._made[asked] = kept
        while len(self._made) > MOST_MADE:
            del self._made[next(iter(self._made))]
        if made.failed:
            return
        question = _question(asked)
        self._older.pop(question, None)
        for each in [each for each in self._made if each != asked and _question(each) == question]:
            del self._made[each]
        self._older[question] = (asked, kept)
        while len(self._older) > MOST_MADE:
            del self._older[next(iter(self._older))]

    def _found(self, asked: Asked) -> _Kept | None:
        kept = self._made.pop(asked, None)
        if kept is None or (kept.made.failed and time.monotonic() - kept.clock_s > FAILURE_S):
            return None
        self._made[asked] = kept
        return kept


def _question(asked: Asked) -> tuple[str, str, tuple[str, ...]]:
    return asked.name, asked.path, asked.out


def _told(job: _Job, instead: FalseworkError) -> None:
    made = made_of_error(instead, command=job.asked.command)
    for done in job.heard:
        done(made)
    job.heard.clear()


_LET_GO = QuestionError("newer questions came before this one", "Open this sheet again.")
_CHANGED = QuestionError("the lab has changed while this was worked out", "It is worked out anew.")
_STOPPED = QuestionError("the work was stopped before it had begun", "Begin it again.")
_CLOSED = QuestionError("the page has been closed", "Run the command again.")
