"""How is one told that long work goes on?"""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

QUIET_S = 1.0
"""Work that is done by then says nothing."""


class Told:
    """Shows on standard error what is being done and how far, if a person looks and it takes long.

    Use it as a context; call it as `falsework.study.Progress`.
    """

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._shown: Progress | None = None
        self._task: TaskID | None = None
        self._watched = sys.stderr.isatty()

    def __enter__(self) -> Self:
        return self

    def __call__(self, what: str, done: int, of: int) -> None:
        """Tell what is being done, how far it is, and how far it goes."""
        if not self._watched or time.monotonic() - self._began < QUIET_S:
            return
        if self._shown is None or self._task is None:
            self._show(what, done, of)
        else:
            self._shown.update(self._task, description=what, completed=done, total=of)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown is None:
            return
        try:
            self._shown.stop()
        except Exception:
            # Ctrl-C may have come while the display was being set up; what ended the work is what counts.
            if error is None:
                raise
        self._shown.console.show_cursor(True)

    def _show(self, what: str, done: int, of: int) -> None:
        # Only here, since it takes a tenth of a second to load and most work is done before.
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

        self._shown = Progress(
            TextColumn("{task.description}"),
            BarColumn(bar_width=24),
            TextColumn("{task.completed} of {task.total}"),
            TimeElapsedColumn(),
            console=Console(stderr=True, highlight=False),
            transient=True,
        )
        self._task = self._shown.add_task(what, completed=done, total=of)
        self._shown.start()
