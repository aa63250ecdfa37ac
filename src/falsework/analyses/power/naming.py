"""Which losses of power are looked at?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.parts import Circuit, Outside, Powered, Strip, Supply, Ups
from falsework.support.asked import asked_parts
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
    return asked_parts(standing, lose)


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
