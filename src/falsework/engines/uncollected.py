"""How is the garbage collector kept from looking through what is being built, again and again?"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Let the collector of circular garbage wait.

    Graphs of many small objects are built within, and all of it stays; the collector would go through them
    each time their number has grown by a quarter, about a third of the work. Several threads may be within at
    the same time: the first that came turns the collector on again when it leaves.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
