"""How much is proved by whoever does only the first of the drills?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from falsework.analyses.drilling.result import Claim, Drills
from falsework.analyses.verdicts import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far the list is at one of its drills.

    Attributes:
        new: what it proves, no drill before it does, and was not proved within a year; the worst first, then as in the
            list of claims.
        claims: how many are proved by then: by it, by those before it, or within a year.
        at_stake: how many of those guard data: it is lost at the worst if they are wrong.
    """

    new: tuple[Claim, ...]
    claims: int
    at_stake: int

    @property
    def worst(self) -> Verdict:
        """The worst that happens if something is wrong that it is the first to show."""
        return max((claim.worst for claim in self.new), default=Verdict.STANDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaches:
    """How far the list is at each of its drills.

    Attributes:
        each: as many as drills, in their order.
        fresh: how many claims were proved within a year, and count as proved.
        claims: how many there are, those counted.
        at_stake: how many of those guard data.
    """

    each: tuple[Reach, ...]
    fresh: int
    claims: int
    at_stake: int

    @property
    def guards_data(self) -> int:
        """How many of the first drills it takes until all that guards data is proved; 0 where that is so without them."""
        if not any(claim.worst is Verdict.LOST for at in self.each for claim in at.new):
            return 0
        return next(number for number, at in enumerate(self.each, 1) if at.at_stake == self.at_stake)

    def until(self, share: Fraction) -> int:
        """How many of the first drills it takes until this share of all claims is proved; 0 where that is so without them."""
        if self.fresh >= share * self.claims:
            return 0
        return next(number for number, at in enumerate(self.each, 1) if at.claims >= share * self.claims)


def reaches(found: Drills) -> Reaches:
    """How much the first one of the drills proves, the first two, and so on to all of them."""
    fresh = {claim.name for claim in found.claims if claim.fresh(found.today)}
    proved, each = set(fresh), []
    stakes = {claim.name for claim in found.claims if claim.worst is Verdict.LOST}
    named = {claim.name: (-claim.worst, at, claim) for at, claim in enumerate(found.claims)}
    for plan in found.plans:
        new = sorted(named[name] for name in plan.proves if name not in proved)
        proved.update(plan.proves)
        each.append(
            Reach(new=tuple(claim for *_, claim in new), claims=len(proved), at_stake=len(proved & stakes))
        )
    return Reaches(each=tuple(each), fresh=len(fresh), claims=len(found.claims), at_stake=len(stakes))


def left_by(found: Drills, first: int) -> tuple[Claim, ...]:
    """What none of so many first drills proves and was not proved within a year, the worst first, then as listed."""
    proved = {name for plan in found.plans[:first] for name in plan.proves}
    left = [each for each in found.claims if each.name not in proved and not each.fresh(found.today)]
    return tuple(sorted(left, key=lambda claim: -claim.worst))
