"""What do the lab file, or the folder of lab files, say together?"""

import errno
import os
import stat
from collections.abc import Mapping as Table
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from falsework.errors import FaultList, LabError, listed, nearest, shortened
from falsework.lab.parse import MOST_VALUES, parse
from falsework.lab.tree import Entry, Mapping, Scalar, Sequence, sort_of
from falsework.where import Where

LARGEST_BYTES = 16_000_000
"""Of one file, and of all files of a folder together."""

_MOST_LOOKED_AT = 20_000
_DEEPEST_FOLDER = 16
_MARK = b"\xef\xbb\xbf"
_SUFFIXES = (".yaml", ".yml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What was read.

    Attributes:
        root: the sections of all files, joined; of a joined section, place and offsets are those of its
            first piece.
        files: the text of each file by its name as places give it, without byte order mark; the offsets
            of a node count in the text of the file its place names.
    """

    root: Mapping
    files: Table[str, str]


def read(path: Path, *, instead: Table[str, str] = MappingProxyType({})) -> Source:
    """Read a lab file, or every lab file in a folder and below it.

    In a folder, files whose names end in .yaml or .yml are read in the order of their names; hidden ones
    are left out.
    Sections of the same name are joined.

    Args:
        path: as the user typed it; file names in places begin with it.
        instead: texts to take for what files hold, by name as places give it: what is not saved yet.

    Raises:
        LabError: every fault found, in all files.
    """
    faults = FaultList()
    texts: dict[str, str] = {}
    room = LARGEST_BYTES
    for file in _lab_files(path, faults):
        given = instead.get(str(file))
        if given is not None:
            texts[str(file)] = given.removeprefix("\ufeff")
            room -= len(given)
            continue
        content = _content(file, room, faults)
        if content is not None:
            room -= len(content)
            text = _decoded(content, str(file), faults)
            if text is not None:
                texts[str(file)] = text
    return _joined(texts, faults)


def lab_files(path: Path) -> tuple[Path, ...]:
    """The files that `read` reads, in its order.

    Raises:
        LabError: there are none, or they can't be looked for.
    """
    faults = FaultList()
    found = _lab_files(path, faults)
    faults.raise_if_any()
    return tuple(found)


def text_of(file: Path) -> str:
    """What one lab file holds, as `read` takes it: without byte order mark.

    Raises:
        LabError: it can't be read, or holds no text.
    """
    faults = FaultList()
    content = _content(file, LARGEST_BYTES, faults)
    text = None if content is None else _decoded(content, str(file), faults)
    faults.raise_if_any()
    if text is None:
        raise LabError(())  # cannot be: no text means a fault
    return text


def read_text(text: str, name: str) -> Source:
    """Read a lab from text that is at hand.

    Args:
        text: one whole lab file.
        name: how it is called in places.

    Raises:
        LabError: every fault found.
    """
    return _joined({name: text.removeprefix("\ufeff")}, FaultList())


def read_texts(texts: Table[str, str]) -> Source:
    """Read a lab from the texts of all its files, joined as those of a folder are.

    Args:
        texts: whole lab files by the names that places give, in the order of reading.

    Raises:
        LabError: every fault found, in all of them.
    """
    return _joined({name: text.removeprefix("\ufeff") for name, text in texts.items()}, FaultList())


def _lab_files(path: Path, faults: FaultList) -> list[Path]:
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError) as error:
        faults.add(None, *_why_not(path, error))
        return []
    if not stat.S_ISDIR(mode):
        return [path]
    found: list[Path] = []
    walk = _Walk(faults)
    walk.folder(path, found, ())
    if not found and not len(faults):
        faults.add(
            None,
            f"the folder '{path}' has no lab file in it",
            "Put a file in it whose name ends in .yaml, or name another folder.",
        )
    return found


class _Walk:
    """A walk through a folder that ends, whatever the folder holds."""

    def __init__(self, faults: FaultList) -> None:
        self._faults = faults
        self._looked_at = 0

    def folder(self, path: Path, found: list[Path], above: tuple[tuple[int, int], ...]) -> None:
        """Add the lab files in and below a folder; `above` are the folders on the way to it."""
        try:
            known = path.stat()
            names = sorted(os.listdir(path))  # noqa: PTH208 - names, not paths: there may be very many
        except OSError as error:
            self._faults.add(None, *_why_not(path, error))
            return
        identity = (known.st_dev, known.st_ino)
        if identity in above or len(above) >= _DEEPEST_FOLDER:
            self._faults.add(
                None,
                f"the folder '{path}' leads back to a folder it lies in"
                if identity in above
                else f"the folder '{path}' lies more than {_DEEPEST_FOLDER} folders deep",
                "Take the link away, or name a folder that holds only the lab.",
            )
            return
        for name in names:
            if name.startswith("."):
                continue
            self._looked_at += 1
            if self._looked_at > _MOST_LOOKED_AT:
                if self._looked_at == _MOST_LOOKED_AT + 1:
                    self._faults.add(
                        None,
                        f"there are more than {_MOST_LOOKED_AT} files and folders to look through",
                        "Name a folder that holds only the lab.",
                    )
                return
            below = path / name
            if name.endswith(_SUFFIXES) and not below.is_dir():
                found.append(below)
            elif below.is_dir():
                self.folder(below, found, (*above, identity))


def _content(file: Path, room: int, faults: FaultList) -> bytes | None:
    """Return what a file holds; never waits, as opening a pipe otherwise would."""
    try:
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0))
    except OSError as error:
        faults.add(None, *_why_not(file, error))
        return None
    with os.fdopen(handle, "rb") as stream:
        known = os.fstat(stream.fileno())
        if not stat.S_ISREG(known.st_mode):
            faults.add(
                None, f"'{file}' is a device or a pipe, not a file", "Name a lab file or a folder of them."
            )
            return None
        if known.st_size <= room:
            try:
                content = stream.read(room + 1)
            except OSError as error:
                faults.add(None, *_why_not(file, error))
                return None
            if len(content) <= room:
                return content
    alone = "" if room == LARGEST_BYTES else " together with those before it"
    faults.add(
        Where(str(file), 1, 1),
        f"the file is larger than {LARGEST_BYTES // 1_000_000} MB{alone}",
        "Say equal things once under kinds, and give counts or ranges of parts.",
    )
    return None


def _decoded(content: bytes, name: str, faults: FaultList) -> str | None:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.add(Where(name, 1, 1), "the file is written in UTF-16", "Save it as UTF-8.")
        return None
    if b"\0" in content:
        before = content[: content.index(b"\0")]
        where = _place(name, before)
        faults.add(
            where, "the file is not text: it holds a zero byte", "Name a lab file, which is YAML text."
        )
        return None
    try:
        return content.removeprefix(_MARK).decode()
    except UnicodeDecodeError as error:
        faults.add(
            _place(name, error.object[: error.start]),
            f"the byte 0x{error.object[error.start]:02x} is not UTF-8 text",
            "Save the file as UTF-8.",
        )
        return None


def _place(name: str, before: bytes) -> Where:
    text = before.decode("utf-8", errors="replace")
    return Where(name, text.count("\n") + 1, len(text) - text.rfind("\n"))


def _why_not(path: Path, error: OSError | ValueError) -> tuple[str, str]:
    shown = shortened(str(path), 200)
    if isinstance(error, ValueError):
        return f"'{shown}' cannot be the name of a file", "Name a lab file or a folder of them."
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"there is no file or folder '{shown}'", _similar(path)
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"'{shown}' may not be read", "Give yourself the permission to read it, or name another."
    if error.errno == errno.ELOOP:
        return f"'{shown}' is a link that leads back to itself", "Name the file itself, or mend the link."
    if error.errno == errno.ENAMETOOLONG:
        return f"'{shown}' is too long for a name", "Name a lab file or a folder of them."
    reason = (error.strerror or "unknown reason").lower()
    return f"'{shown}' cannot be read ({reason})", "Name a lab file or a folder of them."


def _similar(path: Path) -> str:
    folder = path.parent
    try:
        names = [name for name in sorted(os.listdir(folder)) if not name.startswith(".")]  # noqa: PTH208
    except OSError:
        return "Name a lab file or a folder of them."
    close = nearest(path.name, names[:_MOST_LOOKED_AT])
    if close:
        return f"Did you mean '{folder / close}'?"
    labs = [name for name in names if name.endswith(_SUFFIXES)]
    return f"Lab files there: {listed(labs)}." if labs else "Name a lab file or a folder of them."


def _joined(texts: dict[str, str], faults: FaultList) -> Source:
    whole: list[Mapping] = []
    room = MOST_VALUES
    for name, text in texts.items():
        root, values = parse(text, name, faults, most=room)
        room -= values
        if root is not None:
            whole.append(root)
        if room < 0:
            break
    faults.raise_if_any()
    if not whole:  # cannot be: no root means a fault
        raise LabError(())
    root = whole[0] if len(whole) == 1 else _merged(whole, faults)
    faults.raise_if_any()
    return Source(root=root, files=MappingProxyType(texts))


def _merged(roots: list[Mapping], faults: FaultList) -> Mapping:
    sections: dict[str, Entry] = {}
    for root in roots:
        for entry in root.entries:
            name = entry.key.text
            sections[name] = _one_section(sections[name], entry, faults) if name in sections else entry
    first = roots[0]
    return Mapping(tuple(sections.values()), first.where, first.start, first.end)


def _one_section(first: Entry, second: Entry, faults: FaultList) -> Entry:
    """Join what two files say under one name; what was only begun in one of them is the other's."""
    name, one, two = first.key.text, first.value, second.value
    if isinstance(two, Scalar) and two.is_empty:
        return first
    if isinstance(one, Scalar) and one.is_empty:
        return second
    if isinstance(one, Scalar) and isinstance(two, Scalar):
        if one.text != two.text:
            faults.add(
                second.key.where,
                f"{name!r} is said to be {shortened(two.text)!r} here"
                f" and {shortened(one.text)!r} at {first.key.where}",
                "Keep one of the two.",
                name,
            )
        return first
    if isinstance(one, Sequence) and isinstance(two, Sequence):
        return Entry(first.key, Sequence(one.items + two.items, one.where, one.start, one.end))
    if isinstance(one, Mapping) and isinstance(two, Mapping):
        known = {entry.key.text: entry.key.where for entry in one.entries}
        fresh: list[Entry] = []
        for entry in two.entries:
            if entry.key.text in known:
                faults.add(
                    entry.key.where,
                    f"{shortened(entry.key.text)!r} is said twice; the first time at {known[entry.key.text]}",
                    "Keep one of the two, or join them.",
                    f"{name}.{shortened(entry.key.text)}",
                )
            else:
                fresh.append(entry)
        return Entry(first.key, Mapping(one.entries + tuple(fresh), one.where, one.start, one.end))
    faults.add(
        second.key.where,
        f"{name!r} holds {sort_of(two)} here and {sort_of(one)} at {first.key.where}",
        "Write it the same way in both files.",
        name,
    )
    return first
