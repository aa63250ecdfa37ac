"""Which losses of power are looked at?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.errors import QuestionError, nearest, shortened
from falsework.model.parts import Circuit, Outside, Powered, Strip, Supply, Ups
from falsework.support.standing import Standing


def losses(standing: Standing, lose: Sequence[str]) -> tuple[str, ...]:
    """The parts that are lost, each alone, in lab order where none is named.

    Args:
        standing: the lab.
        lose: parts, or words such as `strip` for all parts that are one.

    Raises:
        QuestionError: a name is no part and no word.
    """
    if not lose:
        return _all(standing)
    things = standing.support.things
    words = {things[part].word for part in standing.parts}
    found: dict[str, None] = {}
    for name in lose:
        if name in words and name not in things:
            found.update((part, None) for part in standing.parts if things[part].word == name)
            continue
        near = nearest(name, words) if name not in things and name not in standing.lab.things else None
        if near is not None:
            raise QuestionError(
                f"nothing is called {shortened(name)!r}", f"Did you mean {near!r}, for each of them?"
            )
        found.update(dict.fromkeys(standing.known((name,))))
    return tuple(name for name in found if name not in standing.out)


def sources(standing: Standing) -> tuple[str, ...]:
    """Every circuit, strip and battery that is not out: what moves load to others when it is lost."""
    return tuple(
        thing.id
        for thing in standing.lab.things.values()
        if isinstance(thing, Circuit | Strip | Ups) and thing.id not in standing.out
    )


def _all(standing: Standing) -> tuple[str, ...]:
    """What power comes from, and every circuit, strip, battery and supply."""
    lab = standing.lab
    feeding = {name for thing in lab.of(Powered) if thing.fed_by is not None for name in thing.fed_by.ids}
    return tuple(
        thing.id
        for thing in lab.things.values()
        if thing.id not in standing.out
        and (
            isinstance(thing, Circuit | Strip | Ups | Supply)
            or (isinstance(thing, Outside) and thing.id in feeding)
        )
    )
