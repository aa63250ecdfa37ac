"""What happens on the page when the lab has changed?"""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Callable
from functools import partial
from typing import cast

from falsework.errors import Fault
from falsework.faces.page.beside import beside
from falsework.faces.page.child import Asked
from falsework.faces.page.jobs import Progress
from falsework.faces.page.kept import Good, Trouble
from falsework.faces.page.made import Made
from falsework.faces.page.page import Page
from falsework.faces.page.standing_sheet import warm
from falsework.faces.page.watching import Seen, watch
from falsework.faces.page.worked import job

_log = logging.getLogger("falsework.page")

SOON_S = 1.0
"""Seconds after which heavy work begins though nobody has asked for a sheet yet."""


class News:
    """Keeps the page true to the lab, and tells those who look.

    Events: "drawn" when the lab was read anew, "trouble" when it could not be, "judged" when a check is done and, "early", when most of it is,
    "working" while a job goes on.

    Args:
        page: that is kept true.
        load: loads what the first page did without; called on a thread.
    """

    def __init__(self, page: Page, load: Callable[[], object] = lambda: None) -> None:
        self._page = page
        self._load = load
        self._stop = asyncio.Event()
        self._begun = False
        self._watching: asyncio.Task[None] | None = None
        self._warming: asyncio.Future[None] | None = None
        page.jobs.tell = self._told

    def begin(self, known: Seen) -> None:
        """Watch the lab from now on.

        Args:
            known: how it lay on the disk before it was read.
        """
        self._page.hub.begin()
        self._watching = asyncio.ensure_future(self._watch(known))
        asyncio.get_running_loop().call_later(SOON_S, self.looked_at)

    def looked_at(self) -> None:
        """The first sheet is out, or nobody wants one yet: now heavy work holds up nothing."""
        if not self._begun and not self._stop.is_set():
            self._begun = True
            self._page.jobs.warm()
            self._judge()

    async def end(self) -> None:
        """Stop watching and working; nothing is left when this returns."""
        self._stop.set()
        self._page.hub.close()
        await self._page.jobs.close()
        for task in (self._watching, self._warming):
            if task is not None:
                task.cancel()  # a large lab may take seconds to read: nobody waits for that any more
                with contextlib.suppress(asyncio.CancelledError):
                    await task

    async def changed(self) -> None:
        """Read the lab again, and tell what came of it."""
        page = self._page
        try:
            new = await beside(page.keeper.read)
        except Exception as error:
            # A reader that fails is our defect; the page goes on with what was read before.
            _log.exception("the lab could not be read")
            what = f"this is a defect of falsework, not of your lab: {type(error).__name__}"
            page.keeper.trouble = Trouble(faults=(Fault(where=None, what=what, mend="Please report it."),))
            new = True
        if not new:
            return
        good, trouble = page.keeper.good, page.keeper.trouble
        number = good.number if good else 0
        if trouble is not None:
            page.hub.publish("trouble", {"number": number, "faults": len(trouble.faults) + trouble.more})
            return
        page.hub.publish("drawn", {"number": number})
        if good is not None:
            page.jobs.renew(good.digest)
            self._judge()

    async def _watch(self, known: Seen | None) -> None:
        while not self._stop.is_set():
            try:
                await watch(self._page.keeper.path, self.changed, stop=self._stop, known=known)
            except Exception:
                # A watch that fails is begun anew, and looks at once: a save must never go unnoticed.
                _log.exception("the lab could not be watched")
                known = Seen(files=(), folders=())
                await asyncio.sleep(SOON_S)

    def _judge(self) -> None:
        good = self._page.keeper.good
        if good is None or not self._begun:
            return
        self._warming = asyncio.ensure_future(beside(partial(_warmed, good, self._load)))
        asked = self._page.check()
        state = self._page.jobs.ask(
            asked,
            job("judging"),
            done=lambda made: self._judged(asked, made),
            early=lambda made: self._judged(asked, made, early=True),
        )
        if state.made is not None:
            self._judged(asked, state.made)

    def _judged(self, asked: Asked, made: Made, *, early: bool = False) -> None:
        page, good = self._page, self._page.keeper.good
        if good is None or good.digest != asked.digest:
            return  # another lab by now, which is being judged
        said = "The aims could not be judged" if made.failed else made.html
        page.judged, page.judging = (asked.digest, said), early
        if not made.failed:
            page.circles = asked.digest, cast("tuple[tuple[str, ...], ...]", made.answers["circles"])
        page.hub.publish("judged", {"number": good.number, "verdict": said, "early": early})

    def _told(self, progress: Progress) -> None:
        asked = progress.asked
        said = {
            "key": asked.key,
            "name": asked.name,
            "what": progress.what,
            "done": progress.done,
            "of": progress.of,
        }
        self._page.hub.publish("working", said, kind=f"working {asked.key}", keep=False)


def _warmed(good: Good, load: Callable[[], object]) -> None:
    try:
        warm(good)
        load()
    except Exception:  # whoever asks will be told; nobody has asked yet
        _log.debug("nothing could be made ready", exc_info=True)
