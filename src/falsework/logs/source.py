"""Can a file be read as a log, and how?"""

from __future__ import annotations

import gzip
import io
import lzma
import re
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, cast

from falsework.logs.forms import said, time_of
from falsework.logs.framing import lines
from falsework.logs.seeking import in_order
from falsework.logs.stamps import SECOND, Stamps

SLACK_US = 300 * SECOND
"""By how much a line may come after a later one in a file that is called in order: five minutes."""
LOOKED_AT = 1 << 20
"""Bytes at its beginning in which a log has a line with a time."""
BROKEN = (OSError, EOFError, lzma.LZMAError, zlib.error)
"""What reading a file may raise."""
_GZIP, _XZ, _ZSTD = b"\x1f\x8b", b"\xfd7zXZ\x00", b"\x28\xb5\x2f\xfd"
_ENDINGS = re.compile(r"(\.(log|txt|json|jsonl|gz|xz|\d+|\d{8}))+$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A file that can be read as a log.

    Attributes:
        path: the file.
        number: of the file, from 0.
        host: whose lines they are that do not say so: the file's name without its endings.
        size: bytes, as it lies there.
        packed: whether it has to be unpacked, so that it can only be read from its beginning.
        ordered: whether it is in order of time as far as looking here and there can tell.
    """

    path: Path
    number: int
    host: str
    size: int
    packed: bool
    ordered: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A file that cannot be read as a log.

    Attributes:
        path: the file.
        what: what is wrong; no full stop at its end.
        mend: how to mend it.
        other: whether it is most likely no log at all, or nothing was written yet; nothing that is broken.
    """

    path: Path
    what: str
    mend: str
    other: bool = False


class Unpacked(io.RawIOBase):
    """The text of a packed file, given out in pieces, so that what stands before a defect is not lost with it."""

    def __init__(self, packed: gzip.GzipFile | lzma.LZMAFile) -> None:
        self._packed = packed

    def read(self, size: int = -1) -> bytes:
        """Up to so many bytes."""
        return self._packed.read1(size)

    def close(self) -> None:
        """Close the file."""
        self._packed.close()
        super().close()


def opened(path: Path) -> BinaryIO:
    """The text of a file, unpacked.

    Raises:
        OSError, EOFError, lzma.LZMAError, zlib.error: it cannot be read; reading it may raise them too.
    """
    packing = _packing(path)
    return path.open("rb") if packing is None else cast("BinaryIO", Unpacked(packing(path)))


def _packing(path: Path) -> type[gzip.GzipFile | lzma.LZMAFile] | None:
    """What unpacks a file; None where it is not packed, or in a way that is not read here."""
    with path.open("rb") as stream:
        begins = stream.read(6)
    if begins.startswith(_GZIP):
        return gzip.GzipFile
    return lzma.LZMAFile if begins == _XZ else None


def _begins(path: Path) -> bytes:
    """What a file begins with; of a broken one as much as can be had."""
    found = b""
    with opened(path) as stream:
        try:
            while len(found) < LOOKED_AT and (block := stream.read(LOOKED_AT - len(found))):
                found += block
        except BROKEN:
            if not found:
                raise
    return found


def source(path: Path, number: int, stamps: Stamps) -> Source | Refused:
    """Look at a file.

    Args:
        path: the file.
        number: it gets.
        stamps: reads its times.
    """
    try:
        if not path.exists():
            return Refused(path=path, what="there is no such file", mend="Look at the name, or leave it out.")
        if not path.is_file():
            return Refused(path=path, what="it is no file", mend="Name a file, or a folder that has some.")
        size = path.stat().st_size
        if not size:
            return Refused(
                path=path,
                what="it is empty",
                mend="Leave it out, or look why nothing was written.",
                other=True,
            )
        begins, packed = _begins(path), _packing(path) is not None
    except BROKEN as error:
        reason = (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower()
        return Refused(
            path=path,
            what=f"it cannot be read ({reason})",
            mend="Look whether it is whole, and yours to read.",
        )
    if begins.startswith(_ZSTD):
        return Refused(
            path=path, what="it is packed in a way that is not read here (zstd)", mend="Unpack it first."
        )
    if not any(said(raw, stamps) for _, raw in lines(io.BytesIO(begins))):
        return _no_log(path, begins)
    return Source(
        path=path,
        number=number,
        host=_ENDINGS.sub("", path.name),
        size=size,
        packed=packed,
        ordered=not packed and _ordered(path, size, stamps),
    )


def _no_log(path: Path, begins: bytes) -> Refused:
    strange = begins.count(0) + begins.decode("utf-8", "replace").count("\ufffd")
    if strange * 20 > len(begins):
        return Refused(
            path=path,
            what="it is no text",
            mend="Write it out as text first, a line for each entry, with its time.",
            other=True,
        )
    return Refused(
        path=path,
        what="no line at its beginning has a time that can be read",
        mend="Give each line a time, best with date, seconds and offset, such as 2026-03-01T04:05:06.789+01:00.",
        other=True,
    )


def _ordered(path: Path, size: int, stamps: Stamps) -> bool:
    try:
        with path.open("rb") as stream:
            return in_order(stream, size, SLACK_US, lambda raw: time_of(raw, stamps))
    except OSError:
        # A disk that fails in the middle: read from the beginning it gives what stands before, and is told to end there.
        return False
