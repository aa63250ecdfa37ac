"""How often did taking over or restarting not work, and what becomes of the share that was said or assumed?

As with measured times (`timing`) what the owner wrote stays in the file, and what all questions work with is both together.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from falsework import units
from falsework.engines.reliability.sharing import Beta, as_one, beta_between
from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.model.declare import Form, Say, shown
from falsework.model.simple import moment_of, scalar
from falsework.units import Dimension, Quantity

if TYPE_CHECKING:  # services have a count of their own, so that they load this
    from falsework.model.services import Service


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """A share, before and after what was counted was laid on it.

    Attributes:
        before: what was said or assumed.
        written: whether the owner said it.
        guess: what that counts for.
        belief: what is believed now.
        after: the share that counts.
        failed, of: how many trials were counted, and how many of them failed.
    """

    before: Quantity
    written: bool
    guess: Beta
    belief: Beta
    after: Quantity
    failed: int
    of: int

    key = "stumbles"

    @property
    def value(self) -> str:
        """The share that counts, in words."""
        return units.format_range(self.after, Dimension.SHARE)

    @property
    def words(self) -> str:
        """Where it comes from, in words."""
        before = units.format_range(self.before, Dimension.SHARE)
        who = "the file" if self.written else "what is assumed"
        return (
            f"{self.failed} of {self.of} counted; the {before} of {who} counts as {guess_words(self.guess)}"
        )


@dataclass(frozen=True, slots=True)
class Stumbled:
    """Take-overs and restarts that were asked for, and how many of them did not happen.

    Attributes:
        failed: how many did not.
        of: how many were asked for, 1 or more.
        until: the moment until which it was counted, in UTC as written; empty if not said.
        corrected: what it makes of `stumbles`; None before that is settled.
    """

    failed: int
    of: int
    until: str = ""
    corrected: Corrected | None = field(default=None, compare=False, repr=False)


class Stumbles(Form[Stumbled]):
    """What was counted: so many of so many, perhaps until some moment."""

    says = "two counts, such as 1 of 12, or 1 of 12 until 2026-11-26"

    def read(self, node: tree.Node, say: Say) -> Stumbled:
        """The counts."""
        counts, _, until = scalar(node, say, self.says).text.partition(" until ")
        failed, _, of = counts.partition(" of ")
        if not all(each.isascii() and each.isdigit() and len(each) <= 6 for each in (failed, of)):
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        if not 0 <= int(failed) <= int(of) or int(of) == 0:
            raise say.fault(node.where, f"found {shown(node)}", "say how many of how many, at least one")
        return Stumbled(int(failed), int(of), moment_of(until, node, say, self.says))

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string", "pattern": "^[0-9]+ of [0-9]+"}


def settled(service: Service, *, written: bool) -> dict[str, Any]:
    """New values of a service of which something was counted, by attribute; none where nothing was.

    Args:
        service: as read, with defaults where its owner said nothing.
        written: whether its owner said how often it stumbles.
    """
    counted, before = service.stumbled, service.stumbles
    if counted is None or before is None:
        return {}
    guess = guess_of(before, written=written)
    if guess is None:
        return {}  # a fault of the file; `model.checks.timing` says so
    belief = guess.updated(counted.failed, counted.of)
    after = share_of(belief)
    corrected = Corrected(
        before=before,
        written=written,
        guess=guess,
        belief=belief,
        after=after,
        failed=counted.failed,
        of=counted.of,
    )
    return {"stumbles": after, "stumbled": dataclasses.replace(counted, corrected=corrected)}


def guess_of(share: Quantity, *, written: bool) -> Beta | None:
    """What a share counts for: a range that was written at its word, any other as one failure in so many trials.

    None where no belief can be made of it.
    """
    try:
        if share.low == share.high:
            return as_one(share.low)
        said = beta_between(share.low, share.high)
        return said if written else as_one(said.mean)
    except QuestionError:
        return None


def share_of(belief: Beta) -> Quantity:
    """The share that counts: a range, from the 5 to the 95 percentile."""
    low, high = belief.between
    return Quantity(low=low, high=high)


def guess_words(guess: Beta) -> str:
    """What a guess counts for, in words."""
    return f"{guess.failed:.2g} of {guess.trials:.3g}"
