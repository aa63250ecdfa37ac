"""How is a function of plain loops made fast?

By a compiler for numerical Python where there is one for this Python; else it stays plain Python: the same
answers, some hundred times slower. Why: docs/decisions/0016-placing-search.md.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

Function = TypeVar("Function", bound=Callable[..., Any])

try:
    import numba
except ImportError:  # pragma: no cover - a Python that the compiler does not know yet
    COMPILED = False
else:
    COMPILED = True
"""Whether `compiled` compiles."""


def _kept() -> bool:
    """Choose a folder for what is compiled; whether there is one that can be written to.

    Its name tells the text of these files. The compiler looks only at the file that a function stands in, and would
    take up loops again that were compiled for other arrays.
    """
    here = Path(__file__).parent
    texts = b"".join(path.read_bytes() for path in sorted(here.glob("*.py")) if path.stem in _SOURCES)
    name = f"loops-{sha256(texts).hexdigest()[:16]}"
    caches = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "falsework"
    for folder in (here / "__pycache__" / name, caches / name):
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            cast("Any", numba.config).CACHE_DIR = str(folder)
            return True
    return False


_SOURCES = ("compiled", "flat", "kernel", "losses")
_KEPT = COMPILED and _kept()


def compiled(function: Function) -> Function:
    """The function, compiled when it is first called and kept on disk for the next process.

    It lets other threads run meanwhile. Division by zero and indices out of range are not looked for.
    """
    if not COMPILED:
        return function
    return cast("Function", numba.njit(nogil=True, cache=_KEPT, error_model="numpy")(function))
