"""How long, and with how much memory, are gigabytes of logs read around an event?

Makes logs of twenty machines over ten days in a temporary folder, in order of time, about 2 GB; an event is in them nine
days and a half after their beginning. Measured, each in a process of its own:

- around the event, against an ordinary day (what the command does by default): sought in the files;
- the same with the files cut in half and put together the wrong way round, so that all has to be read;
- with the window as wide as all ten days, so that all lines are sorted and thinned;
- at a tenth of the size, the last against the obvious way: read all, sort in memory, count.

Run: .venv/bin/python benchmarks/logs.py [MEGABYTES]
"""

import datetime
import io
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HOSTS, DAYS = 20, 10
BEGIN = datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)
EVENT = BEGIN + datetime.timedelta(days=9.5)
DAY_US = 86_400_000_000


def micros(moment: datetime.datetime) -> int:
    """Microseconds since 1970."""
    return round(moment.timestamp()) * 1_000_000


def make(folder: Path, megabytes: int) -> None:
    """Write the logs; 40 kinds of usual lines, and at the event one line of each host that is new."""
    dice = random.Random(5)
    texts = [f"service {chr(97 + n % 26)}{chr(97 + n // 26)} handled request" for n in range(40)]
    each = megabytes * 1_000_000 // HOSTS
    lines = each // 125
    step_us = DAYS * DAY_US // lines
    for host in range(HOSTS):
        at = micros(BEGIN) + dice.randrange(step_us)
        told = False
        with (folder / f"m{host:02d}.log").open("w", buffering=1 << 20) as out:
            minute, stamp = -1, ""
            for number in range(lines):
                at += step_us
                if at // 60_000_000 != minute:
                    minute = at // 60_000_000
                    stamp = datetime.datetime.fromtimestamp(minute * 60, datetime.UTC).strftime(
                        "%Y-%m-%dT%H:%M:"
                    )
                second = f"{at % 60_000_000 / 1e6:09.6f}"
                text = texts[(number * 7 + number // 11) % 40]
                out.write(
                    f"<30>1 {stamp}{second}Z m{host:02d} app{number % 5} {number % 30000} - - {text} {number} in 0.{number % 997:03d} s from 198.51.100.{number % 250}\n"
                )
                if not told and at >= micros(EVENT):
                    told = True
                    out.write(
                        f"<27>1 {stamp}{second}Z m{host:02d} kernel - - - supply lost, running on the other\n"
                    )


def turn(folder: Path, other: Path) -> None:
    """The same files, each with its second half first."""
    for path in sorted(folder.iterdir()):
        size = path.stat().st_size
        with path.open("rb") as stream, (other / path.name).open("wb") as out:
            stream.seek(size // 2)
            stream.readline()
            middle = stream.tell()
            shutil.copyfileobj(stream, out, 1 << 20)
            stream.seek(0)
            left = middle
            while left > 0:
                block = stream.read(min(left, 1 << 20))
                out.write(block)
                left -= len(block)


def ours(folder: Path, ordinary_days: float, before_days: float) -> None:
    """Read them as the command does; prints how many lines were read and told."""
    from falsework.logs.gathering import Stretch, gather

    begin = micros(EVENT) - round(before_days * DAY_US)
    stretch = Stretch(
        ordinary_us=begin - round(ordinary_days * DAY_US),
        from_us=begin,
        moment_us=micros(EVENT),
        until_us=micros(EVENT) + 30 * 60_000_000,
    )
    found = gather(sorted(folder.iterdir()), stretch)
    told = [entry for entry in found.entries if "supply lost" in entry.line.text]
    print(found.lines + found.before, len(told), len(found.entries))


def obvious(folder: Path) -> None:
    """All lines in one list, sorted by time, and counted by text."""
    from falsework.logs.forms import said
    from falsework.logs.stamps import Stamps

    stamps = Stamps()
    lines = []
    for path in sorted(folder.iterdir()):
        for raw in path.read_bytes().splitlines():
            found = said(raw, stamps)
            if found is not None:
                lines.append(found)
    lines.sort(key=lambda line: line.at_us)
    counts = {}
    for line in lines:
        counts[line.text] = counts.get(line.text, 0) + 1
    rare = [line for line in lines if "supply lost" in line.text]
    print(len(lines), len(rare), len(counts))


def measured(*words: object) -> tuple[float, float, float, list[int]]:
    """Run this file again for one measurement: seconds, those of the processor, MiB at the most, and what it printed."""
    began = time.perf_counter()
    done = subprocess.run(
        [sys.executable, __file__, "-", *map(str, words)], capture_output=True, text=True, check=True
    )
    seconds = time.perf_counter() - began
    peak, processor, *answer = done.stdout.split()
    return seconds, float(processor), int(peak) / 1024, [int(each) for each in answer]


def main() -> None:
    """Make the logs, measure, take them away."""
    megabytes = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    free = shutil.disk_usage(tempfile.gettempdir()).free
    if free < megabytes * 3_500_000:
        sys.exit(
            f"{free / 1e9:.0f} GB are free in {tempfile.gettempdir()}, and {megabytes * 3.5e-3:.0f} are needed."
        )
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as made:
        whole, turned, small = (Path(made) / name for name in ("whole", "turned", "small"))
        for folder in (whole, turned, small):
            folder.mkdir()
        make(whole, megabytes)
        size = sum(path.stat().st_size for path in whole.iterdir())
        print(f"{size / 1e9:.2f} GB in {HOSTS} files, {DAYS} days; load {load:.1f} at the beginning")
        rows = [
            (
                "around the event, an ordinary day before it, files in order",
                measured("ours", whole, 1, 10 / 1440),
            )
        ]
        turn(whole, turned)
        rows.append(("the same, files out of order: all is read", measured("ours", turned, 1, 10 / 1440)))
        shutil.rmtree(turned)
        rows.append(
            (
                "window of all the days before the event: all sorted, runs on disk",
                measured("ours", whole, 0, 9.5),
            )
        )
        shutil.rmtree(whole)
        make(small, megabytes // 10)
        rows.append((f"{megabytes // 10} MB: window of all the days", measured("ours", small, 0, 9.5)))
        rows.append((f"{megabytes // 10} MB: the default window", measured("ours", small, 1, 10 / 1440)))
        rows.append((f"{megabytes // 10} MB: the obvious way, all in memory", measured("obvious", small)))
    for says, (seconds, processor, peak, (lines, told, _)) in rows:
        print(f"| {says} | {lines:,} | {seconds:.1f} s | {processor:.1f} s | {peak:.0f} MiB |")
        if told != HOSTS:
            sys.exit(f"wrong: {told} of {HOSTS} lines of the event were found")


if __name__ == "__main__":
    if sys.argv[1:2] == ["-"]:
        stdout = sys.stdout
        sys.stdout = text = io.StringIO()
        name, folder, *numbers = sys.argv[2:]
        (ours if name == "ours" else obvious)(Path(folder), *map(float, numbers))
        sys.stdout = stdout
        used = resource.getrusage(resource.RUSAGE_SELF)
        print(used.ru_maxrss, used.ru_utime + used.ru_stime, text.getvalue())
    else:
        main()
