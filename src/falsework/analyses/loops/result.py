"""What is a loop of needs?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.where import Where

KINDS = ("to build", "to start", "to take over", "to mend", "to restore", "to run")
"""Kinds of loop, in the order in which they are told. Loops to run are no faults by themselves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One thing waits for another.

    Attributes:
        thing, on: ids of the lab.
        says: how, as in `needs to start` or `runs on`.
        kind: the kind of need; empty where a thing just stands on another.
        where: the place in the lab file that says so.
    """

    thing: str
    on: str
    says: str
    kind: str
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One way to cut a loop.

    Attributes:
        says: what to do, in a few words.
        things: the needs it cuts, as pairs of who needs and who is needed.
        costs_s: what it costs, seconds of work.
        assumed: whether that was assumed; the costs of a stand-in are the owner's.
        stand_in: the stand-in that does it, if one does.
    """

    says: str
    things: tuple[tuple[str, str], ...]
    costs_s: float
    assumed: bool
    stand_in: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """Things that wait for each other.

    Attributes:
        kind: one of `KINDS`.
        ring: ids, each waiting for the next, ending where it began.
        links: one for each step of the ring.
        cuts: what would cut it, cheapest first.
        means: what it means, in one clause.
    """

    kind: str
    ring: tuple[str, ...]
    links: tuple[Link, ...]
    cuts: tuple[Cut, ...]
    means: str

    @property
    def says(self) -> str:
        """The ring in one clause."""
        return "; ".join(f"{link.thing} {link.says} {link.on}" for link in self.links)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cuts:
    """The cheapest cuts after which no loop of a kind is left.

    Attributes:
        kind: `to build` or `to start`.
        cuts: what to do, cheapest first; empty where nothing suffices.
        costs_s: what they cost together.
        bound_s: nothing costs less than this.
        left: what would wait even then, in lab order.
    """

    kind: str
    cuts: tuple[Cut, ...]
    costs_s: float
    bound_s: float
    left: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing cheaper does it."""
        return not self.left and self.bound_s >= self.costs_s - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Loops:
    """Every loop of a lab.

    Attributes:
        loops: by kind in the order of `KINDS`, smallest first: for each need in a loop the smallest through it.
        cheapest: for each kind that stops a build or a start, the cheapest way out of all of them together.
    """

    loops: tuple[Loop, ...]
    cheapest: tuple[Cuts, ...]

    def of(self, kind: str) -> tuple[Loop, ...]:
        """Those of one kind, smallest first."""
        return tuple(loop for loop in self.loops if loop.kind == kind)

    @property
    def stops(self) -> tuple[Loop, ...]:
        """Those that stop something: all but loops to run."""
        return tuple(loop for loop in self.loops if loop.kind != "to run")
