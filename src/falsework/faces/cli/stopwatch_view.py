"""How do many probes look at once, in a terminal of any size?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.errors import counted
from falsework.faces.cli.stopwatch_strip import Strips
from falsework.faces.stopwatch_words import WORDS, spell, usual
from falsework.record.live import Live, LiveProbe
from falsework.record.seen import Told
from falsework.support.probing import Question

SIGNS = {Told.YES: "-", Told.NO: "x", Told.SILENT: "o", Told.UNKNOWN: "?"}
STYLES = {Told.YES: "green", Told.NO: "bold red", Told.SILENT: "bold red", Told.UNKNOWN: "yellow"}
_ORDER = {Told.SILENT: 0, Told.NO: 0, Told.UNKNOWN: 1, Told.YES: 2}
RECENT_S = 60.0
"""For so long a probe that was answered otherwise stands among the first, seconds."""
_LONGEST_NAME, _SHORTEST_STRIP, _LONGEST_STRIP = 26, 12, 40
_SIDE = 2


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a row, and how it is shown."""

    text: str
    style: str = ""


Row = tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What is drawn.

    Attributes:
        questions: that are asked.
        live: how they stand.
        strips: their last minute.
        head: sentences over the probes, already known to the drill.
        foot: sentences under them, such as which keys do what.
        beside: what stands beside a probe, by its number: what is foretold of what it sees.
        plain: only the first 128 signs.
    """

    questions: Sequence[Question]
    live: Live
    strips: Strips
    head: Sequence[str] = ()
    foot: Sequence[str] = ()
    beside: Mapping[int, str] | None = None
    plain: bool = False


def rows(sight: Sight, *, width: int, height: int) -> tuple[Row, ...]:
    """Everything in so many rows and columns at the most.

    Problems come first, then what has changed lately, then the rest in the lab's order; what has no room is counted.
    """
    head = [
        (Piece(_cut(each, width, sight), "bold" if not number else ""),)
        for number, each in enumerate((counts(sight), *sight.head))
    ]
    faults = [(Piece(_cut(f"! {each}", width, sight), "yellow"),) for each in sight.live.faults[:2]]
    foot = [(Piece(_cut(each, width, sight), "dim"),) for each in sight.foot]
    room = max(height - len(head) - len(faults) - len(foot), 1)
    order = ordered(sight)
    shown = order if len(order) <= room else order[: max(room - 1, 0)]
    made = [*head, *faults, *_probes(sight, shown, width)]
    if len(shown) < len(order):
        made.append((Piece(_cut(_rest(sight, order[len(shown) :]), width, sight), "dim"),))
    return tuple([*made, *foot][: max(height, 1)])


def counts(sight: Sight) -> str:
    """How many are answered how, and since when it runs."""
    told = [each.told for each in sight.live.probes]
    pieces = [
        f"{number} {word}"
        for word, number in (
            ("silent", told.count(Told.SILENT)),
            ("not well", told.count(Told.NO)),
            ("unknown", told.count(Told.UNKNOWN)),
        )
        if number
    ]
    well = told.count(Told.YES)
    answered = "all answered well" if well == len(told) else f"{well} answered well"
    return f"{counted(len(told), 'probe')}: {', '.join([*pieces, answered])}; {spell(sight.live.at_s)}"


def ordered(sight: Sight) -> list[int]:
    """The probes in the order in which they are shown."""

    def key(number: int) -> tuple[float, float, int]:
        told = sight.live.probes[number].told
        changed = sight.strips.changed_s(number)
        recent = changed > sight.live.at_s - RECENT_S
        return (
            _ORDER[told] if told is not Told.YES or not recent else 1.5,
            -changed if recent else 0.0,
            number,
        )

    return sorted(range(len(sight.questions)), key=key)


def state(probe: LiveProbe, at_s: float) -> str:
    """A probe's state in words: `well`, `silent for 2.4 s`, `not well for 3 s: refused`."""
    if probe.asked_s == -math.inf:
        return "not asked yet"
    said = f"{WORDS[probe.told]} for {spell(at_s - probe.since_s)}"
    told_already = probe.told is Told.SILENT and probe.says in ("", "silent", "no answer")
    return said if not probe.says or told_already else f"{said}: {probe.says}"


def _probes(sight: Sight, numbers: Sequence[int], width: int) -> Iterator[Row]:
    """A row a probe; columns that have no room are left out, the least needed first."""
    names = [sight.questions[each].name for each in numbers]
    sees = [sight.questions[each].sees for each in numbers]
    # A probe that bears the name of what it sees says it once.
    sees = ["" if one == other else one for one, other in zip(sees, names, strict=True)]
    states = [state(sight.live.probes[each], sight.live.at_s) for each in numbers]
    took = [usual(sight.live.probes[each].usual_s) for each in numbers]
    beside = [(sight.beside or {}).get(each, "") for each in numbers]
    name = _width(names, _LONGEST_NAME)
    left = width - name - 2 * _SIDE
    said = min(_width(states, 44), max(left - _SIDE, 8))
    left -= said + _SIDE
    told = _width(beside, 46)
    told = told if told and left - told - _SIDE >= 0 else 0
    left -= told + _SIDE if told else 0
    seen = _width(sees, 18)
    seen = seen if seen and left - seen - _SIDE >= _SHORTEST_STRIP else 0
    left -= seen + _SIDE if seen else 0
    time = _width(took, 10)
    time = time if time and left - time - _SIDE >= _SHORTEST_STRIP else 0
    left -= time + _SIDE if time else 0
    strip = min(left, _LONGEST_STRIP) if left >= _SHORTEST_STRIP else 0
    for index, number in enumerate(numbers):
        answered = sight.live.probes[number].told
        style = STYLES[answered]
        pieces = [Piece(f"{SIGNS[answered]} ", style), Piece(_fit(names[index], name, sight))]
        if seen:
            pieces.append(Piece(_gap(_fit(sees[index], seen, sight)), "dim"))
        pieces.append(Piece(_gap(_fit(states[index], said, sight)), style))
        if told:
            pieces.append(Piece(_gap(_fit(beside[index], told, sight))))
        if time:
            pieces.append(Piece(_gap(f"{took[index]:>{time}}"), "dim"))
        if strip:
            drawn = sight.strips.strip(number, width=strip, plain=sight.plain)
            pieces.append(Piece(_gap(drawn), style))
        yield _cropped(pieces, width)


def _cropped(pieces: Sequence[Piece], width: int) -> Row:
    """A row that ends where the terminal does."""
    made, left = [], width
    for piece in pieces:
        made.append(Piece(piece.text[:left], piece.style))
        left -= len(made[-1].text)
    return tuple(made)


def _rest(sight: Sight, numbers: Sequence[int]) -> str:
    bad = sum(1 for each in numbers if sight.live.probes[each].told is not Told.YES)
    how = f"{bad} of them not answered well" if bad else "all answered well"
    return f"and {counted(len(numbers), 'more probe')}, {how}"


def _width(texts: Sequence[str], most: int) -> int:
    return min(max(map(len, texts), default=0), most)


def _gap(text: str) -> str:
    return " " * _SIDE + text


def _fit(text: str, width: int, sight: Sight) -> str:
    return _cut(text, width, sight).ljust(width)


def _cut(text: str, width: int, sight: Sight) -> str:
    shown = "".join(each if each.isprintable() else " " for each in str(text))
    if sight.plain:
        shown = shown.encode("ascii", "replace").decode("ascii")
    if len(shown) <= width:
        return shown
    end = "." if sight.plain else "…"
    return shown[: max(width - 1, 0)] + end[:width]
