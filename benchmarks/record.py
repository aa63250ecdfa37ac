"""What does the record cost, and does anything get lost when its writer is killed?

Usage: python benchmarks/record.py [speed|kills [TIMES]]...     (default both; kills 1,000 times)

speed   ten thousand answers a second (10,000 probes once a second, 1,000 ten times a second), one in a thousand of
        them bad: how much of a core the recorder takes, the best of 3, and how the record grows; beside it the
        obvious way, a row for each answer
kills   a process that writes as fast as it can, and says after each call that it returned, is killed (SIGKILL) at a
        random moment, over and over on the same records; each time the record must be sound, must hold exactly what
        was said to be written or one call more, must say where it stops, and must take the next run

Prints one JSON object a line, and writes them to results/record.json. Fails only if something is lost or torn.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import random
import signal
import sqlite3
import struct
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from falsework.model.asks import Ask, Sort
from falsework.record.keeping import NewRun, Recorder, live
from falsework.record.seen import Gap, Mark, Marked, Seen, Told, Why
from falsework.support.probing import Question
from falsework.where import Where

RESULTS = Path(__file__).parent / "results" / "record.json"
BEST_OF = 3
RUN_S = 60
MOST_RUNS = 50
"""A new record is begun after so many runs, so that beginning one is interrupted too."""
Call = tuple[str, Any]


def questions(number: int, every_s: float = 1.0) -> tuple[Question, ...]:
    """So many that differ in their host only."""
    return tuple(
        Question(
            name=f"probe-{at}",
            sees="",
            ask=Ask(sort=Sort.TCP, host=f"host-{at}", port=25),
            expects="",
            from_="",
            every_s=every_s,
            patience_s=1.0,
            where=Where("lab.yaml", 1, 1),
        )
        for at in range(number)
    )


def speed(folder: Path) -> Iterator[dict[str, Any]]:
    """Processor seconds for each second of ten thousand answers."""
    for probes, every_s in ((10_000, 1.0), (1_000, 0.1)):
        for name, way in (("record", _recorded), ("a row for each answer", _rows)):
            tries = [way(folder / f"{name}-{probes}.{at}", probes, every_s) for at in range(BEST_OF)]
            best, grows = min(tries)
            yield {
                "what": "speed",
                "way": name,
                "probes": probes,
                "every_s": every_s,
                "answers_a_second": round(probes / every_s),
                "core": round(best, 4),
                "mib_an_hour": round(grows * 3600 / 2**20, 1),
            }


def _stream(probes: int, every_s: float) -> Iterator[tuple[float, list[Seen]]]:
    """Batches as a stopwatch gives them, fifty a second."""
    random_ = random.Random(1)
    each, whose = round(probes / every_s / 50), 0
    for number in range(RUN_S * 50):
        at_s = number / 50
        batch = []
        for place in range(each):
            told = Told.NO if random_.random() < 1e-3 else Told.YES
            asked_s = at_s + place * 1e-7
            batch.append(
                Seen(whose, asked_s, asked_s + random_.uniform(2e-4, 2e-3), told, "refused" if told else "")
            )
            whose = (whose + 1) % probes
        yield at_s, batch


def _recorded(path: Path, probes: int, every_s: float) -> tuple[float, float]:
    recorder = Recorder(path, NewRun(lab="speed"), questions(probes, every_s))
    used_s, half = 0.0, 0
    for number, (at_s, batch) in enumerate(_stream(probes, every_s)):
        begin = time.process_time()
        recorder.answers(batch)
        if number % 12 == 0:
            recorder.beat(at_s, 1.7e9 + at_s)
        used_s += time.process_time() - begin
        if number == RUN_S * 25:
            half = _size(path)
    grown = _size(path) - half
    recorder.end()
    return used_s / RUN_S, grown / (RUN_S / 2)


def _rows(path: Path, probes: int, every_s: float) -> tuple[float, float]:
    file = sqlite3.connect(path)
    file.execute("PRAGMA journal_mode = WAL")
    file.execute("PRAGMA synchronous = FULL")
    file.execute("CREATE TABLE seen (probe INTEGER, asked_s REAL, told_s REAL, told INTEGER, says TEXT)")
    used_s, half = 0.0, 0
    for number, (_, batch) in enumerate(_stream(probes, every_s)):
        begin = time.process_time()
        with file:
            file.executemany(
                "INSERT INTO seen VALUES (?, ?, ?, ?, ?)",
                [(each.probe, each.asked_s, each.told_s, each.told, each.says) for each in batch],
            )
        used_s += time.process_time() - begin
        if number == RUN_S * 25:
            half = _size(path)
    grown = _size(path) - half
    file.close()
    return used_s / RUN_S, grown / (RUN_S / 2)


def _size(path: Path) -> int:
    """Of a record that is being written, what is written ahead included once it is brought in; bytes."""
    with contextlib.closing(sqlite3.connect(path)) as file:
        (pages,) = file.execute("PRAGMA page_count").fetchone()
        (each,) = file.execute("PRAGMA page_size").fetchone()
        return int(pages * each)


def kills(folder: Path, times: int, *, seed: int = 1) -> dict[str, Any]:
    """Kill a writer so many times.

    Raises:
        AssertionError: something was lost or torn; it says what.
    """
    random_ = random.Random(seed)
    said = more = unbegun = 0
    for number in range(times):
        path = folder / f"{number // MOST_RUNS}.record"
        returned, began = _killed(path, seed=number, random_=random_)
        said += returned
        if not path.exists():
            assert not began, f"kill {number}: a record that was begun is gone"
            unbegun += 1
            continue
        more += _check(path, number, returned, began=began)
    return {
        "what": "kills",
        "times": times,
        "before_there_was_a_record": unbegun,
        "calls_said_to_be_written": said,
        "calls_written_but_not_yet_said": more,
        "lost": 0,
        "torn": 0,
    }


def calls(seed: int) -> Iterator[Call]:
    """What a writer is told, the same for the same seed: answers in and out of order, gaps, marks and beats."""
    random_ = random.Random(seed)
    told = [Told.YES] * 4
    for number in itertools.count():
        at_s = 1.0 + number
        sort = random_.random()
        if sort < 0.7:
            batch = []
            for probe in range(4):
                if random_.random() < 0.5:
                    told[probe] = random_.choice(tuple(Told))
                batch.append(Seen(probe, at_s, at_s + 0.01, told[probe], str(number)))
                if random_.random() < 0.3:  # given up only now, though asked before
                    batch.append(Seen(probe, at_s - random_.uniform(0.1, 5), at_s + 0.02, Told.SILENT, ""))
            yield "answers", batch
        elif sort < 0.8:
            yield "gap", Gap(from_s=at_s - 0.5, until_s=at_s, why=Why.BUSY)
        elif sort < 0.9:
            yield "mark", Marked(at_s=at_s, mark=Mark.SAID, says=str(number))
        else:
            yield "beat", at_s


def _killed(path: Path, *, seed: int, random_: random.Random) -> tuple[int, bool]:
    """Begin a writer and kill it: how many calls it said had returned, and whether it said that it had begun."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        try:
            _write(path, seed, lambda number: os.write(write, struct.pack("<i", number)))
        finally:
            os._exit(1)
    os.close(write)
    wanted = random_.choice((0, 0, 1, 5, 20, 60))
    got = b""
    while len(got) < 4 * wanted and (piece := os.read(read, 4 * wanted - len(got))):
        got += piece
    time.sleep(random_.uniform(0, 4e-3))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(read, 65_536):
        got += piece
    os.close(read)
    assert len(got) >= 4 * wanted, "the writer ended by itself"
    return max(0, len(got) // 4 - 1), len(got) >= 4


def _write(path: Path, seed: int, say: Callable[[int], object]) -> None:
    recorder = Recorder(path, NewRun(lab="kills", drill=str(seed)), questions(4))
    say(0)
    for number, (name, value) in enumerate(calls(seed), 1):
        if name == "beat":
            recorder.beat(value, 1.7e9 + value)
        else:
            getattr(recorder, name)(value)
        say(number)


def _check(path: Path, number: int, returned: int, *, began: bool) -> int:
    """Whether a record is sound and whole; 1 if a call was written that had not returned."""
    # The writer's own reader of what is written ahead: it finds the record as the kill left it.
    state = live(path)
    with contextlib.closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)], f"kill {number}: damaged"
        row = file.execute(
            "SELECT number, until_s, ended FROM run WHERE drill = ?", (str(number),)
        ).fetchone()
        if row is None:
            assert not began, f"kill {number}: the run is gone"
            return 0
        run, until_s, ended = row
        assert not ended, f"kill {number}: it did not end by itself"
        assert state is not None
        assert state.ended, f"kill {number}: nobody writes it any more"
        assert state.until_s == until_s
        found = (
            file.execute(
                "SELECT probe, asked_s, told, last_s FROM change WHERE run = ? ORDER BY probe, asked_s",
                (run,),
            ).fetchall(),
            [
                each
                for (each,) in file.execute("SELECT until_s FROM gap WHERE run = ? ORDER BY rowid", (run,))
            ],
            [each for (each,) in file.execute("SELECT says FROM mark WHERE run = ? ORDER BY rowid", (run,))],
        )
    made = list(itertools.islice(calls(number), returned + 1))
    for extra in (0, 1):
        if found == _expected(made[: returned + extra]):
            assert until_s >= _last_written(made[:returned]), (
                f"kill {number}: it does not say how far it goes"
            )
            return extra
    raise AssertionError(f"kill {number}: something is lost or torn after {returned} calls")


def _expected(made: Sequence[Call]) -> tuple[list[Any], list[float], list[str]]:
    """What a record must hold, by sorting all answers."""
    answers: list[dict[float, Told]] = [{} for _ in range(4)]
    for name, value in made:
        if name == "answers":
            for each in value:
                answers[each.probe][each.asked_s] = each.told
    changes = []
    for probe, told in enumerate(answers):
        before = None
        for asked_s in sorted(told):
            if before is None or told[before] != told[asked_s]:
                changes.append((probe, asked_s, int(told[asked_s]), before))
            before = asked_s
    return (
        changes,
        [value.until_s for name, value in made if name == "gap"],
        [value.says for name, value in made if name == "mark"],
    )


def _last_written(made: Sequence[Call]) -> float:
    """The moment of the last call that has to write how far the run goes."""
    moments = {
        "gap": lambda value: value.until_s,
        "mark": lambda value: value.at_s,
        "beat": lambda value: value,
    }
    return max((float(moments[name](value)) for name, value in made if name in moments), default=0.0)


def main(asked: Sequence[str]) -> None:
    """Measure what is asked for."""
    results: list[dict[str, Any]] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if not asked or "kills" in asked:
            times = next((int(each) for each in asked if each.isdigit()), 1_000)
            results.append(kills(folder, times))
            print(json.dumps(results[-1]), flush=True)
        if not asked or "speed" in asked:
            for each in speed(folder):
                results.append(each)
                print(json.dumps(each), flush=True)
    kept = json.loads(RESULTS.read_text()) if RESULTS.exists() else []
    whats = {each["what"] for each in results}
    kept = [each for each in kept if each["what"] not in whats] + results
    RESULTS.write_text(json.dumps(kept, indent=1) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
