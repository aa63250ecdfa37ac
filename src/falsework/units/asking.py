"""How large is an amount that somebody typed into a question?"""

from __future__ import annotations

from falsework.errors import QuestionError
from falsework.units.reading import UnitError, parse
from falsework.units.scales import Dimension


def asked(text: str, dimension: Dimension, *, by: str) -> float:
    """An amount in base units, from what was typed for an option or into a field.

    Args:
        text: as typed.
        dimension: what it is an amount of.
        by: the option or the field; it stands before the error.

    Raises:
        QuestionError: it is no such amount.
    """
    try:
        return parse(text, dimension)
    except UnitError as error:
        raise QuestionError(f"{by}: {error.what}", error.mend) from None
