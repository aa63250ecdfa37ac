"""What is known of the lab now, and what was known when its file last made sense?"""

from __future__ import annotations

import gc
import threading
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from falsework.analyses.verdicts import Loss, lose
from falsework.errors import FalseworkError, Fault, LabError
from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.model.lab import Lab
from falsework.support.standing import Standing

MOST_LOSSES = 256
"""Losses whose answers are kept for the next time they are asked for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Good:
    """The lab as it was read the last time that its file made sense.

    Attributes:
        number: counts the readings; 1 is the first.
        digest: of its files.
        lab: the lab.
        standing: its support graph.
        read_at: when it was read.
        lock: held by whoever asks `standing`, which works in place.
    """

    number: int
    digest: str
    lab: Lab
    standing: Standing
    read_at: datetime
    lock: threading.Lock = field(default_factory=threading.Lock)
    _losses: dict[tuple[str, ...], Loss] = field(default_factory=dict)

    def lost(self, parts: tuple[str, ...]) -> Loss:
        """What losing these parts does; asked for again, it is there.

        Raises:
            QuestionError: one of them is no part of the lab.
        """
        with self.lock:
            known = self.standing.known(parts)
            key = tuple(sorted(known))
            found = self._losses.pop(key, None)
            if found is None:
                found = lose(self.standing, known)
                while len(self._losses) >= MOST_LOSSES:
                    del self._losses[next(iter(self._losses))]
            self._losses[key] = found
            return found if found.lost == known else replace(found, lost=known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Why the file as it is now can't be shown.

    Attributes:
        faults: each with its place, where it has one.
        more: faults that are not listed.
    """

    faults: tuple[Fault, ...]
    more: int = 0


class Keeper:
    """Reads the lab, and keeps the last good reading while the file has faults.

    Args:
        path: a lab file or a folder of them.
        out: parts that are out beforehand, besides those the file says are out today.
    """

    def __init__(self, path: Path, out: tuple[str, ...] = ()) -> None:
        self.path = path
        self.out = out
        self.good: Good | None = None
        self.trouble: Trouble | None = None
        self._turn = threading.Lock()

    def read(self) -> bool:
        """Read the file again; whether there is anything new to show.

        Nothing is raised: what is wrong with the file is kept as `trouble`, for people to see.
        """
        with self._turn:
            before = self.good, self.trouble
            try:
                lab = load(self.path)
                digest = digest_of(lab.files)
                if self.good is not None and digest == self.good.digest:
                    self.trouble = None
                    return before[1] is not None
                today = [name for each in (lab.today.out if lab.today else ()) for name in each.part.ids]
                self.good = Good(
                    number=self.good.number + 1 if self.good else 1,
                    digest=digest,
                    lab=lab,
                    standing=Standing(lab, out=[*today, *self.out]),
                    read_at=datetime.now().astimezone(),
                )
                self.trouble = None
                _settled(first=before[0] is None)
            except FalseworkError as error:
                self.trouble = trouble_of(error)
            return (self.good, self.trouble) != before


def _settled(*, first: bool) -> None:
    """Take what has been read out of what the collector of circular garbage looks through.

    It stays until the lab is read again. Every other pull of much was held up while all of it was looked through: in a
    lab of 1,000 nodes for 80 ms of 300.
    """
    if not first:
        gc.unfreeze()
        gc.collect()  # else the lab before would stay for good
    gc.freeze()


def trouble_of(error: FalseworkError) -> Trouble:
    """An error as what is shown in place of the lab."""
    if isinstance(error, LabError):
        return Trouble(faults=error.faults, more=error.more)
    what, mend = getattr(error, "what", str(error)), getattr(error, "mend", "")
    return Trouble(faults=(Fault(where=None, what=what, mend=mend),))
