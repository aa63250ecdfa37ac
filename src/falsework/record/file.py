"""How is the file of a record begun, opened and refused, so that nothing in it is ever lost?"""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from falsework.errors import RecordError, shortened
from falsework.record.layout import APPLICATION, TABLES, VERSION

PATIENCE_S = 1.0
"""How long a writer waits for another that is just writing, seconds."""
LARGE = 16 << 20
"""Bytes beyond which a record is not looked through before it is read, which may be once a second; damage is told when
it is met."""
ANOTHER = "commands take another with --record"
"""What may be done besides, said so that it is right where a command tells it and where the page does."""
_MAGIC = b"SQLite format 3\x00"


def begun(path: Path) -> None:
    """Make an empty record if there is none; it is there whole or not at all.

    Raises:
        RecordError: the file can't be made.
    """
    if _there(path):
        return
    fresh = path.with_name(f".{path.name[:80]}.{os.getpid()}.new")
    try:
        fresh.unlink(missing_ok=True)
        with contextlib.closing(sqlite3.connect(fresh)) as file:
            file.execute(f"PRAGMA application_id = {APPLICATION}")
            file.execute(f"PRAGMA user_version = {VERSION}")
            file.executescript(TABLES)
            file.execute("PRAGMA journal_mode = WAL")
        with contextlib.suppress(FileExistsError):  # then somebody else has just begun it
            _put(fresh, path)
    except (OSError, sqlite3.Error) as error:
        raise RecordError(f"the record '{path}' can't be begun ({reason(error)})", _ELSEWHERE) from error
    finally:
        for each in (fresh, *_beside(fresh)):
            with contextlib.suppress(OSError):
                each.unlink(missing_ok=True)


def opened(path: Path) -> sqlite3.Connection:
    """A record to write in; each transaction is on the disk when it is committed.

    Raises:
        RecordError: it is none, of a later version, damaged, or may not be written.
    """
    _look(path)
    if not os.access(path, os.W_OK) or not os.access(path.parent, os.W_OK):
        raise RecordError(f"the record '{path}' may not be written", _ELSEWHERE)
    try:
        # Made by one thread and used by another, one at a time.
        file = sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False)
        try:
            _check(file, path, whole=True)
            file.execute("PRAGMA journal_mode = WAL")
            file.execute("PRAGMA synchronous = FULL")
            file.execute("PRAGMA foreign_keys = ON")
            return file
        except BaseException:
            file.close()
            raise
    except sqlite3.Error as error:
        raise trouble(path, error) from error


@contextlib.contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """A record as it is at one moment, also while somebody writes in it; nothing is changed.

    Raises:
        RecordError: there is none, or it can't be read.
    """
    if not _there(path):
        raise RecordError(
            f"there is no record '{path}'",
            f"Run falsework stopwatch or falsework drill first; {ANOTHER}.",
        )
    _look(path)
    with contextlib.ExitStack() as stack:
        try:
            file = stack.enter_context(contextlib.closing(_to_read(path, stack)))
            _check(file, path, whole=path.stat().st_size < LARGE)
            file.execute("BEGIN")
            yield file
        except sqlite3.Error as error:
            raise trouble(path, error) from error
        except (ValueError, OverflowError) as error:
            # Sound as a file, with something in it that nobody writes.
            raise RecordError(f"the record '{path}' is damaged ({reason(error)})", _DAMAGED) from error


def trouble(path: Path, error: sqlite3.Error) -> RecordError:
    """What went wrong with a record, and what to do."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return RecordError(
            f"the record '{path}' can't be written just now ({reason(error)})",
            "Make room on its disk; what is not written yet is kept in memory and written as soon as it can be.",
        )
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return RecordError(f"the record '{path}' is damaged ({reason(error)})", _DAMAGED)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RecordError(
            f"the record '{path}' is being written by somebody else", "Wait for that to end, then try again."
        )
    return RecordError(f"the record '{path}' can't be used ({reason(error)})", _ELSEWHERE)


def reason(error: BaseException) -> str:
    """Why, in a few small words."""
    if isinstance(error, OSError):
        return (error.strerror or "unknown reason").lower()
    return shortened(str(error).lower())


_ELSEWHERE = f"See to it that you may read and write it and its folder; {ANOTHER}."
_DAMAGED = (
    "Nothing was changed. Put it (and the file with the same name and -wal at its end) aside, so that a new one is "
    f"made; {ANOTHER}."
)


def _there(path: Path) -> bool:
    """Whether anything is at that place; a name too long, or a folder that nobody may look into, is a `RecordError`."""
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise RecordError(f"the record '{path}' can't be read ({reason(error)})", _ELSEWHERE) from error
    return True


def _look(path: Path) -> None:
    """Refuse what is plainly no record, before anything opens it."""
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise RecordError(f"'{path}' is no file", f"Move it away; {ANOTHER}.")
        with path.open("rb") as stream:
            head = stream.read(100)
    except OSError as error:
        raise RecordError(f"the record '{path}' can't be read ({reason(error)})", _ELSEWHERE) from error
    if not head:
        raise RecordError(
            f"'{path}' is empty: no record, or what is left of one",
            f"Nothing was changed. Move it away; {ANOTHER}.",
        )
    # Bytes 68 to 71 hold the application's number (SQLite database file format, 1.3); the file is made with it.
    if not head.startswith(_MAGIC) or int.from_bytes(head[68:72]) != APPLICATION:
        if head.startswith(_MAGIC[: len(head)]) and len(head) < 100:
            raise RecordError(f"the record '{path}' is damaged (it is cut short)", _DAMAGED)
        raise RecordError(
            f"'{path}' is no record of falsework",
            f"Nothing was changed. Move it away; {ANOTHER}.",
        )
    version = int.from_bytes(head[60:64])
    if version > VERSION:
        raise RecordError(
            f"the record '{path}' was written by a later version of falsework (layout {version}, this one knows {VERSION})",
            f"Nothing was changed. Use that version; {ANOTHER}.",
        )
    page = int.from_bytes(head[16:18])
    pages = int.from_bytes(head[28:32])
    # While what is written ahead is not yet brought in, the file may rightly be shorter than its head says.
    ahead = path.with_name(path.name + "-wal")
    if size < pages * (65_536 if page == 1 else page) and not (ahead.exists() and ahead.stat().st_size):
        raise RecordError(f"the record '{path}' is damaged (it is cut short)", _DAMAGED)


def _check(file: sqlite3.Connection, path: Path, *, whole: bool) -> None:
    """Read what every record has, or all of it; sqlite speaks up if it is not there."""
    file.execute("SELECT number FROM run ORDER BY number DESC LIMIT 1").fetchone()
    if not whole:
        return
    found = file.execute("PRAGMA quick_check(1)").fetchone()
    if found and found[0] != "ok":
        raise RecordError(f"the record '{path}' is damaged ({found[0]})", _DAMAGED)


def _to_read(path: Path, stack: contextlib.ExitStack) -> sqlite3.Connection:
    """Open for reading; where nothing can be written, a copy, since readers leave notes for the writer."""
    home = path
    if not (os.access(path.parent, os.W_OK) and os.access(path, os.W_OK)):
        home = Path(stack.enter_context(tempfile.TemporaryDirectory())) / "copy"
        try:
            shutil.copyfile(path, home)
            ahead = path.with_name(path.name + "-wal")
            if ahead.exists():
                shutil.copyfile(ahead, home.with_name("copy-wal"))
        except OSError as error:
            raise RecordError(f"the record '{path}' can't be read ({reason(error)})", _ELSEWHERE) from error
    return sqlite3.connect(
        f"{home.resolve().as_uri()}?mode=rw", uri=True, timeout=PATIENCE_S, isolation_level=None
    )


def _put(fresh: Path, path: Path) -> None:
    """Give a finished file its name, and never another's."""
    try:
        os.link(fresh, path)
    except FileExistsError:
        raise
    except OSError:  # a disk that knows no second names
        if path.exists():
            return
        fresh.rename(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _beside(path: Path) -> tuple[Path, ...]:
    return tuple(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal"))
