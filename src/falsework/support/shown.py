"""Which of the things that are shown lean on which, when all that is not shown is left out between them?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.support.graph import Role, SupportGraph


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownLeans:
    """Direct leans between groups, by their numbers.

    Attributes:
        on: for each group those that it leans on, in the order in which its things say so.
        by: for each group those that lean on it, in order.
    """

    on: tuple[tuple[int, ...], ...]
    by: tuple[tuple[int, ...], ...]

    def through(self, group: int, *, up: bool = False) -> tuple[int, ...]:
        """All that a group leans on, or that leans on it, through others too: the nearest first."""
        ways = self.by if up else self.on
        seen = [group]
        known = {group}
        for at in seen:  # it grows while it is read
            for each in ways[at]:
                if each not in known:
                    known.add(each)
                    seen.append(each)
        return tuple(seen[1:])


def shown_leans(support: SupportGraph, groups: Sequence[Sequence[str]]) -> ShownLeans:
    """Who leans on whom among the groups that are shown.

    A thing leans on what it needs before anything moves, on all of its copies, on the switches and cables that
    its machine is on the wire by, and a pool on its hosts. A thing that no group shows passes on what it leans on.

    Args:
        support: the graph.
        groups: ids of what each group shows; names that are not in the graph lean on nothing.

    Returns:
        No group leans on itself. Of a thing that several groups show all count.

    Cost:
        O(things + leans) for each chain of things not shown, which are short.
    """
    showing: dict[str, list[int]] = {}
    for number, names in enumerate(groups):
        for name in names:
            showing.setdefault(name, []).append(number)
    direct = _direct(support)
    found: list[tuple[int, ...]] = []
    for number, names in enumerate(groups):
        on: dict[int, None] = {}
        waiting = [each for name in names for each in direct.get(name, ())]
        passed = set(names)
        while waiting:
            further: list[str] = []
            for each in waiting:
                if each in passed:
                    continue
                passed.add(each)
                if each in showing:
                    on.update(dict.fromkeys(showing[each]))
                else:
                    further.extend(direct.get(each, ()))
            waiting = further
        on.pop(number, None)
        found.append(tuple(on))
    by: list[list[int]] = [[] for _ in groups]
    for number, leans in enumerate(found):
        for below in leans:
            by[below].append(number)
    return ShownLeans(on=tuple(found), by=tuple(map(tuple, by)))


def _direct(support: SupportGraph) -> dict[str, list[str]]:
    """What each thing leans on by itself."""
    found = {
        name: [
            each
            for lean in thing.leans
            if "now" in lean.times or lean.role is Role.COPIES
            for each in lean.on
        ]
        for name, thing in support.things.items()
    }
    for network in support.networks.values():
        for node, attachments in network.attachments.items():
            for attachment in attachments:
                found.setdefault(node, []).extend((*attachment.through, attachment.vertex))
    for room in support.rooms:
        found.setdefault(room.pool, []).extend(room.hosts)
        for copy in room.copies:
            found.setdefault(copy, []).append(room.pool)
    return found
