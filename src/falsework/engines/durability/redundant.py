"""What do drives that save each other's data have in common, however it lies on them?"""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

from falsework.engines.durability.formulas import not_negative, positive
from falsework.errors import QuestionError

FOREVER = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Members of a group that nobody can tell apart.

    Attributes:
        count: how many, 1 or more.
        rate: failures of one in a second of running, all causes.
        size_bytes: what is read from one, or written to its replacement, in a whole rebuild.
        bytes_per_s: how fast one is read or written when nothing else goes on.
        read_errors: sectors that can't be read, per bit that is read; 0 where none are counted.
        batch: members of one batch, in any class and any group, may fail of one cause; "" for none.
        in_common: share of `rate` that the batch has in common (beta factor), 0 to 1.
    """

    count: int
    rate: float
    size_bytes: float
    bytes_per_s: float
    read_errors: float = 0.0
    batch: str = ""
    in_common: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what can't be.

        Raises:
            QuestionError: out of bounds.
        """
        positive(count=self.count, size_bytes=self.size_bytes, bytes_per_s=self.bytes_per_s)
        not_negative(rate=self.rate, read_errors=self.read_errors)
        _share("in common", self.in_common)


@dataclass(frozen=True, slots=True, kw_only=True)
class Redundant:
    """Drives of which some may be out, and how what lay on those is made again.

    Attributes:
        members: by class.
        tolerated: how many may be out at once.
        load_leaves: the share of the drives' speed that is left to a rebuild, above 0 to 1.
        reads_at_most: bytes/s that a rebuild may read, all together: a network, a controller.
        writes_at_most: bytes/s that it may write.
        begins_after_s: from a failure to the start of the rebuild where there is something to rebuild onto.
        spares: how many drives, or drives' worth of free room, there are to rebuild onto.
        spare_comes_s: mean time until one that was used is there again; 0 where they never run out.
    """

    members: tuple[Alike, ...]
    tolerated: int
    load_leaves: float = 1.0
    reads_at_most: float = FOREVER
    writes_at_most: float = FOREVER
    begins_after_s: float = 0.0
    spares: int = 0
    spare_comes_s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what can't be.

        Raises:
            QuestionError: out of bounds.
        """
        not_negative(tolerated=self.tolerated, begins_after_s=self.begins_after_s, spares=self.spares)
        _share("that the load leaves", self.load_leaves)
        if self.load_leaves == 0 or not self.reads_at_most > 0 or not self.writes_at_most > 0:
            raise QuestionError("nothing is left to a rebuild", "Give it a share and speeds above 0.")
        if isnan(self.spare_comes_s) or self.spare_comes_s < 0:
            raise QuestionError(f"a spare comes after {self.spare_comes_s!r} s", "Give 0 or more.")

    @property
    def count(self) -> int:
        """How many drives there are."""
        return sum(each.count for each in self.members)


def _share(name: str, value: float) -> None:
    """Let a share pass.

    Raises:
        QuestionError: not from 0 to 1.
    """
    if not 0 <= value <= 1:
        raise QuestionError(f"the share {name} is {value!r}", "Give 0 to 1.")
