"""What may stand at a place of the lab file: which keys, which values, and what lies below each key?

Made from the declarations that the reader is made from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from falsework.model.declare import Declared, Form, Record, declared
from falsework.model.forms import (
    EFFICIENCY_LEVELS,
    Amount,
    Choice,
    Efficiency,
    Flag,
    Guess,
    Holding,
    Inside,
    Keyed,
    Listed,
    Names,
    Ranged,
)
from falsework.model.needs import Need
from falsework.model.options import Known, Option, about, amounts, meaning, options, sentence, things
from falsework.model.parts import KINDS, Link, Thing
from falsework.model.people import Aim, Step, Today
from falsework.model.resolve import MACHINES_WITH_PORTS
from falsework.model.sections import (
    ADDRESSES,
    CABLES,
    DOMAIN,
    KINDS_HOLD,
    NETWORKS,
    ORDER,
    OTHER,
    PLAIN,
    RANGES,
    SECTIONS,
    SPARES,
    WIRE,
    Section,
)
from falsework.units import Dimension

Said = Mapping[str, str]
"""Keys that stand side by side, with what is said of each in single values."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of the file: which keys it may hold, which values, and what lies below each key."""

    known: Known
    says: str = ""

    def keys(self, said: Said) -> Mapping[str, Option]:
        """The keys that may stand here, beside those that do."""
        return {}

    def values(self, typed: str) -> Iterator[Option]:
        """The values that may stand here."""
        return iter(())

    def down(self, step: str | None, said: Said) -> Spot:
        """The place under a key, or in a list for None."""
        return Spot(self.known)


class Top(Spot):
    """The file."""

    __slots__ = ()

    def keys(self, said: Said) -> Mapping[str, Option]:
        """The sections."""
        meanings = {
            **{name: says for name, (_, says) in PLAIN.items()},
            **{each.name: each.meaning for each in SECTIONS},
            **OTHER,
        }
        return {
            name: Option(text=name, sort="section", says=sentence(meanings[name]), needed=name == "lab")
            for name in ORDER
        }

    def down(self, step: str | None, said: Said) -> Spot:
        """A section."""
        known = self.known
        section = next((each for each in SECTIONS if each.name == step), None)
        if section is not None:
            return _Named(known, "", _Entry(known, "", section))
        if step is not None and step in PLAIN:
            form, says = PLAIN[step]
            return _Value(known, f"{sentence(says)} Write {form.says}.", form)
        others: Mapping[str, Spot] = {
            "kinds": _Named(known, "", _Kind(known)),
            "wire": _Wire(known),
            "addresses": _Value(known, f"Write {ADDRESSES.says}.", ADDRESSES),
            "spares": _Spares(known),
            "today": _Keys(known, "", Today),
            "order": _List(known, "", _Keys(known, "", Step)),
            "aims": _Named(known, "", _Keys(known, "", Aim)),
        }
        return others.get(step or "", Spot(known))


@dataclass(frozen=True, slots=True)
class _Named(Spot):
    """A mapping from names that the owner chooses."""

    each: Spot | None = None

    def down(self, step: str | None, said: Said) -> Spot:
        return self.each if self.each is not None and step is not None else Spot(self.known)


@dataclass(frozen=True, slots=True)
class _List(Spot):
    """A list, or one entry of it alone."""

    each: Spot | None = None

    def keys(self, said: Said) -> Mapping[str, Option]:
        return self.each.keys(said) if self.each is not None else {}

    def down(self, step: str | None, said: Said) -> Spot:
        if self.each is None:
            return Spot(self.known)
        return self.each if step is None else self.each.down(step, said)


class _Wire(Spot):
    """The section wire."""

    __slots__ = ()

    def keys(self, said: Said) -> Mapping[str, Option]:
        return {name: Option(text=name, sort="key", says=sentence(says)) for name, says in WIRE.items()}

    def down(self, step: str | None, said: Said) -> Spot:
        if step == "networks":
            return _Named(self.known, "", _Entry(self.known, "", NETWORKS))
        forms: Mapping[str, Form[Any]] = {"cables": CABLES, "ranges": RANGES, "domain": DOMAIN}
        if step is None or step not in forms:
            return Spot(self.known)
        return _Value(self.known, sentence(WIRE[step]), forms[step])


class _Spares(Spot):
    """The section spares: so many of each kind."""

    __slots__ = ()

    def keys(self, said: Said) -> Mapping[str, Option]:
        return {name: Option(text=name, sort=f"kind of {word}") for name, word in self.known.kinds.items()}

    def down(self, step: str | None, said: Said) -> Spot:
        return _Value(self.known, "", SPARES).down(step, said)


@dataclass(frozen=True, slots=True)
class _Keys(Spot):
    """A record written as a mapping."""

    record: type[Record] = Record

    def keys(self, said: Said) -> Mapping[str, Option]:
        return options(declared(self.record).values())

    def down(self, step: str | None, said: Said) -> Spot:
        return _below(self.known, declared(self.record).get(step or ""))


@dataclass(frozen=True, slots=True)
class _Entry(Spot):
    """A thing of a section, or one that another holds."""

    section: Section = SECTIONS[0]

    @property
    def _by_kind(self) -> bool:
        return any(record in KINDS_HOLD for record in self.section.holds)

    def _records(self, said: Said) -> tuple[type[Thing], ...]:
        """What it may be, going by what is said."""
        word = said.get("is") or self.known.kinds.get(said.get("kind", ""), said.get("kind", ""))
        fits = tuple(record for record in self.section.holds if word == record.IS)
        return fits or self.section.holds

    def keys(self, said: Said) -> Mapping[str, Option]:
        records = self._records(said)
        # Before it says what it is, only what all of them know can be offered.
        common = [
            each
            for name, each in declared(records[0]).items()
            if all(name in declared(record) for record in records[1:])
        ]
        own = options(common)
        if not self._by_kind:
            return own
        what = len(self.section.holds) > 1 and not ("is" in said or "kind" in said)
        more = {}
        if not ("is" in said and "kind" not in said):
            more["kind"] = Option(text="kind", sort="key", says=_KIND_SAYS, needed=what)
        if not ("kind" in said and "is" not in said):
            more["is"] = Option(text="is", sort="key", says="What it is.", needed=what)
        return {**more, **own}

    def values(self, typed: str) -> Iterator[Option]:
        return self.down(self.section.short, {}).values(typed)

    def down(self, step: str | None, said: Said) -> Spot:
        words = tuple(record.IS for record in self.section.holds)
        if self._by_kind and step in ("kind", "is"):
            return _Words(self.known, "", words, step == "kind")
        return next(
            (
                _below(self.known, declared(record)[step])
                for record in self._records(said)
                if step is not None and step in declared(record)
            ),
            Spot(self.known),
        )


class _Kind(Spot):
    """A kind."""

    __slots__ = ()

    def _record(self, said: Said) -> type[Thing] | None:
        return KINDS.get(said.get("is") or self.known.kinds.get(said.get("kind", ""), ""))

    def keys(self, said: Said) -> Mapping[str, Option]:
        record = self._record(said)
        own = options(declared(record if record is not None else Thing).values())
        what = not ("is" in said or "kind" in said)
        more = {
            "is": Option(text="is", sort="key", says="What a thing of this kind is.", needed=what),
            "kind": Option(text="kind", sort="key", says=_KIND_SAYS),
        }
        # One of the two is enough, and the other could only contradict it.
        return {**{name: each for name, each in more.items() if what or name in said}, **own}

    def down(self, step: str | None, said: Said) -> Spot:
        if step in ("kind", "is"):
            return _Words(self.known, "", tuple(KINDS), step == "kind", step == "is")
        return _below(self.known, declared(self._record(said) or Thing).get(step or ""))


_KIND_SAYS = "One of your kinds, whose keys it takes over."


@dataclass(frozen=True, slots=True)
class _Words(Spot):
    """What something is, or of which kind."""

    words: tuple[str, ...] = ()
    kinds: bool = False
    bare: bool = True

    def values(self, typed: str) -> Iterator[Option]:
        if self.kinds:
            for name, word in self.known.kinds.items():
                if word in self.words:
                    yield Option(text=name, sort=f"kind of {word}")
        if self.bare:
            for word in self.words:
                if word not in self.known.kinds or not self.kinds:
                    yield Option(
                        text=word, sort="what it is", says=about(KINDS[word]) if word in KINDS else ""
                    )


@dataclass(frozen=True, slots=True)
class _Value(Spot):
    """What a key of a form may hold."""

    form: Form[Any] = field(default_factory=Form)

    def _sub(self, form: Form[Any]) -> Spot:
        return _Value(self.known, self.says, form)

    def keys(self, said: Said) -> Mapping[str, Option]:
        form = self.form
        if isinstance(form, Inside):
            return options(declared(form.record).values())
        return self._sub(form.each).keys(said) if isinstance(form, Listed) else {}

    def down(self, step: str | None, said: Said) -> Spot:
        form = self.form
        if isinstance(form, Listed):
            inner = self._sub(form.each)
            return inner if step is None else inner.down(step, said)
        if isinstance(form, Inside):
            if step is not None:
                return _below(self.known, declared(form.record).get(step))
            return (
                self._sub(declared(form.record)[form.listed].form).down(None, said) if form.listed else self
            )
        if isinstance(form, Keyed):
            return self._sub(form.each) if step is not None else Spot(self.known)
        if isinstance(form, Holding):
            if step is None:
                return self
            holds = tuple(KINDS[word] for word in form.of)
            return _Entry(self.known, "", Section("", "", holds, "kind"))
        return self if isinstance(form, Names) and step is None else Spot(self.known)

    def values(self, typed: str) -> Iterator[Option]:
        form = self.form
        if isinstance(form, Listed):
            yield from self._sub(form.each).values(typed)
        elif isinstance(form, Inside):
            yield from self._short(form, typed)
        elif isinstance(form, Names):
            yield from things(self.known, form.of, typed)
        elif isinstance(form, Holding):
            yield from _Words(self.known, "", form.of, True, False).values(typed)
        elif isinstance(form, Choice | Flag):
            for word in form.words if isinstance(form, Choice) else ("yes", "no"):
                yield Option(text=word, sort="word")
        elif isinstance(form, Efficiency):
            yield from (Option(text=word, sort="level") for word in EFFICIENCY_LEVELS)
        elif isinstance(form, Amount | Ranged | Guess):
            yield from amounts(typed, form.dimension)

    def _short(self, form: Inside[Any], typed: str) -> Iterator[Option]:
        """Values of the key that a plain text stands for."""
        if form.record is Link:
            head, joint, _ = typed.rpartition(" -- ")
            for each in things(self.known, MACHINES_WITH_PORTS, typed[len(head + joint) :]):
                yield Option(text=f"{head}{joint}{each.text}", sort=each.sort)
            return
        head, joint, time = typed.rpartition(" for ")
        if form.record is Need and joint:
            for each in amounts(time, Dimension.TIME):
                yield Option(text=f"{head}{joint}{each.text}", sort=each.sort)
            return
        told = form.short("x") if form.short else None
        name = form.listed or next((key for key, text in (told or {}).items() if text == "x"), "")
        if name:
            yield from self._sub(declared(form.record)[name].form).values(typed)


def _below(known: Known, key: Declared | None) -> Spot:
    return Spot(known) if key is None else _Value(known, meaning(key), key.form)
