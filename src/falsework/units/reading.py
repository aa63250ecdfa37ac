"""What number, in base units, does a value such as "24 GiB" or "2..5 %/year" stand for?"""

import math
import re
from dataclasses import dataclass

from falsework.errors import nearest, shortened
from falsework.units.scales import ALSO, EXAMPLES, STRANGE, UNITS, Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A value known to lie between two bounds, both in base units; exact when they are equal."""

    low: float
    high: float

    @property
    def is_exact(self) -> bool:
        """Whether low and high are the same."""
        return self.low == self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePoint:
    """A guess: at least, most likely, at most, in base units.

    Source:
        Mean and deviation: the three-point (PERT) estimate, Malcolm, Roseboom, Clark and Fazar (1959),
        Application of a technique for research and development program evaluation, Operations Research 7(5).
    """

    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        """(low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def deviation(self) -> float:
        """(high - low) / 6; along a chain of independent guesses the squares add."""
        return (self.high - self.low) / 6


class UnitError(ValueError):
    """A value that cannot be understood; the caller knows the place.

    Attributes:
        what: what is wrong, with the value shown; no full stop.
        mend: how to mend it, as a sentence.
    """

    def __init__(self, what: str, mend: str) -> None:
        self.what = what
        self.mend = mend
        super().__init__(what, mend)

    def __str__(self) -> str:
        return f"{self.what}. {self.mend}"


def parse(text: str, dimension: Dimension, *, bare: str | None = None) -> float:
    """Return a value in base units.

    Times may be compound, largest unit first: "1 h 30 min".

    Args:
        text: as written in the lab file.
        dimension: what is wanted.
        bare: the unit that a number without one is in, where the key says it ("watts: 22"); None refuses it.

    Raises:
        UnitError: not a number with a unit of this dimension, not finite, or senselessly negative.
    """
    quantity = parse_range(text, dimension, bare=bare)
    if not quantity.is_exact:
        raise UnitError(f"'{_shown(text)}' is a range, and one value is wanted here", _for_example(dimension))
    return quantity.low


def parse_range(text: str, dimension: Dimension, *, bare: str | None = None) -> Quantity:
    """Return a range such as "18..65 W", the unit written once after both; a plain value is a range of one.

    Args:
        text: as written in the lab file.
        dimension: what is wanted.
        bare: as for `parse`.

    Raises:
        UnitError: as for `parse`, or the range runs backwards.
    """
    if len(text) > _LONGEST:
        raise UnitError(f"'{_shown(text)}' is too long to be {dimension.value}", _for_example(dimension))
    words = " ".join(text.split())
    if dimension is Dimension.TIME and _COMPOUND.fullmatch(words):
        seconds = _compound(words)
        return Quantity(low=seconds, high=seconds)
    found = _VALUE.fullmatch(words)
    if found is None:
        raise _not_a_value(words, dimension)
    unit = found["unit"].strip()
    factor = _factor(unit or bare or "", words, dimension)
    low = _number(found["low"], factor, words, dimension)
    high = low if found["high"] is None else _number(found["high"], factor, words, dimension)
    if low > high:
        swapped = f"{found['high']}..{found['low']} {unit}".strip()
        raise UnitError(f"'{_shown(words)}' runs backwards", f"Write {swapped}.")
    return Quantity(low=low, high=high)


def parse_three(text: str, dimension: Dimension) -> ThreePoint:
    """Return a guess such as "20..40..90 min": at least, most likely, at most, the unit written once.

    Of a range the middle is taken as most likely; a plain value is sure.

    Args:
        text: as written in the lab file.
        dimension: what is wanted.

    Raises:
        UnitError: as for `parse_range`.
    """
    words = " ".join(text.split()) if len(text) <= _LONGEST else text
    found = _THREE.fullmatch(words)
    if found is None:
        bounds = parse_range(text, dimension)
        return ThreePoint(low=bounds.low, likely=(bounds.low + bounds.high) / 2, high=bounds.high)
    unit = found["unit"].strip()
    first = parse_range(f"{found['low']}..{found['likely']} {unit}", dimension)
    second = parse_range(f"{found['likely']}..{found['high']} {unit}", dimension)
    return ThreePoint(low=first.low, likely=first.high, high=second.high)


def example(dimension: Dimension) -> str:
    """Return a value of this dimension as one would write it."""
    return EXAMPLES[dimension]


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Return the units of a dimension, the usual ones first; other ways to write them are left out."""
    return tuple(name for name, scale in UNITS.items() if scale.dimension is dimension and name not in ALSO)


def pattern(dimension: Dimension, *, bare: bool = False, ranges: bool = False, three: bool = False) -> str:
    """Return a regular expression, anchored, for what `parse` or `parse_range` takes; for the schema.

    Args:
        dimension: what is wanted.
        bare: whether a number without a unit is taken.
        ranges: whether ranges are taken.
        three: whether three points are taken too.
    """
    number = _PLAIN_NUMBER if dimension in _MAY_BE_NEGATIVE else _POSITIVE_NUMBER
    names = sorted((n for n, s in UNITS.items() if s.dimension is dimension), key=len, reverse=True)
    if dimension is Dimension.NUMBER:
        unit = ""
    else:
        unit = f"\\s*({'|'.join(re.escape(n).replace(re.escape(' '), ' ') for n in names)})"
        unit = f"({unit})?" if bare else unit
    plain = f"{number}{unit}"
    if dimension is Dimension.TIME and not bare:
        plain = f"{number}{unit}(\\s*{number}{unit})*"
    if ranges:
        plain = f"({plain}|{number}\\s*\\.\\.\\s*{number}{unit})"
    if three:
        plain = f"({plain}|{number}(\\s*\\.\\.\\s*{number}){{2}}{unit})"
    return f"^{plain}$"


_LONGEST = 120
_POSITIVE_NUMBER = r"(\d+(\.\d+)?|\.\d+)([eE][-+]?\d+)?"
_PLAIN_NUMBER = rf"[-+]?{_POSITIVE_NUMBER}"
_NUMBER = r"[-+]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][-+]?\d+)?"
_VALUE = re.compile(rf"(?P<low>{_NUMBER})(?:\s*\.\.\s*(?P<high>{_NUMBER}))?(?P<unit>.*)", re.ASCII)
_THREE = re.compile(
    rf"(?P<low>{_NUMBER})\s*\.\.\s*(?P<likely>{_NUMBER})\s*\.\.\s*(?P<high>{_NUMBER})(?P<unit>.*)", re.ASCII
)
_PIECE = re.compile(rf"({_NUMBER})\s*([a-z]+)\s*", re.ASCII)
_COMPOUND = re.compile(rf"(?:{_NUMBER}\s*[a-z]+\s*){{2,}}", re.ASCII)
_DASH_RANGE = re.compile(
    rf"(?P<low>{_NUMBER})(?P<first>[^\d.]*?)\s*(?:[-–—…]|\bto\b)\s*(?P<high>{_NUMBER})(?P<unit>.*)"
)
_MAY_BE_NEGATIVE = frozenset({Dimension.LEVEL, Dimension.TEMPERATURE})


def _shown(text: str) -> str:
    return shortened(text.strip(), 40)


def _for_example(dimension: Dimension) -> str:
    return f"Write for example {example(dimension)}."


def _factor(unit: str, text: str, dimension: Dimension) -> float:
    """Return how many base units a unit is, or raise."""
    if dimension is Dimension.NUMBER:
        if unit:
            raise UnitError(
                f"'{_shown(text)}' has a unit or a word after it, and a plain number is wanted here",
                _for_example(dimension),
            )
        return 1.0
    if not unit:
        raise UnitError(f"'{_shown(text)}' has no unit", _for_example(dimension))
    name = _SLASH.sub("/", unit)
    scale = UNITS.get(name) or UNITS.get(name.replace("%per", "% per"))
    if scale is not None and scale.dimension is dimension:
        return scale.factor
    if dimension is Dimension.GROWTH and scale is not None and scale.dimension is Dimension.SPEED:
        return scale.factor / 8
    if unit in STRANGE and dimension in (Dimension.DATA, Dimension.SPEED, Dimension.TIME, Dimension.LENGTH):
        what = f"'{_shown(unit)}' in '{_shown(text)}' could mean more than one thing"
        if scale is None or dimension is Dimension.TIME:
            raise UnitError(what, STRANGE[unit])
    if scale is not None:
        raise UnitError(
            f"'{_shown(text)}' is {scale.dimension.value}, and {dimension.value} is wanted here",
            _for_example(dimension),
        )
    _refuse_slips(unit, text, dimension)
    close = nearest(unit, units_of(dimension))
    meant = f"Did you mean {close}?" if close else _for_example(dimension)
    raise UnitError(f"'{_shown(unit)}' in '{_shown(text)}' is not a unit for {dimension.value}", meant)


_SLASH = re.compile(r"\s*/\s*")


def _number(digits: str, factor: float, text: str, dimension: Dimension) -> float:
    value = float(digits) * factor
    if not math.isfinite(value):
        raise UnitError(f"'{_shown(text)}' is too large a number", _for_example(dimension))
    if digits.startswith("-") and dimension not in _MAY_BE_NEGATIVE:
        raise UnitError(f"'{_shown(text)}' is less than nothing", _for_example(dimension))
    return value


def _compound(text: str) -> float:
    """Return the seconds of "1 h 30 min"; each unit smaller than the one before it."""
    total, last = 0.0, math.inf
    for digits, unit in _PIECE.findall(text):
        factor = _factor(unit, text, Dimension.TIME)
        if factor >= last:
            raise UnitError(f"'{_shown(text)}' is not a time", "Write the largest unit first: 1 h 30 min.")
        total += _number(digits, factor, text, Dimension.TIME)
        last = factor
    return total


def _not_a_value(text: str, dimension: Dimension) -> UnitError:
    if not text:
        return UnitError("nothing is written here", _for_example(dimension))
    if _NOT_FINITE.match(text):
        return UnitError(f"'{_shown(text)}' is not a finite number", _for_example(dimension))
    return UnitError(f"'{_shown(text)}' is not {dimension.value}", _for_example(dimension))


def _refuse_slips(tail: str, text: str, dimension: Dimension) -> None:
    """Refuse what follows a number and cannot be a unit, by the slip that it is."""
    comma = _COMMA.fullmatch(text)
    if comma:
        raise UnitError(
            f"'{_shown(text)}' has a comma in its number", "Write a point, and no commas between thousands."
        )
    dash = _DASH_RANGE.fullmatch(text)
    if dash and not tail.startswith(".."):
        unit = dash["first"] if dash["unit"] == "" else dash["unit"]
        meant = f"{dash['low']}..{dash['high']} {unit.strip()}".strip()
        raise UnitError(f"'{_shown(text)}' is not {dimension.value}", f"Write {meant} for a range.")
    spaced = _SPACED.match(text)
    if spaced:
        plain = re.sub(r"[ _']", "", spaced[0])
        raise UnitError(f"'{_shown(text)}' has a gap in its number", f"Write {plain}{text[spaced.end() :]}.")
    if ".." in tail:
        raise UnitError(
            f"'{_shown(text)}' has its unit in the middle",
            "Write the unit once, after both bounds, such as 2..5 h.",
        )
    if not (tail[0].isalpha() or tail[0] in "%/°"):
        raise UnitError(f"'{_shown(text)}' is not {dimension.value}", _for_example(dimension))


_SPACED = re.compile(r"[-+]?\d{1,3}([ _']\d{3})+(\.\d+)?(?!\d)")
_NOT_FINITE = re.compile(r"[-+]?\.?(nan|inf|infinity|∞)(?![a-z])", re.IGNORECASE)
_COMMA = re.compile(r"[-+]?\d+(,\d+)+(\.\d+)?\s*[^\d,]*")
