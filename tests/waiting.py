"""How does a test wait for what another process or thread brings about? For the thing itself, however long it takes."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")
LONGEST_S = 60.0
"""What has not come by then never comes: no machine is held up for so long."""
_LOOK_S = 0.01


def until(found: Callable[[], T], *, most_s: float = LONGEST_S) -> T:
    """What is found, once it is anything: looked for again and again.

    Raises:
        AssertionError: it never came.
    """
    last_s = time.monotonic() + most_s
    while not (it := found()):
        assert time.monotonic() < last_s, "it never came"
        time.sleep(_LOOK_S)
    return it


def gone(process: int) -> bool:
    """Whether a process has ended; one that nobody has fetched yet has."""
    try:
        stat = Path(f"/proc/{process}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return True
    return stat.rpartition(")")[2].split()[0] in "ZX"
