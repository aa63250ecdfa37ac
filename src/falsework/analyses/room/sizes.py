"""What size of a copy does somebody mean who writes `2 cores 4 GiB`?"""

from __future__ import annotations

import math

from falsework import units
from falsework.analyses.room.result import Amounts
from falsework.errors import QuestionError, shortened
from falsework.model.services import size_from_text
from falsework.units import Dimension, UnitError


def size_of(text: str) -> Amounts:
    """What a copy of this size takes, in whole bytes.

    Raises:
        QuestionError: it is no size, or one of nothing.
    """
    written = size_from_text(" ".join(text.split()))
    try:
        found: Amounts = (
            float((written or {}).get("cores", 0)),
            _bytes((written or {}).get("memory", "")),
            _bytes((written or {}).get("disk", "")),
            0.0,
        )
    except UnitError as error:
        raise QuestionError(f"--add {shortened(text)!r}: {error.what}", error.mend) from None
    if not any(found):
        raise QuestionError(
            f"--add {shortened(text)!r} is no size of a copy",
            "Write it as in a lab file, such as '2 cores 4 GiB 40 GB disk', or less of that.",
        )
    return found


def _bytes(text: str) -> float:
    return float(math.ceil(units.parse(text, Dimension.DATA))) if text else 0.0
