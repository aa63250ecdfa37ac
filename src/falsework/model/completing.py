"""Which keys and values may stand where somebody is typing, and what do they mean?

What is offered as a key is one that the reader takes there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from falsework.lab.here import Here, mappings
from falsework.model.options import UNIT, Known, Option
from falsework.model.parts import KINDS
from falsework.model.spots import Said, Spot, Top

MOST_OPTIONS = 300
"""Nobody looks through more; typing on narrows them."""

_DEEPEST_KIND = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What may stand at a place.

    Attributes:
        keys: keys that may stand there, those first that must.
        values: values that may stand there.
        says: what is expected there, or what the key there means; "" where nothing is known.
        steady: whether typing on only narrows the values; otherwise they are to be asked for again.
    """

    keys: tuple[Option, ...] = ()
    values: tuple[Option, ...] = ()
    says: str = ""
    steady: bool = True


def offer(place: Here, known: Known) -> Offer:
    """What may stand at a place of a lab file."""
    if not place.slot or not place.levels:
        return Offer()
    spot: Spot = Top(known)
    for level in place.levels[:-1]:
        spot = spot.down(level.step, level.said)
    last = place.levels[-1]
    above = spot
    if place.slot == "key":
        keys = _fresh(spot.keys(last.said), last.said)
        typed = (place.typed + place.rest).strip()
        says = (
            next((each.says for each in spot.keys(last.said).values() if each.text == typed), "")
            if typed
            else ""
        )
        values = tuple(spot.values(place.typed)) if place.may_be_value else ()
    else:
        spot = spot.down(last.step, last.said)
        keys = _fresh(spot.keys({}), {}) if place.may_be_key else ()
        values = tuple(spot.values(place.typed))
        meant = above.keys(last.said).get(last.step or "")
        says = meant.says if meant else spot.says
    return Offer(
        keys=keys,
        values=values[:MOST_OPTIONS],
        says=says,
        steady=len(values) <= MOST_OPTIONS and not any(each.sort == UNIT for each in values),
    )


def kinds_of(texts: Iterable[str]) -> Mapping[str, str]:
    """What each kind is in the end, by name, as far as the texts of a lab's files tell."""
    said: dict[str, Said] = {}
    for text in texts:
        said.update(mappings(text, "kinds"))
    found: dict[str, str] = {}
    for name in said:
        at = name
        for _ in range(_DEEPEST_KIND):
            keys = said.get(at, {})
            if keys.get("is") in KINDS:
                found[name] = keys["is"]
                break
            at = keys.get("kind", "")
    return found


def _fresh(keys: Mapping[str, Option], said: Said) -> tuple[Option, ...]:
    """The keys that do not stand there yet, those that must be there first."""
    left = [each for name, each in keys.items() if name not in said]
    return tuple(sorted(left, key=lambda each: not each.needed))
