import asyncio
import subprocess
import sys
import threading

import pytest

from falsework.faces.page.beside import beside


def test_what_is_done_beside_gives_its_result_and_its_error():
    """The result comes back to who waits, from another thread; so does what was raised."""

    async def work():
        found = await beside(threading.get_ident)
        with pytest.raises(ZeroDivisionError):
            await beside(lambda: 1 / 0)
        return found

    assert asyncio.run(work()) != threading.get_ident()


ENDLESS = """
import asyncio, threading
from falsework.faces.page.beside import beside, leave

async def main():
    waiting = asyncio.ensure_future(beside(threading.Event().wait))
    await asyncio.sleep(0)
    waiting.cancel()

asyncio.run(main())
threading.Thread(target=threading.Event().wait).start()
print("bye")
leave()
"""


def test_nobody_is_kept_from_leaving():
    """A process ends although threads of either sort would work on for ever; what it said is out."""
    done = subprocess.run(
        [sys.executable, "-c", ENDLESS], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout == "bye\n"
