"""Which definition does a name mean, seen from where it is used?"""

from __future__ import annotations

from itertools import islice
from typing import NamedTuple

from falsework.engines.trees.markup import Place
from falsework.errors import FaultList, nearest, shortened
from falsework.where import Where

_NOWHERE = -1
_MOST_HINTS = 20
_MOST_KNOWN = 5_000
_SHOWN = 4


MOST_CONTAINERS_DEEP = 20
"""How deep containers may lie inside each other: every use of a name may have to be looked for in each."""

LONGEST_NAME = 1_000
"""Characters of one name, with its path."""


class Reference(NamedTuple):
    """A name used somewhere.

    Attributes:
        name: as written, without the blanks around it.
        kind: what it is said to be; empty where the file does not say.
        inside: number of the container it is used in; 0 at the top.
        place: of its first use there.
    """

    name: str
    kind: str
    inside: int
    place: Place


class Scope:
    """The names of one sort of thing in a file.

    A public name is known everywhere, a private one inside its own container; a path of containers with dots
    between them, whole or from where it is used, reaches either.

    Attributes:
        references: each use once for every name, kind and container.
        names: of what is defined, by its number.
        places: of what is defined, by its number.
    """

    def __init__(self, sort: str, file: str, faults: FaultList) -> None:
        self._sort = sort
        self._file = file
        self._faults = faults
        # Containers are numbers, not paths: a path for each definition could outgrow the file many times over.
        self._outer = [_NOWHERE]
        self._within: dict[tuple[int, str], int] = {}
        self._inside: list[tuple[int, bool]] = [(0, False)]
        self._own: dict[tuple[int, str], int] = {}
        self._public: dict[str, int] = {}
        self._numbers: dict[tuple[str, str, int], int] = {}
        self._hints = 0
        self.references: list[Reference] = []
        self.names: dict[int, str] = {}
        self.places: dict[int, Place] = {}

    @property
    def depth(self) -> int:
        """How many containers are open."""
        return len(self._inside) - 1

    def enter(self, name: str, private: bool) -> None:
        """Go into a container; what lies in a private one is private."""
        outer, hidden = self._inside[-1]
        number = self._within.setdefault((outer, name), len(self._outer))
        if number == len(self._outer):
            self._outer.append(outer)
        self._inside.append((number, private or hidden))

    def leave(self) -> None:
        """Go out of the container again."""
        self._inside.pop()

    def define(self, name: str, number: int, place: Place, private: bool) -> bool:
        """Note a definition; False, and a fault, where the name is taken."""
        inside, hidden = self._inside[-1]
        known = self._own.get((inside, name))
        if known is None and not (private or hidden):
            known = self._public.get(name)
        if known is not None:
            self._faults.add(
                Where(self._file, *place),
                f"'{shortened(name)}' is defined twice; the first time at"
                f" {Where(self._file, *self.places[known])}",
                "Keep one of the two, or give one another name.",
            )
            return False
        self._own[inside, name] = number
        if not (private or hidden):
            self._public[name] = number
        self.names[number] = name
        self.places[number] = place
        return True

    def refer(self, name: str, kind: str, place: Place) -> int:
        """Return the number of a reference."""
        key = (name, kind, self._inside[-1][0])
        number = self._numbers.get(key)
        if number is None:
            number = self._numbers[key] = len(self.references)
            self.references.append(Reference(*key, place))
        return number

    def find(self, reference: Reference) -> int | None:
        """What a reference means; the innermost container that knows the name wins."""
        inside = reference.inside
        while inside:
            number = self._from(inside, reference.name)
            if number is not None:
                return number
            inside = self._outer[inside]
        return self.lookup(reference.name)

    def lookup(self, name: str) -> int | None:
        """What a name means at the top of the file."""
        number = self._public.get(name)
        return self._from(0, name) if number is None else number

    def complain(self, reference: Reference) -> None:
        """Note that a reference means nothing."""
        self._faults.add(
            Where(self._file, *reference.place),
            f"no {reference.kind or self._sort} is called '{shortened(reference.name)}'",
            self.hint(reference.name),
        )

    def hint(self, name: str) -> str:
        """How to mend a name that means nothing; only the first are told what there is, as that takes time."""
        self._hints += 1
        if self._hints > _MOST_HINTS:
            return "Define it, or mend the name."
        if not self.names:
            return "Define it; the file defines none."
        if len(self.names) <= _MOST_KNOWN:
            close = nearest(name, self.names.values())
            if close is not None:
                return f"Did you mean '{shortened(close)}'?"
        shown = ", ".join(shortened(known) for known in islice(self.names.values(), _SHOWN))
        more = len(self.names) - _SHOWN
        return f"Define it, or use one of those there are: {shown}{f' and {more} more' if more > 0 else ''}."

    def _from(self, inside: int, name: str) -> int | None:
        """What a name, or a path that begins there, means in a container."""
        number = self._own.get((inside, name))
        if number is None and "." in name:
            *containers, last = name.split(".")
            for container in containers:
                inside = self._within.get((inside, container), _NOWHERE)
            number = self._own.get((inside, last))
        return number
