"""How is something done on a thread without keeping anybody from leaving?"""

from __future__ import annotations

import asyncio
import contextlib
import os
import sys
import threading
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


async def beside(work: Callable[[], T]) -> T:
    """Do something on a thread of its own and wait for it.

    Unlike a thread of a pool it is not waited for at the end: who is cancelled here leaves it to itself.

    Args:
        work: done on the thread; what it raises is raised here.
    """
    loop = asyncio.get_running_loop()
    later: asyncio.Future[T] = loop.create_future()

    def give(result: T) -> None:
        if not later.done():
            later.set_result(result)

    def fail(error: BaseException) -> None:
        if not later.done():
            later.set_exception(error)

    def whole() -> None:
        try:
            result = work()
        except BaseException as error:
            with contextlib.suppress(RuntimeError):  # the loop may be gone by now
                loop.call_soon_threadsafe(fail, error)
        else:
            with contextlib.suppress(RuntimeError):
                loop.call_soon_threadsafe(give, result)

    threading.Thread(target=whole, daemon=True).start()
    return await later


def leave() -> None:
    """End the process if some thread still works: nobody is left whom it could tell what it finds.

    Call it last: nothing that was to happen at the end happens then, and all that is open is left to the system.
    """
    others = (each for each in threading.enumerate() if each is not threading.current_thread())
    if any(not each.daemon for each in others):
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(0)
