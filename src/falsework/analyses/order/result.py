"""What is said of an order of work that was written by hand?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.analyses.raising.result import Moment
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One thing wrong in the order.

    Attributes:
        what: `unmet` (a need is not there yet), `unseen` (it is there, and not in sight over the wire yet),
            `down` (all it needs is there and it does not stand: load or room), `two owners` (stand-in and real
            thing serve side by side for longer than the hand-over), `left` (a stand-in is never retired),
            `state` (a stand-in goes, and its state never moved), `early` (state moves to what is not there yet),
            `breaks` (something stops that served), `trips` (it stops because more is asked of it than it
            carries), `address` (clients have learnt an address that goes away), `again` (brought or lent although
            it is there), `undoes` (one step brings and retires the same), `not there` (retired or repointed, and
            not there), `on itself` (a stand-in needs what it stands in for), `never` (services that no step
            brings).
        step: number of the step, from 1.
        thing: what it is about; `on` is what it was missing or bound to.
        where: the key of the step that says so, or the step.
    """

    what: str
    step: int
    thing: str
    on: str
    where: Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The order replayed.

    Attributes:
        slips: everything wrong, by step.
        broken: for each step the things that it stops, in lab order.
        moments: the lab before the first step and after each, n_steps + 1; empty where there is no order.
        never: services that no step brings and that are not there today, in lab order.
    """

    slips: tuple[Slip, ...]
    broken: tuple[tuple[str, ...], ...]
    moments: tuple[Moment, ...] = ()
    never: tuple[str, ...] = ()

    def __len__(self) -> int:
        """How many steps it has."""
        return len(self.broken)
