"""May a text take the place of what a file of the lab holds, and how does it?"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypedDict

from falsework.errors import LabError, QuestionError
from falsework.lab.read import lab_files, text_of
from falsework.lab.save import write_safely


class Put(TypedDict):
    """What a file is to hold, and the digest of what that was made from."""

    digest: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Newer:
    """The file holds something else than what was read.

    Attributes:
        text: what it holds now.
        digest: of that.
    """

    text: str
    digest: str


def digest(text: str) -> str:
    """What tells one text from any other: SHA-256 of its UTF-8."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def files_of(lab: Path) -> tuple[str, ...]:
    """The names of the files of a lab, as places give them; none where they can't be looked for."""
    try:
        return tuple(str(each) for each in lab_files(lab))
    except LabError:
        return ()


def named(lab: Path, name: str) -> str:
    """The name of one of the lab's files; the first where none is named.

    Raises:
        QuestionError: it is none of them; whatever else lies on the disk is not for the page to tell.
    """
    known = files_of(lab)
    if not name and known:
        return known[0]
    if name not in known:
        raise QuestionError(
            "this is no file of the lab", "Choose one of those listed on the sheet of the file."
        )
    return name


def read_now(lab: Path, name: str) -> str:
    """What a file of the lab holds now.

    Raises:
        QuestionError: it is no file of the lab, or it can't be read.
    """
    try:
        return text_of(Path(named(lab, name)))
    except LabError as error:
        first = error.faults[0]
        raise QuestionError(first.what, first.mend) from error


def save(lab: Path, name: str, known: str, text: str) -> Newer | None:
    """Put a text into a file, unless the file has changed.

    Args:
        lab: the lab, a file or a folder of them.
        name: of the file, as places give it.
        known: the digest of what the text was made from.
        text: what it shall hold.

    Returns:
        None once it is safe on the disk, or what the file holds instead of what was known; then nothing
        was written.

    Raises:
        QuestionError: it is no file of the lab, or can't be read or written; it is then untouched.
    """
    for _ in range(2):
        now = read_now(lab, name)
        if digest(now) != known:
            return Newer(text=now, digest=digest(now))
        try:
            write_safely(Path(named(lab, name)), now, text)
        except QuestionError:
            if digest(read_now(lab, name)) == known:
                raise
            continue  # somebody else saved while we did: the next round says so
        return None
    now = read_now(lab, name)
    return Newer(text=now, digest=digest(now))


def save_all(lab: Path, change: Mapping[str, Put]) -> None:
    """Put texts into several files, unless one of them has changed.

    Args:
        lab: the lab, a file or a folder of them.
        change: by the name of each file, what it is to hold, and what that was made from.

    Raises:
        QuestionError: one has changed, is no file of the lab, or can't be read or written. Looked at are all
            before any is written; where one changes just then, those before it are written, and it is said so.
    """
    for name, each in change.items():
        if digest(read_now(lab, name)) != each["digest"]:
            raise QuestionError(
                f"'{name}' has been changed since it was read", "Nothing was written. Look again."
            )
    written: list[str] = []
    for name, each in change.items():
        if save(lab, name, each["digest"], each["text"]) is not None:
            told = f"Written were {', '.join(written)}." if written else "Nothing was written."
            raise QuestionError(f"'{name}' was changed just now, and stays as it is", f"{told} Look again.")
        written.append(name)
