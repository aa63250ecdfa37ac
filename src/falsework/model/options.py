"""Which words may be offered for a key or a value?"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from falsework import units
from falsework.model.declare import Declared, Record, definition
from falsework.model.resolve import WORDS
from falsework.units import Dimension

UNIT = "value"
"""The sort of an option that completes a number."""

_AMOUNT = re.compile(r"(\d[\d.e+-]*(?:\.\.[\d.e+-]+){0,2}) ?([^\d\s]*)")
_NEVER_NAMED = ("supply", "card", "controller", "cable", "copy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """Something that may stand there.

    Attributes:
        text: the key without its colon, or the value.
        sort: what it is, in a word or two, for the eye that skims the list.
        says: what it means.
        needed: whether a key must be there.
    """

    text: str
    sort: str
    says: str = ""
    needed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of the lab that is being written.

    Attributes:
        things: what each thing is, by name.
        kinds: what each kind is in the end (node, drive, ...), by name.
    """

    things: Mapping[str, str] = field(default_factory=dict)
    kinds: Mapping[str, str] = field(default_factory=dict)


def options(keys: Iterable[Declared]) -> Mapping[str, Option]:
    """Declared keys as what is offered, by name."""
    return {
        each.name: Option(text=each.name, sort="key", says=meaning(each), needed=each.needed) for each in keys
    }


def meaning(key: Declared) -> str:
    """What a key means and how its value is written."""
    return f"{sentence(key.meaning)} Write {key.form.says}."


def sentence(text: str) -> str:
    """A meaning as a sentence."""
    return f"{text[:1].upper()}{text[1:]}."


def about(record: type[Record]) -> str:
    """The first line of what a record class is."""
    return (record.__doc__ or definition(record)).strip().partition("\n")[0]


def things(known: Known, of: tuple[str, ...], typed: str) -> Iterator[Option]:
    """The things of some words, those first that begin as is typed."""
    sought = typed.strip().casefold()
    begin: list[Option] = []
    hold: list[Option] = []
    for name, word in known.things.items():
        if (word in of if of else word not in _NEVER_NAMED) and sought in name.casefold():
            (begin if name.casefold().startswith(sought) else hold).append(Option(text=name, sort=word))
    yield from begin
    yield from hold
    if not of:
        present = set(known.things.values())
        for word in sorted(WORDS & present):
            if word not in known.things and sought in word:
                yield Option(text=word, sort="all of them", says=f"Every {word} of the lab.")


def amounts(typed: str, dimension: Dimension) -> Iterator[Option]:
    """A number that is typed, with each unit that it may have."""
    match = _AMOUNT.fullmatch(typed.strip())
    for unit in units.units_of(dimension) if match else ():
        if match and unit and unit.casefold().startswith(match[2].casefold()):
            yield Option(text=f"{match[1]} {unit}", sort=UNIT)
