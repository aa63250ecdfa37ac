"""Which edits of the lab file are offered for a finding: tried, and found to make it go away?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from falsework.analyses.aims import AimResult
from falsework.errors import few
from falsework.findings.edits.cases import Case, case_of
from falsework.findings.edits.declining import why_none as why_none
from falsework.findings.edits.trial import Judged, compared, judged, tried
from falsework.findings.edits.writing import Edit, careful
from falsework.findings.finding import Finding
from falsework.findings.rules.aims import aims as aims_rule
from falsework.lab.save import Changes, changes_of
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]

MOST = 3
"""Offers for one finding."""
TOGETHER = 6
"""Edits that one offer makes at most."""
FARTHEST = 10
"""Edits of an offer that goes on until its aim is met."""
TRIALS = 40
"""Labs that are tried for one finding at most; fewer in a large lab."""
IN_VAIN = 2
"""Ways that end with something left, after which no others are begun."""
THINGS = 120_000
"""Trials times things: a lab of 300 things gets all trials, one of 3,000 a dozen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """An edit of the lab file that makes a finding go away; it was tried.

    Attributes:
        says: what it does, one sentence without its full stop.
        edits: each change it makes, in a clause.
        assumes: what it costs or takes for granted, in clauses.
        changes: the files with it, and the difference.
        met: broken aims that are met then.
        left: what of the finding is left, or what breaks its aim next; empty where it is gone.
        helps: how many falls, counted for each part and each service, are gone then.
        harms: what it brings that was not there, falls first, in clauses.
        unjudged: aims that were not judged again.
        caution: what to mind where hands or data can be hurt.
    """

    says: str
    edits: tuple[str, ...]
    assumes: tuple[str, ...]
    changes: Changes
    met: tuple[str, ...]
    left: str
    helps: int
    harms: tuple[str, ...]
    unjudged: tuple[str, ...]
    caution: str


def offered(
    finding: Finding,
    standing: Standing,
    aims: Sequence[AimResult],
    *,
    progress: Progress | None = None,
) -> tuple[Offer, ...]:
    """At most three edits, the best first; none where none that was thought of helps and breaks no aim.

    What brings as many falls as it takes away, and lets no aim be met, is not offered either. An edit is tried by reading the edited lab again and asking the exact engine. Where one edit alone takes only
    a part of the finding away, more are laid on top of it. Only where nothing is found that takes all of it away,
    one is offered that takes away half or more, and says what is left. What breaks an aim that was met is not offered, nor
    what lets something not stand that stood.

    Args:
        finding: one of a study.
        standing: the lab of that study.
        aims: its aims as judged.
        progress: told of each trial.

    Cost:
        A compilation of the lab for each trial, at most `TRIALS`; a judging of all aims for each offer.
    """
    case = case_of(finding, standing)
    if case is None or not standing.lab.files:
        return ()
    search = _Search(finding=finding, standing=standing, aims=aims, case=case, say=progress)
    whole = sorted(_least(list(search.offers())), key=_worth)
    return tuple(whole[:MOST] or search.partly())


def _least(offers: Sequence[Offer]) -> Iterator[Offer]:
    """Without those that make all the changes of another one, and more."""
    for offer in offers:
        if not any(
            set(other.edits) < set(offer.edits) and (offer.left or not other.left) for other in offers
        ):
            yield offer


def _worth(offer: Offer) -> tuple[object, ...]:
    return (bool(offer.left), len(offer.harms) > 0, len(offer.edits), -len(offer.met), -offer.helps)


@dataclass(slots=True, kw_only=True)
class _Search:
    """The search for one finding."""

    finding: Finding
    standing: Standing
    aims: Sequence[AimResult]
    case: Case
    say: Progress | None
    spent: int = 0
    seen: set[str] = field(default_factory=set)
    part: tuple[list[Edit], Standing] | None = None

    @property
    def budget(self) -> int:
        return max(min(TRIALS, THINGS // max(len(self.standing.support.things), 1)), 8)

    def offers(self) -> Iterator[Offer]:
        """Every first edit that takes something away, and more on top of it until nothing is left."""
        at_first = self.case.left(self.standing)
        if not at_first:
            return
        found, in_vain = 0, 0
        sorts: set[str] = set()
        for first, standing, left in self._steps(self.standing, at_first, sorts):
            edits, last, remains = self._more(first, standing, at_first, left)
            if remains:
                in_vain += 1
                if 2 * remains <= at_first and self.part is None and self.case.partly:
                    self.part = (edits, last)
                if in_vain >= IN_VAIN:
                    return
                continue
            if self._known(edits):
                continue
            offer = self._offer(edits, last)
            if offer is not None:
                yield offer
                if offer.left and not found:
                    yield from self._onward(edits, last)
                sorts.add(first.sort)
                found += 1
                if found >= MOST:
                    return

    def partly(self) -> Iterator[Offer]:
        """What takes half of it away or more, where nothing was found that takes it all."""
        offer = self._offer(*self.part) if self.part else None
        if offer is not None:
            yield offer

    def _onward(self, edits: Sequence[Edit], standing: Standing) -> Iterator[Offer]:
        """From what ends one loss that breaks an aim to what ends the next, until the aim is met."""
        edits, extra = list(edits), self.spent + self.budget
        while len(edits) < FARTHEST and self.spent < extra:
            now = next((aim for aim in self._judged(standing).aims if self._is_own(aim)), None)
            finding = next(aims_rule((now,), standing), None) if now is not None else None
            case = case_of(finding, standing) if finding is not None else None
            left = case.left(standing) if case is not None else 0
            if case is None or not left:
                return
            while left and len(edits) < FARTHEST:
                step = next(self._steps(standing, left, set(), case=case, until=extra), None)
                if step is None:
                    return
                edits.append(step[0])
                standing, left = step[1], step[2]
            offer = self._offer(edits, standing)
            if offer is None:
                return
            if not offer.left:
                yield offer
                return

    def _is_own(self, aim: AimResult) -> bool:
        own = next((each for each in self.aims if each.where == self.finding.where), None)
        return own is not None and aim.name == own.name

    def _more(
        self, first: Edit, standing: Standing, before: int, left: int
    ) -> tuple[list[Edit], Standing, int]:
        """Edits on top of a first one, until nothing is left or it is clear that too much would be."""
        edits, most = [first], before - left
        while left and len(edits) < TOGETHER:
            if self.case.even and left > most * (TOGETHER - len(edits)):
                break
            step = next(self._steps(standing, left, set()), None)
            if step is None:
                break
            edits.append(step[0])
            most = max(most, left - step[2])
            standing, left = step[1], step[2]
        return edits, standing, left

    def _steps(
        self,
        standing: Standing,
        left: int,
        sorts: set[str],
        *,
        case: Case | None = None,
        until: int | None = None,
    ) -> Iterator[tuple[Edit, Standing, int]]:
        """Edits of a lab that leave less of the finding, tried one after the other; none of a sort that is offered."""
        case = case or self.case
        until = self.budget if until is None else until
        for edit in careful(case.edits(standing)):
            if self.spent >= until:
                return
            if edit.texts == standing.lab.files or (edit.sort and edit.sort in sorts):
                continue
            self.spent += 1
            if self.say:
                self.say("trying edits", self.spent, until)
            new = tried(standing, edit.texts)
            if new is None:
                continue
            after = case.left(new)
            if after < left:
                yield edit, new, after

    def _known(self, edits: Sequence[Edit]) -> bool:
        """Whether the same changes were found already, in another order."""
        name = "\n".join(sorted(edit.says for edit in edits))
        known = name in self.seen
        self.seen.add(name)
        return known

    def _judged(self, standing: Standing) -> Judged:
        known = standing.asked.get(("edits",))
        if isinstance(known, Judged):
            return known
        met = {aim.name for aim in self.aims if aim.met}
        years = any(aim.out_under is not None and aim.name in met for aim in standing.lab.aims)
        found = judged(standing, years=years)
        standing.asked["edits",] = found
        return found

    def _offer(self, edits: Sequence[Edit], standing: Standing) -> Offer | None:
        """What it does to the rest; None where it breaks an aim, or something does not stand any more."""
        before, after = self._judged(self.standing), self._judged(standing)
        now = {aim.name: aim for aim in after.aims}
        if any(aim.met and now[aim.name].met is not True for aim in self.aims if aim.name in now):
            return None
        if after.down - before.down:
            return None
        worse, helps = compared(before.alone, after.alone)
        met = tuple(aim.name for aim in self.aims if aim.met is False and now[aim.name].met is True)
        if worse and not met and sum(map(len, worse.values())) >= helps:
            return None  # it moves the weak spot to another place, and no more
        own = next((aim for aim in self.aims if self._is_own(aim)), None)
        left = self.case.remains(standing) if self.case.left(standing) else ""
        if self.finding.code == "aim broken" and own is not None and now[own.name].met is not True:
            left = f"{own.name} is still broken: {now[own.name].says}"
        says = "; ".join(edit.says for edit in edits)
        return Offer(
            says=says,
            edits=tuple(edit.says for edit in edits),
            assumes=tuple(dict.fromkeys(clause for edit in edits for clause in edit.assumes)),
            changes=changes_of(self.standing.lab.files, standing.lab.files, ()),
            met=met,
            left=left,
            helps=helps,
            harms=(
                *(
                    f"lose {part}: {few(services)} {'falls' if len(services) == 1 else 'fall'} then, and did not"
                    for part, services in worse.items()
                ),
                *(says for name, says in after.told.items() if name not in before.told),
            ),
            unjudged=tuple(aim.name for aim in self.aims if aim.met is False and now[aim.name].met is None),
            caution=next((edit.caution for edit in edits if edit.caution), self.finding.caution),
        )
