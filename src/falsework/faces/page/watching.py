"""When has the lab on the disk become another than it was?"""

from __future__ import annotations

import asyncio
import contextlib
import os
from collections.abc import AsyncGenerator, Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path

SETTLE_MS = 50
"""Milliseconds of quiet after which a save counts as done: editors write in several strokes."""

LOOK_S = 1.0
"""Seconds after which one looks even if nothing was told: network folders tell nothing."""

_PATIENCE_MS = 400  # a file that never comes to rest is looked at nevertheless
_MOST_LINKS = 16
_MOST_FILES = 20_000
_DEEPEST = 16
_SUFFIXES = (".yaml", ".yml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """How the lab lay on the disk at a moment.

    Attributes:
        files: of each file its name, identity, size in bytes and time of change in nanoseconds; what is not
            there is not in it.
        folders: where to watch, each with its identity.
    """

    files: tuple[tuple[str, int, int, int], ...]
    folders: tuple[tuple[str, int], ...]


def seen(path: Path) -> Seen:
    """Look at a lab file or a folder of them, without reading any."""
    places = _places(path)
    folders = {
        str(place if place.is_dir() else place.parent): None for place in places if _identity(place.parent)
    }
    files: list[tuple[str, int, int, int]] = []
    _gather(path, files, 0)
    return Seen(
        files=tuple(sorted(files)),
        folders=tuple((folder, _identity(Path(folder))) for folder in folders if _identity(Path(folder))),
    )


async def watch(
    path: Path,
    call: Callable[[], Awaitable[None]],
    *,
    stop: asyncio.Event,
    known: Seen | None = None,
    look_s: float = LOOK_S,
) -> None:
    """Call `call` each time the lab on the disk has changed, until `stop` is set.

    Args:
        path: a lab file, a folder of them, or a link to either; it may be missing for a while.
        call: awaited before one looks again, so that it never runs twice at once.
        stop: ends the watch.
        known: how the lab lay when it was read; what changed since then is told at once.
        look_s: seconds after which one looks though nothing was told.
    """
    before: Seen = known if known is not None else await asyncio.to_thread(seen, path)
    while not stop.is_set():
        async with contextlib.aclosing(_hints(path, before, stop, look_s)) as hints:
            async for _ in hints:
                now = await asyncio.to_thread(seen, path)
                moved, changed = now.folders != before.folders, now.files != before.files
                before = now
                if changed:
                    await call()
                if moved:
                    break  # a folder was put in another's place, or a link points elsewhere: watch that


async def _hints(path: Path, before: Seen, stop: asyncio.Event, look_s: float) -> AsyncGenerator[None, None]:
    """Yield whenever something may have changed, at once to begin with."""
    yield
    if before.folders:
        from watchfiles import awatch

        try:
            async for _ in awatch(
                *(folder for folder, _ in before.folders),
                watch_filter=None,
                debounce=_PATIENCE_MS,
                step=SETTLE_MS,
                stop_event=stop,
                rust_timeout=round(look_s * 1000),
                yield_on_timeout=True,
                recursive=path.is_dir(),
            ):
                yield
            return
        except (OSError, RuntimeError):
            pass  # there are no notifications here, or too many watches: look by ourselves
    while not stop.is_set():
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(look_s / 2):
                await stop.wait()
        yield


def _places(path: Path) -> list[Path]:
    """The path, and whatever it leads to over links."""
    place = Path(os.path.abspath(path))  # noqa: PTH100 - `resolve` would follow the links
    found = [place]
    for _ in range(_MOST_LINKS):
        try:
            to = Path(os.readlink(place))  # noqa: PTH115 - the same, without a second object
        except OSError:
            break
        place = Path(os.path.abspath(place.parent / to))  # noqa: PTH100
        found.append(place)
    with contextlib.suppress(OSError, RuntimeError, ValueError):
        found.append(path.resolve())  # a link may also be among the folders on the way
    return found


def _identity(path: Path) -> int:
    try:
        return os.stat(path).st_ino or 1  # noqa: PTH116
    except (OSError, ValueError):
        return 0


def _gather(path: Path, files: list[tuple[str, int, int, int]], depth: int) -> None:
    try:
        if path.is_dir():
            if depth > _DEEPEST or len(files) > _MOST_FILES:
                return
            for name in sorted(os.listdir(path)):  # noqa: PTH208 - names are enough
                below = path / name
                if not name.startswith(".") and (name.endswith(_SUFFIXES) or below.is_dir()):
                    _gather(below, files, depth + 1)
            return
        known = path.stat()
    except (OSError, ValueError):
        return
    files.append((str(path), known.st_ino, known.st_size, known.st_mtime_ns))
