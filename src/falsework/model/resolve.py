"""Which things does a reference mean?"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Collection, Mapping
from functools import cached_property

from falsework.errors import LimitError, listed, nearest, shortened
from falsework.model import names
from falsework.model.declare import a, either
from falsework.model.parts import KINDS, Cable, Card, Controller, Node, Supply, Switch, Thing, ThingId

WORDS = frozenset(
    {
        *KINDS,
        *(each.IS for each in (Supply, Card, Controller, Cable)),
        "service",
        "copy",
        "store",
        "pool",
        "network",
    }
)
"""Words that stand for every thing of their kind, where a reference may be a word."""

MOST_LOOKED_AT = 2_000_000
"""Names that all references of a lab together may be compared with or stand for."""

_MOST_SUGGESTED = 500_000

Port = tuple[ThingId, str]
"""A machine and the name of its port."""


class NoSuch(Exception):
    """A reference means nothing.

    Attributes:
        what: what is wrong, with the reference shown.
        mend: how to mend it.
    """

    def __init__(self, what: str, mend: str) -> None:
        self.what, self.mend = what, mend
        super().__init__(what, mend)


class Excused(NoSuch):
    """A reference means nothing, but only because the thing that it names could not be read."""


class Resolver:
    """Finds things by reference: a name, a counted name, a pattern, or a word for all of a kind.

    Args:
        things: every thing of the lab by id, in lab order.
        unread: names as written, counted ones too, of entries that could not be read; references to them
            are no faults of their own.
    """

    def __init__(self, things: Mapping[ThingId, Thing], unread: Collection[str] = ()) -> None:
        self.things = things
        self._unread = unread
        self._words: dict[str, tuple[str, ...]] = {}
        self._found: dict[tuple[str, tuple[str, ...]], tuple[str, ...]] = {}
        self._looked_at = 0
        self._suggested = 0

    @cached_property
    def _sorted(self) -> list[str]:
        return sorted(self.things)

    @cached_property
    def _rank(self) -> Mapping[str, int]:
        return {name: number for number, name in enumerate(self.things)}

    def word(self, word: str) -> tuple[str, ...]:
        """The ids of every thing of a kind."""
        if word not in self._words:
            self._words[word] = tuple(name for name, thing in self.things.items() if word == thing.IS)
        return self._words[word]

    def match(self, reference: str, of: tuple[str, ...] = ()) -> tuple[str, ...]:
        """The ids that one reference means, in lab order for a pattern; at least one.

        Args:
            reference: a name, a counted name or a pattern.
            of: the words of the things that are wanted; empty for any.

        Raises:
            NoSuch: it, or one name of its range, means nothing; `Excused` where that is no fault of its own.
            LimitError: the references of the lab stand for more than the tool takes.
        """
        found = self.find(reference, of)
        if not found:
            missing = next(name for name, _ in self.spread(reference) if not self._one(name, of))
            raise self._no_such(missing, of)
        return found

    def find(self, reference: str, of: tuple[str, ...] = ()) -> tuple[str, ...]:
        """As `match`, but empty where the reference, or one name of its range, means nothing.

        Raises:
            NoSuch, LimitError: a range in it makes no sense, or it stands for too much.
        """
        thing = self.things.get(ThingId(reference))
        if thing is not None and (not of or thing.IS in of):
            return (reference,)
        known = self._found.get((reference, of))
        if known is None:
            hits = [self._one(name, of) for name, _ in self.spread(reference)]
            found = tuple(dict.fromkeys(name for each in hits for name in each)) if all(hits) else ()
            known = self._found[reference, of] = found
        return known

    def ports(self, reference: str) -> tuple[Port, ...]:
        """The ports that `desk-*.a` means; of a machine without declared ports any name is one.

        Raises:
            NoSuch, LimitError: as for `match`.
        """
        found: list[Port] = []
        for name, _ in self.spread(reference):
            holder, _, port = name.rpartition(".")
            if not holder:
                raise self._no_such(name, MACHINES_WITH_PORTS)
            for each in self.match(holder, MACHINES_WITH_PORTS):
                machine = self.things[ThingId(each)]
                declared = machine.ports if isinstance(machine, Node | Switch) else {}
                fits = self._ports_like(port, declared)
                if not fits:
                    known = listed(declared) or "none are declared"
                    raise NoSuch(f"{each} has no port {port!r}", f"its ports: {known}")
                found.extend((ThingId(each), known) for known in fits)
        return tuple(found)

    def _ports_like(self, port: str, declared: Mapping[str, float | None]) -> tuple[str, ...]:
        if "*" not in port:
            return (port,) if port in declared or not declared else ()
        self.spend(len(declared))
        match = names.matcher(port)
        return tuple(known for known in declared if match(known))

    def spend(self, count: int) -> None:
        """Note that `count` names were looked at.

        Raises:
            LimitError: more were looked at than any lab needs.
        """
        self._looked_at += count
        if self._looked_at > MOST_LOOKED_AT:
            raise LimitError(
                f"the references of the lab stand for more than {MOST_LOOKED_AT:,} names",
                "Name fewer things at once, or split the lab.",
            )

    def spread(self, reference: str) -> names.Counted:
        """The names that a reference with ranges stands for, with their counters; patterns stay.

        Raises:
            NoSuch, LimitError: as for `match`.
        """
        try:
            found = names.spread(reference)
        except ValueError as error:
            raise NoSuch(str(error), "write a range as in desk-1..4") from None
        except LimitError as error:
            raise NoSuch(error.what, error.mend) from None
        self.spend(len(found))
        return found

    def _one(self, name: str, of: tuple[str, ...]) -> tuple[str, ...]:
        if "*" in name:
            return self._glob(name, of)
        thing = self.things.get(ThingId(name))
        return (name,) if thing is not None and (not of or thing.IS in of) else ()

    def _glob(self, reference: str, of: tuple[str, ...]) -> tuple[str, ...]:
        prefix = reference.partition("*")[0]
        match = names.matcher(reference)
        first = bisect_left(self._sorted, prefix)
        # No name holds a sign above the last code point, so this is just behind all that begin so.
        last = bisect_left(self._sorted, prefix + "\U0010ffff")
        self.spend((last - first) // 8)  # to try a pattern costs far less than to look a name up
        hits = (name for name in self._sorted[first:last] if match(name))
        wanted = (name for name in hits if not of or self.things[ThingId(name)].IS in of)
        return tuple(sorted(wanted, key=lambda name: self._rank[name]))

    def _no_such(self, reference: str, of: tuple[str, ...]) -> NoSuch:
        """What to raise for a reference without a thing, and how to mend it."""
        what = f"no {either(of) or 'thing'} is called {shortened(reference)!r}"
        if self._suggested > _MOST_SUGGESTED:
            return NoSuch(what, "correct the name")
        self._suggested += len(self.things) + len(self._unread)
        if any(_covers(unread, reference) for unread in self._unread):
            return Excused(what, "")
        thing = self.things.get(ThingId(reference))
        if thing is not None:
            return NoSuch(what, f"it is {a(thing.IS)}, and {a(either(of))} is wanted here")
        known = [str(name) for name, each in self.things.items() if not of or each.IS in of]
        near = nearest(reference, known if of else [*known, *WORDS])
        if near:
            return NoSuch(what, f"did you mean {near!r}?")
        if not known:
            return NoSuch(what, f"the lab has no {either(of) or 'things'} yet; add one")
        return NoSuch(what, f"known: {listed(known)}")


MACHINES_WITH_PORTS = ("node", "switch")


_FIRST = re.compile(r"([0-9]+|[a-z])\Z")


def _covers(unread: str, reference: str) -> bool:
    """Whether a reference may mean what an entry that was not read stands for, or what that holds."""
    if ".." not in unread and "*" not in reference:
        return reference == unread or reference.startswith(f"{unread}.")
    # Up to the first range or star both must begin alike; more exact would not tell more faults.
    begin = _FIRST.sub("", unread.partition("..")[0]) if ".." in unread else unread
    other = reference.partition("*")[0]
    return other.startswith(begin) or ("*" in reference and begin.startswith(other))
