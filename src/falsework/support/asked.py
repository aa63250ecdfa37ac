"""Which parts are meant by what was asked to be lost?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.errors import QuestionError, nearest, shortened
from falsework.support.standing import Standing


def asked_parts(standing: Standing, lose: Sequence[str]) -> tuple[str, ...]:
    """The parts that are meant, each once, in the order in which they were asked for; not those that are out.

    Args:
        standing: the lab.
        lose: parts, or words such as `node` or `strip` for all parts that are one.

    Raises:
        QuestionError: a name is no part and no word.
    """
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
