"""What do these files say around a moment that they do not say at other times, by which clocks?"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.logs.bounds import Ahead, Tie, ahead
from falsework.logs.folding import Entry, folded
from falsework.logs.line import Line
from falsework.logs.merging import MOST_HELD, merged
from falsework.logs.reading import Tally, read
from falsework.logs.seeking import numbers
from falsework.logs.source import Refused, Source, source
from falsework.logs.stamps import Stamps
from falsework.logs.thinning import Differs, Thinning
from falsework.logs.ties import Step, Ties

_MOST_NAMES = 10_000
MOST_HOSTS = 2_000
"""Hosts that are told apart."""
OTHERS = "(other hosts)"
MOST_FILES = 10_000
"""Of a folder."""
MOST_COUNTED = 1 << 29
"""Bytes that are read once more to say which line an entry begins with: 512 MiB."""

Tell = Callable[[str, int, int], None]
"""Told of long work: what, how far, and how far it goes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What is asked for, microseconds since 1970.

    Attributes:
        ordinary_us: from here to `from_us` is the ordinary stretch.
        from_us, until_us: the window.
        moment_us: what it is about, in it.
    """

    ordinary_us: int
    from_us: int
    moment_us: int
    until_us: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRead:
    """A file that was read, and what was come upon."""

    source: Source
    tally: Tally


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """What the files say.

    Attributes:
        stretch: that was asked for.
        files: that were read.
        refused: that could not be.
        passed: files of folders that are no logs, or are empty.
        hosts: that have lines, in order of name.
        entries: lines of kinds that differ, repeats folded, in order of their hosts' clocks.
        differing: why, by kind; what stopped has no entry.
        numbers: of the line that each entry begins with, by file and place; those far into a file are missing.
        clocks: how far each host's clock is ahead of the one of reference.
        reference: whose clock that is; empty if nothing ties two clocks.
        steps: of clocks, as hosts tell of them.
        lines: in the window.
        before: in the ordinary stretch.
        kinds: of lines in the window.
        chance_new: how many new kinds an ordinary window would have.
        uncompared: hosts without an ordinary stretch.
        dropped: lines that found no room.
        full: whether there were more kinds than are told apart.
        guessed: whether times said no offset, and were taken to be in the zone asked for.
    """

    stretch: Stretch
    files: tuple[FileRead, ...]
    refused: tuple[Refused, ...]
    passed: tuple[Path, ...]
    hosts: tuple[str, ...]
    entries: tuple[Entry, ...]
    differing: tuple[Differs, ...]
    numbers: dict[tuple[int, int], int]
    clocks: tuple[Ahead, ...]
    reference: str
    steps: tuple[Step, ...]
    lines: int
    before: int
    kinds: int
    chance_new: float
    uncompared: tuple[str, ...]
    dropped: int
    full: bool
    guessed: bool


def gather(
    paths: Sequence[Path],
    stretch: Stretch,
    *,
    zone: datetime.tzinfo = datetime.UTC,
    name_of: Callable[[str], str] | None = None,
    reference: str = "",
    ties: Callable[[Sequence[Entry]], Sequence[Tie]] | None = None,
    most_held: int = MOST_HELD,
    tell: Tell | None = None,
) -> Gathered:
    """Read files and tell what differs.

    Args:
        paths: of the files, or of folders of them; the same twice counts once.
        stretch: what is asked for.
        zone: of times that do not say an offset.
        name_of: what a host is called, whichever of its names a line has.
        reference: whose clock is held to be right, if there is a tie with it; else the middle one.
        ties: further pairs of causes and effects, found from the lines that are told.
        most_held: bytes of lines held at once while they are sorted.
        tell: told of long work.
    """
    stamps = Stamps(zone, stretch.moment_us)
    sources: list[Source] = []
    refused: list[Refused] = []
    passed: list[Path] = []
    named = frozenset(paths)
    for path in dict.fromkeys(each for given in paths for each in _inside(given)):
        found = source(path, len(sources), stamps)
        if isinstance(found, Source):
            sources.append(found)
        elif found.other and path not in named:
            passed.append(path)  # a folder has other things in it too
        else:
            refused.append(found)
    files = tuple(FileRead(source=each, tally=Tally()) for each in sources)
    thinning = Thinning(stretch.ordinary_us, stretch.from_us, stretch.moment_us, stretch.until_us)
    pairs = Ties(stretch.moment_us)
    counts = [0, 0]
    window = _window(files, stamps, stretch, thinning, pairs, counts, name_of, tell)
    lines = merged(window, most_held=most_held)
    # Nothing comes out before all has gone in, so that everything is counted by then.
    first = next(lines, None)
    differing = thinning.differing()
    folding = folded(_again(first, lines), thinning, differing)
    entries = tuple(folding.entries)
    known = (*pairs.found(), *(ties(entries) if ties is not None else ()))
    clock = _reference(known, reference, stretch.moment_us)
    hosts = thinning.hosts
    return Gathered(
        stretch=stretch,
        files=files,
        refused=tuple(refused),
        passed=tuple(passed),
        hosts=hosts,
        entries=entries,
        differing=tuple(differing.values()),
        numbers=_numbers(files, entries),
        clocks=ahead(known, hosts, clock, stretch.moment_us) if clock else tuple(_unknown(hosts)),
        reference=clock,
        steps=tuple(pairs.steps),
        lines=counts[1],
        before=counts[0],
        kinds=thinning.kinds,
        chance_new=thinning.chance_new(),
        uncompared=tuple(host for host in hosts if not thinning.comparable(host)),
        dropped=folding.dropped,
        full=thinning.full,
        guessed=stamps.guessed,
    )


def _inside(path: Path) -> tuple[Path, ...]:
    """The files of a folder, but for hidden ones and folders in it; anything else is itself, a folder of none too."""
    try:
        if not path.is_dir():
            return (path,)
        found = sorted(each for each in path.iterdir() if each.is_file() and not each.name.startswith("."))
    except OSError:
        found = []
    return tuple(found[:MOST_FILES]) or (path,)


def _again(first: Line | None, lines: Iterator[Line]) -> Iterator[Line]:
    if first is not None:
        yield first
        yield from lines


def _window(
    files: Sequence[FileRead],
    stamps: Stamps,
    stretch: Stretch,
    thinning: Thinning,
    pairs: Ties,
    counts: list[int],
    name_of: Callable[[str], str] | None,
    tell: Tell | None,
) -> Iterator[Line]:
    """Count every line of the ordinary stretch and the window, and give out those of the window."""
    hosts = _Hosts(name_of)
    done, whole = 0, sum(each.source.size for each in files)
    for each in files:
        name, size = each.source.path.name, each.source.size
        said = f"reading {name if name.isprintable() else 'a file'}"

        def told(place: int, said: str = said, done: int = done, size: int = size) -> None:
            if tell is not None:
                tell(said, done + min(place, size), whole)

        told(0)
        for line in read(
            each.source, stamps, stretch.ordinary_us, stretch.until_us, tally=each.tally, tell=told
        ):
            line = hosts.named(line)
            kind = thinning.see(line)
            pairs.see(line, kind.says)
            inside = line.at_us >= stretch.from_us
            counts[inside] += 1
            if inside:
                yield Line(*line[:9], thinning.number(kind))
        done += size


class _Hosts:
    """Gives hosts the names that they have everywhere; beyond a bound they are not told apart."""

    def __init__(self, name_of: Callable[[str], str] | None) -> None:
        self._name_of = name_of
        self._names: dict[str, str] = {}
        self._told: set[str] = set()

    def named(self, line: Line) -> Line:
        """The line with the names that its hosts have everywhere."""
        host = self._names.get(line.host)
        if host is None:
            host = self._new(line.host)
        if not line.by:
            return line if host == line.host else line._replace(host=host)
        return line._replace(host=host, by=self._names.get(line.by) or self._new(line.by))

    def _new(self, name: str) -> str:
        if len(self._names) >= _MOST_NAMES:
            self._names.clear()
        found = self._name_of(name) if self._name_of is not None else name
        if found not in self._told:
            if len(self._told) >= MOST_HOSTS:
                found = OTHERS
            self._told.add(found)
        self._names[name] = found
        return found


def _reference(ties: Sequence[Tie], wanted: str, moment_us: int) -> str:
    """The clock that all are held against: the one that is wanted, else the middle one of those that are tied best."""
    counts: dict[str, int] = {}
    for tie in ties:
        for name in (tie.cause, tie.effect):
            counts[name] = counts.get(name, 0) + 1
    if not counts or wanted in counts:
        return wanted if wanted in counts else ""
    most = min(counts, key=lambda name: (-counts[name], name))
    bounded = [each for each in ahead(ties, counts, most, moment_us) if each.within_us < float("inf")]
    return sorted(bounded, key=lambda each: (each.best_us, each.clock))[len(bounded) // 2].clock


def _unknown(hosts: Sequence[str]) -> Iterator[Ahead]:
    for host in hosts:
        yield Ahead(clock=host, low_us=float("-inf"), high_us=float("inf"))


def _numbers(files: Sequence[FileRead], entries: Sequence[Entry]) -> dict[tuple[int, int], int]:
    """The numbers of lines, of the nearest places first; where that would read too much they are left out."""
    places: dict[int, list[int]] = {}
    for entry in entries:
        places.setdefault(entry.line.file, []).append(entry.line.offset)
    left = MOST_COUNTED
    found = {}
    for each in sorted(files, key=lambda each: max(places.get(each.source.number, [0]))):
        wanted = places.get(each.source.number, [])
        if wanted and not each.source.packed:
            for place, line in numbers(each.source.path, wanted, left).items():
                found[each.source.number, place] = line
            left = max(left - max(wanted), 0)
    return found
