"""Which whole number does an address give?"""

from __future__ import annotations

from starlette.requests import Request

from falsework.errors import QuestionError


def whole(request: Request, key: str, *, usual: int, most: int, what: str, mend: str) -> int:
    """A number from 1 on.

    Args:
        request: whose address.
        key: of the number.
        usual: where none is given.
        most: it may be.
        what: it is no such thing, where it isn't one or is too large, as "number of years that can be drawn".
        mend: what to give instead.

    Raises:
        QuestionError: it is no whole number from 1 to `most`.
    """
    said = request.query_params.get(key, "") or str(usual)
    if not (said.isascii() and said.isdigit() and len(said) <= len(str(most)) and 1 <= int(said) <= most):
        raise QuestionError(f"'{said[:20]}' is no {what}", mend)
    return int(said)
