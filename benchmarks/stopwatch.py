"""How late are thousands of questions put, and how much of a core does that take, beside the plain ways?

Usage: python benchmarks/stopwatch.py [SECONDS]     (default 8 for each of seven runs, so about a minute)

Each way opens TCP connections to the same listening sockets on loopback, served by another process:
10,000 questions once a second, and 500 ten times a second.

stopwatch  this project's, in its own process, writing its record to a disk
threads    a thread for each question: connect, note, sleep until the next moment; for 500 questions only, since
           10,000 threads kept a machine of two cores busy for seven minutes and never got to the end of five seconds
pool       200 threads, each going round its share of the questions
tasks      one asynchronous task for each question, in the standard library's loop

The three plain ways keep what they were told in memory only.
Late is the time from the moment a question was due to the moment it was put.
A plain way that is not done within a few times its time is stopped, and told as failed.
Missed are those that were due and had not been put when the run was over.
Prints one JSON object a line, and writes them to results/stopwatch.json.
Fails only if an answer is wrong: everybody listens, so nobody may be told to be down.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import resource
import select
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from falsework.model.asks import Ask, Sort
from falsework.record.keeping import NewRun, observed
from falsework.stopwatch.handle import Stopwatch
from falsework.support.probing import Question
from falsework.where import Where

RESULTS = Path(__file__).parent / "results"
SIZES = ((10_000, 1.0), (500, 0.1))
PLAIN = ("threads", "pool", "tasks")
MOST_THREADS = 500
STOP_S = 25.0
"""A plain way is stopped so long after its time, seconds."""
LISTENERS = 500
POOL = 200
PATIENCE_S = 1.0
FILES = 12_000
"""So many files a plain way needs at most: a question in flight each."""

Address = tuple[str, int]


def main() -> None:
    """Measure all, or be one of the processes that are measured."""
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
    if hard < FILES:
        print(
            f"Only {hard:,} open files are permitted here, and {FILES:,} may be needed (ulimit -n).",
            file=sys.stderr,
        )
    if sys.argv[1:2] == ["serve"]:
        serve()
    elif sys.argv[1:2] == ["plain"]:
        plain(
            sys.argv[2],
            int(sys.argv[3]),
            float(sys.argv[4]),
            float(sys.argv[5]),
            json.loads(sys.stdin.read()),
        )
    else:
        measure(float(sys.argv[1]) if sys.argv[1:] else 8.0)


def measure(seconds: float) -> None:
    """Every way at every size, one after the other."""
    rows: list[dict[str, Any]] = []
    with served() as addresses:
        for many, every_s in SIZES:
            for way in ("stopwatch", *PLAIN):
                if way == "threads" and many > MOST_THREADS:
                    continue
                load = os.getloadavg()[0]
                row = {"way": way, "questions": many, "every_s": every_s, "for_s": seconds}
                if way == "stopwatch":
                    row |= ours(many, every_s, seconds, addresses)
                else:
                    row |= theirs(way, many, every_s, seconds, addresses)
                rows.append(row | {"load_before": round(load, 1)})
                print(json.dumps(rows[-1]), flush=True)
    (RESULTS / "stopwatch.json").write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    wrong = [row for row in rows if row["way"] == "stopwatch" and row["wrong"]]
    if wrong:
        raise SystemExit(f"somebody who listens was told to be down: {wrong}")


@contextlib.contextmanager
def served() -> Iterator[list[Address]]:
    """The addresses of a process that listens, until the block ends."""
    server = subprocess.Popen([sys.executable, __file__, "serve"], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    try:
        yield [(host, port) for host, port in json.loads(server.stdout.readline())]
    finally:
        server.kill()
        server.wait()
        server.stdout.close()


def serve() -> None:
    """Accept every connection, and close it."""
    poll = select.epoll()
    listeners: dict[int, socket.socket] = {}
    for number in range(LISTENERS):
        listener = socket.socket()
        listener.bind((f"127.0.0.{number % 250 + 1}", 0))
        listener.listen(1_024)
        listener.setblocking(False)
        poll.register(listener.fileno(), select.EPOLLIN)
        listeners[listener.fileno()] = listener
    print(json.dumps([listener.getsockname() for listener in listeners.values()]), flush=True)
    while True:
        for number, _ in poll.poll():
            with contextlib.suppress(BlockingIOError):
                while True:
                    listeners[number].accept()[0].close()


def ours(many: int, every_s: float, seconds: float, addresses: Sequence[Address]) -> dict[str, Any]:
    """The stopwatch with its record, in its own process."""
    questions = [
        Question(
            name=f"probe-{number}",
            sees="",
            ask=Ask(sort=Sort.TCP, host=host, port=port),
            expects="",
            from_="",
            every_s=every_s,
            patience_s=PATIENCE_S,
            where=Where("", 1, 1),
        )
        for number, (host, port) in enumerate(addresses[number % len(addresses)] for number in range(many))
    ]
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        record = Path(folder) / "lab.record"
        with Stopwatch.begin(questions, record, NewRun(lab="benchmark")) as stopwatch:
            began_s, spent_s = stopwatch.now_s(), spent(stopwatch.process)
            time.sleep(seconds)
            spent_s = spent(stopwatch.process) - spent_s
            passed_s = stopwatch.now_s() - began_s
        went = stopwatch.end()
        assert went is not None
        seen = observed(record, stopwatch.number)
        took_s = [probe.usual_s for probe in seen.probes if probe.yes]
    return {
        "asked": went.asked,
        "missed": went.missed,
        "late_50_ms": round(went.late_50_s * 1e3, 2),
        "late_99_ms": round(went.late_99_s * 1e3, 2),
        "worst_ms": round(went.worst_s * 1e3, 2),
        "of_a_core": round(spent_s / passed_s, 3),
        "answer_ms": round(statistics.median(took_s or [0.0]) * 1e3, 2),
        "wrong": sum(len(probe.outages) for probe in seen.probes),
        "gaps": len(seen.run.gaps),
    }


def theirs(
    way: str, many: int, every_s: float, seconds: float, addresses: Sequence[Address]
) -> dict[str, Any]:
    """A plain way, in a process of its own."""
    line = [sys.executable, __file__, "plain", way, str(many), str(every_s), str(seconds)]
    try:
        ran = subprocess.run(
            line,
            input=json.dumps(addresses),
            capture_output=True,
            text=True,
            check=False,
            timeout=seconds + STOP_S,
        )
    except subprocess.TimeoutExpired:
        return {"failed": f"stopped after {seconds + STOP_S:.0f} s"}
    if ran.returncode:
        return {"failed": ran.stderr.strip().splitlines()[-1:] or f"ended with status {ran.returncode}"}
    return dict(json.loads(ran.stdout))


def spent(process: int) -> float:
    """Seconds that processors have worked for a process."""
    user, system = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


class Notes:
    """What a plain way notes."""

    def __init__(self) -> None:
        self.late_s: list[float] = []
        self.took_s: list[float] = []
        self.wrong = 0

    def note(self, due_s: float, asked_s: float, good: bool) -> None:
        """One answer."""
        self.late_s.append(asked_s - due_s)
        self.took_s.append(time.monotonic() - asked_s)
        self.wrong += not good


def plain(way: str, many: int, every_s: float, seconds: float, addresses: list[list[Any]]) -> None:
    """Ask in a plain way, and print how that went."""
    notes = Notes()
    targets = [
        (str(host), int(port))
        for host, port in (addresses[number % len(addresses)] for number in range(many))
    ]
    spent_s = time.process_time()
    began_s = time.monotonic()
    {"threads": by_threads, "pool": by_pool, "tasks": by_tasks}[way](notes, targets, every_s, seconds)
    passed_s = time.monotonic() - began_s
    spent_s = time.process_time() - spent_s
    late_ms = sorted(late_s * 1e3 for late_s in notes.late_s)
    print(
        json.dumps(
            {
                "asked": len(late_ms),
                "missed": max(round(many * seconds / every_s) - len(late_ms), 0),
                "late_50_ms": round(late_ms[len(late_ms) // 2], 2),
                "late_99_ms": round(late_ms[len(late_ms) * 99 // 100], 2),
                "worst_ms": round(late_ms[-1], 2),
                "of_a_core": round(spent_s / passed_s, 3),
                "answer_ms": round(statistics.median(notes.took_s) * 1e3, 2),
                "wrong": notes.wrong,
            }
        ),
        flush=True,
    )
    os._exit(0)  # thousands of threads would otherwise be waited for


def knock(target: Address) -> bool:
    """Open a connection and close it."""
    try:
        socket.create_connection(target, PATIENCE_S).close()
    except OSError:
        return False
    return True


def by_threads(notes: Notes, targets: Sequence[Address], every_s: float, seconds: float) -> None:
    """A thread for each question."""
    threading.stack_size(256 * 1_024)
    start_s = time.monotonic() + len(targets) * 5e-4  # after all threads are there
    until_s = start_s + seconds

    def ask(number: int, target: Address) -> None:
        due_s = start_s + every_s * number / len(targets)
        while due_s < until_s:
            wait(due_s)
            asked_s = time.monotonic()
            if asked_s >= until_s:
                return
            notes.note(due_s, asked_s, knock(target))
            due_s += every_s

    for number, target in enumerate(targets):
        threading.Thread(target=ask, args=(number, target), daemon=True).start()
    wait(until_s)


def by_pool(notes: Notes, targets: Sequence[Address], every_s: float, seconds: float) -> None:
    """Some threads, each going round its share."""
    start_s = time.monotonic() + 0.5
    until_s = start_s + seconds

    def round_(first: int) -> None:
        turn = 0
        while True:
            for number in range(first, len(targets), POOL):
                due_s = start_s + every_s * (turn + number / len(targets))
                wait(due_s)
                asked_s = time.monotonic()
                if asked_s >= until_s:
                    return
                notes.note(due_s, asked_s, knock(targets[number]))
            turn += 1

    with ThreadPoolExecutor(POOL) as pool:
        list(pool.map(round_, range(min(POOL, len(targets)))))


def by_tasks(notes: Notes, targets: Sequence[Address], every_s: float, seconds: float) -> None:
    """A task for each question."""

    async def ask(number: int, target: Address, start_s: float) -> None:
        due_s = start_s + every_s * number / len(targets)
        while due_s < start_s + seconds:
            await asyncio.sleep(max(due_s - time.monotonic(), 0.0))
            asked_s = time.monotonic()
            if asked_s >= start_s + seconds:
                return
            good = True
            try:
                async with asyncio.timeout(PATIENCE_S):
                    _, writer = await asyncio.open_connection(*target)
                    writer.close()
            except OSError:
                good = False
            notes.note(due_s, asked_s, good)
            due_s += every_s

    async def all_of_them() -> None:
        start_s = time.monotonic() + 0.5
        await asyncio.gather(*(ask(number, target, start_s) for number, target in enumerate(targets)))

    asyncio.run(all_of_them())


def wait(until_s: float) -> None:
    """Sleep until a moment."""
    left_s = until_s - time.monotonic()
    if left_s > 0:
        time.sleep(left_s)


if __name__ == "__main__":
    main()
