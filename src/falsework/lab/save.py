"""What did a change alter, and how does it reach the disk without ever leaving half a file?"""

import contextlib
import difflib
import os
import secrets
import stat
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.errors import QuestionError

_MARK = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """What a change would make of the files of a lab.

    Attributes:
        files: the text of each file that changes, by name as in the lab.
        difference: what changes, as a unified diff; empty where nothing does.
        left: what has to be changed by hand: whose, and why, with what to write.
    """

    files: Mapping[str, str]
    difference: str
    left: tuple[tuple[str, str], ...]


def changes_of(old: Mapping[str, str], new: Mapping[str, str], left: Sequence[tuple[str, str]]) -> Changes:
    """Return what sets new texts of files apart from the old ones, both by the same names."""
    changed = {file: text for file, text in new.items() if text != old[file]}
    shown = "".join(difference(old[file], text, file) for file, text in changed.items())
    return Changes(files=changed, difference=shown, left=tuple(left))


def difference(old: str, new: str, name: str) -> str:
    """Return a unified diff of two texts of a file; "" when they are the same."""
    lines = difflib.unified_diff(_lines(old), _lines(new), fromfile=name, tofile=name)
    unended = "\n\\ No newline at end of file\n"
    return "".join(line if line.endswith("\n") else line + unended for line in lines)


def write_safely(path: Path, old_text: str, new_text: str) -> None:
    """Replace a file's text in one step, if it is still what it was.

    The new text goes to a file beside it and takes its place only once it is safe on the disk; mode, and
    where allowed owner, stay.
    A byte order mark stays too, and a link keeps pointing where it did.

    Args:
        path: an existing file.
        old_text: what the change was made from, as read.
        new_text: what it shall be.

    Raises:
        QuestionError: the file holds something else by now, or cannot be written; it is then untouched.
    """
    try:
        real = path.resolve(strict=True)
        before = _content(real, path)
        had_mark = before.startswith(_MARK)
        if before.removeprefix(_MARK) != old_text.removeprefix("\ufeff").encode():
            raise QuestionError(
                f"'{path}' has been changed since it was read", "Look at it again and repeat the change."
            )
        content = (_MARK if had_mark else b"") + new_text.removeprefix("\ufeff").encode()
        if content != before:
            _replace(real, before, content, path)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise QuestionError(
            f"'{path}' cannot be written ({reason})",
            "It is as it was: mend the reason and repeat the change.",
        ) from error


def _content(real: Path, path: Path) -> bytes:
    if not stat.S_ISREG(real.stat().st_mode):
        raise QuestionError(f"'{path}' is not a file", "Name a lab file.")
    return real.read_bytes()


def _replace(real: Path, before: bytes, content: bytes, path: Path) -> None:
    known = real.stat()
    fresh = real.with_name(f".{real.name[:80]}.{secrets.token_hex(6)}.new")
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            if hasattr(os, "fchown"):
                with contextlib.suppress(PermissionError):
                    os.fchown(stream.fileno(), known.st_uid, known.st_gid)
                os.fchmod(stream.fileno(), stat.S_IMODE(known.st_mode))
            os.fsync(stream.fileno())
        # Somebody may have saved while we wrote; a moment remains, as on any system without locks.
        if _content(real, path) != before:
            raise QuestionError(
                f"'{path}' was changed while the change was written",
                "Look at it again and repeat the change.",
            )
        fresh.replace(real)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    with contextlib.suppress(OSError):  # some systems cannot sync a folder; the file itself is safe
        folder = os.open(real.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _lines(text: str) -> list[str]:
    """Split at line feeds only, as editors and version control do."""
    lines = text.split("\n")
    return [f"{line}\n" for line in lines[:-1]] + ([lines[-1]] if lines[-1] else [])
