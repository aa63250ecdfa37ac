"""How do all sheets but the first load without holding that up?"""

from __future__ import annotations

import gc
import importlib
import threading
from collections.abc import Sequence

from starlette.concurrency import run_in_threadpool
from starlette.routing import Router
from starlette.types import Receive, Scope, Send


class Later:
    """Answers addresses whose modules load when the first of them is asked for, or when `load` is called.

    Args:
        modules: names of modules, each with its `ROUTES`; the first route that fits answers.
    """

    def __init__(self, modules: Sequence[str]) -> None:
        self._modules = tuple(modules)
        self._router: Router | None = None
        self._turn = threading.Lock()

    def load(self) -> Router:
        """Load the modules, once; may be called from any thread."""
        with self._turn:
            if self._router is None:
                routes = [route for name in self._modules for route in importlib.import_module(name).ROUTES]
                self._router = Router(routes=routes)
                gc.freeze()  # what was loaded stays: the collector of circular garbage need not look through it
            return self._router

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request."""
        if self._router is None:
            await run_in_threadpool(self.load)
        await self.load()(scope, receive, send)
