"""What is a graph whose links, and whose vertices, carry only so much?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A link between two vertices; it carries so much each way at the same time.

    Attributes:
        name: its own; no other link of the net has it.
        one, other: its ends.
        carries: a whole number, in any unit that all links share.
    """

    name: str
    one: str
    other: str
    carries: int

    def across(self, vertex: str) -> str:
        """The end that is not this vertex."""
        return self.other if vertex == self.one else self.one


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Links between vertices; several may join the same two.

    Attributes:
        links: in any order; answers that could be either take the earlier link.
        passes: the most that goes through a vertex at the same time, what begins or ends there counted too;
            vertices that it does not name pass everything.
        ends: vertices that pass nothing on: something may begin or end there, and nothing goes through.
    """

    links: tuple[Link, ...]
    passes: Mapping[str, int] = field(default_factory=dict)
    ends: frozenset[str] = frozenset()

    @property
    def vertices(self) -> tuple[str, ...]:
        """Every vertex with a link, in the order in which the links name them."""
        return tuple(dict.fromkeys(end for link in self.links for end in (link.one, link.other)))

    def around(self) -> Mapping[str, tuple[Link, ...]]:
        """The links at each vertex."""
        found: dict[str, list[Link]] = {}
        for link in self.links:
            found.setdefault(link.one, []).append(link)
            if link.other != link.one:
                found.setdefault(link.other, []).append(link)
        return {vertex: tuple(links) for vertex, links in found.items()}

    def without(self, lost: Iterable[str]) -> Net:
        """The same net but for these links and vertices."""
        gone = frozenset(lost)
        return Net(
            links=tuple(link for link in self.links if not gone & {link.name, link.one, link.other}),
            passes=self.passes,
            ends=self.ends,
        )
