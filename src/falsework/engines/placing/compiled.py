"""How is a function of plain loops made fast?

By a compiler for numerical Python where there is one for this Python; else it stays plain Python: the same
answers, some hundred times slower. Why: docs/decisions/0016-placing-search.md.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

Function = TypeVar("Function", bound=Callable[..., Any])

try:
    import numba
except ImportError:  # pragma: no cover - a Python that the compiler does not know yet
    COMPILED = False
else:
    COMPILED = True
"""Whether `compiled` compiles."""


def compiled(function: Function) -> Function:
    """The function, compiled when it is first called and kept on disk for the next process.

    It lets other threads run meanwhile. Division by zero and indices out of range are not looked for.
    """
    if not COMPILED:
        return function
    return cast("Function", numba.njit(nogil=True, cache=True, error_model="numpy")(function))
