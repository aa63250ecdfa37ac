"""How are names, times and amounts said on paper?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from falsework import units
from falsework.errors import listed
from falsework.units import Dimension, ThreePoint


def time(seconds: float) -> str:
    """A time, `1 h 30 min`."""
    return units.format(seconds, Dimension.TIME)


def between(guess: ThreePoint) -> str:
    """The least and the most of a guess, `30 min to 3 h`; empty where it is no guess."""
    return "" if guess.low == guess.high else f"{time(guess.low)} to {time(guess.high)}"


def said(value: float | None, dimension: Dimension) -> str:
    """An amount, empty where nobody says."""
    return "" if value is None else units.format(value, dimension)


def names(some: Iterable[str], most: int = 8) -> str:
    """Names in a sentence, the first few, the rest counted."""
    return listed(list(some), most)


def steps(numbers: Sequence[int]) -> str:
    """Which steps, runs of them as ranges: `steps 1, 4 to 7 and 9`."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    parts: list[str] = []
    for first, last in runs:
        parts.extend([f"{first} to {last}"] if last > first + 1 else [str(n) for n in range(first, last + 1)])
    if not parts:
        return ""
    word = "step" if len(parts) == 1 and "to" not in parts[0] else "steps"
    return f"{word} {parts[0] if len(parts) == 1 else ', '.join(parts[:-1]) + ' and ' + parts[-1]}"
