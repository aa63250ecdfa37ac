"""Which drives make a redundant group, and how are they rebuilt?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.engines.durability.redundant import Redundant
from falsework.errors import QuestionError


@dataclass(frozen=True, slots=True, kw_only=True)
class Group(Redundant):
    """Drives laid out as one: n of them, of which n - tolerated are needed.

    A mirror of two is 2 with 1 tolerated, double parity over 8 is 8 with 2, three copies are 3 with 2.

    Attributes:
        tolerated: how many may be out at once; less than all.
        at_once: whether all that are out are rebuilt at the same time; else one after another.
    """

    at_once: bool = True

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
        Redundant.__post_init__(self)

    @property
    def needed(self) -> int:
        """How many drives must be there."""
        return self.count - self.tolerated


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
