"""Which drives make a redundant group, and how are they rebuilt?"""

from __future__ import annotations

from collections.abc import Sequence
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
        share("in common", self.in_common)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Drives laid out as one: n of them, of which n - tolerated are needed.

    A mirror of two is 2 with 1 tolerated, double parity over 8 is 8 with 2, three copies are 3 with 2.

    Attributes:
        members: by class.
        tolerated: how many may be out at once; less than all.
        load_leaves: the share of a drive's speed that is left to a rebuild, above 0 to 1.
        reads_at_most: bytes/s that a rebuild may read, all together: a network, a controller.
        writes_at_most: bytes/s that it may write.
        at_once: whether all that are out are rebuilt at the same time; else one after another.
        begins_after_s: from a failure to the start of the rebuild where a spare is there.
        spares: drives that wait for this group.
        spare_comes_s: mean time until the place of a used drive is filled again; 0 where spares never run out.
    """

    members: tuple[Alike, ...]
    tolerated: int
    load_leaves: float = 1.0
    reads_at_most: float = FOREVER
    writes_at_most: float = FOREVER
    at_once: bool = True
    begins_after_s: float = 0.0
    spares: int = 0
    spare_comes_s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what can't be.

        Raises:
            QuestionError: out of bounds.
        """
        if not 0 <= self.tolerated < self.count:
            raise QuestionError(
                f"a group of {self.count} is to bear the loss of {self.tolerated}",
                "Give 0 or more, and fewer than all.",
            )
        rebuildable(self.load_leaves, self.reads_at_most, self.writes_at_most)
        not_negative(begins_after_s=self.begins_after_s, spares=self.spares)
        if isnan(self.spare_comes_s) or self.spare_comes_s < 0:
            raise QuestionError(f"a spare comes after {self.spare_comes_s!r} s", "Give 0 or more.")

    @property
    def count(self) -> int:
        """How many drives there are."""
        return sum(each.count for each in self.members)

    @property
    def needed(self) -> int:
        """How many drives must be there."""
        return self.count - self.tolerated


def share(name: str, value: float) -> None:
    """Let a share pass.

    Raises:
        QuestionError: not from 0 to 1.
    """
    if not 0 <= value <= 1:
        raise QuestionError(f"the share {name} is {value!r}", "Give 0 to 1.")


def rebuildable(load_leaves: float, reads_at_most: float, writes_at_most: float) -> None:
    """Let limits of a rebuild pass.

    Raises:
        QuestionError: a share that is not above 0 and up to 1, or a speed that is not above 0.
    """
    share("that the load leaves", load_leaves)
    if load_leaves == 0 or not reads_at_most > 0 or not writes_at_most > 0:
        raise QuestionError("nothing is left to a rebuild", "Give it a share and speeds above 0.")


def rebuild_s(group: Group) -> tuple[float, ...]:
    """How long the rebuild of one drive of each class takes while all others are there, seconds.

    The slowest of: writing the replacement, reading the slowest other drive, reading `needed` drives' worth through
    `reads_at_most`, writing through `writes_at_most`; and what passes before it begins. It counts sizes, not the data
    on them: the rebuild of a group that knows what is free is shorter.

    Source:
        Definition (size / rate); common practice.
    """
    counts = [each.count for each in group.members]
    return tuple(
        rebuild_of(group, index, [n - (place == index) for place, n in enumerate(counts)])
        for index in range(len(counts))
    )


def rebuild_of(group: Group, index: int, there: Sequence[int]) -> float:
    """How long the rebuild of one drive of a class takes, seconds, as `rebuild_s`.

    Args:
        group: of which it is one.
        index: its class.
        there: how many of each class still work.
    """
    own = group.members[index]
    speeds = [each.bytes_per_s for each, n in zip(group.members, there, strict=True) if n]
    slowest = min([own.bytes_per_s, *speeds]) * group.load_leaves
    a_byte_s = max(1 / slowest, group.needed / group.reads_at_most, 1 / group.writes_at_most)
    return group.begins_after_s + own.size_bytes * a_byte_s
