"""Which smallest changes of the lab file would have foretold what was seen in a run?

Every change that is thought of is made in the text of the file, the file is read again, and the run is laid beside what
the exact engine foretells then. Those are kept that make the thing right they are for, and nothing else worse.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from falsework.analyses.comparing import Comparison, Line, Sort, compare
from falsework.analyses.comparing.compare import with_out
from falsework.errors import FalseworkError
from falsework.findings.edits.trial import tried
from falsework.findings.edits.writing import Texts
from falsework.findings.explaining.changes import changes
from falsework.findings.explaining.scene import Change, Seen
from falsework.lab.digest import digest_of
from falsework.lab.save import Changes, changes_of
from falsework.record.observed import Observed
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]

TRIALS = 200
"""Labs that are tried for one thing at most; fewer in a large lab."""
THINGS = 40_000
"""Trials times things of the lab."""
FEWEST = 8
PAIRED = 6
"""Changes of which pairs are tried, where none does by itself."""
MOST = 10
"""Explanations of one way that are kept of one thing."""
KEPT = 64
"""Labs that are kept: what is tried again was mostly tried a moment ago, and each takes megabytes."""
Near = tuple[Change, Line]
_WORSE = {Sort.WRONG: 2, Sort.SLOWER: 1, Sort.FASTER: 1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A change of the lab file with which the run would have been as foretold; it was tried.

    Attributes:
        says: what it does, each change in a clause.
        for_: the thing that it was looked for.
        rights: the things that are as foretold with it and were not.
        left: the things that are still wrong.
        size: how many changes it makes.
        rank: how likely it is beforehand, 0 for the likeliest.
        earlier: how many earlier runs it makes better, and how many it makes worse.
        changes: the files with it, and the difference.
        caution: what to mind where hands can be hurt.
    """

    says: tuple[str, ...]
    for_: str
    rights: tuple[str, ...]
    left: tuple[str, ...]
    size: int
    rank: int
    earlier: tuple[int, int]
    changes: Changes
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """What was found for a run.

    Attributes:
        offers: the best first.
        unexplained: things that were otherwise, and that no change tried explains.
        tried: how many labs were tried.
        complete: whether nobody stopped it before all that was thought of was tried.
    """

    offers: tuple[Explanation, ...]
    unexplained: tuple[str, ...]
    tried: int
    complete: bool = True


def explained(
    standing: Standing,
    observed: Observed,
    *,
    earlier: Sequence[Observed] = (),
    progress: Progress | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Explained:
    """What would explain each thing of a run that was not as foretold.

    First come those that leave least wrong, then the smallest, then those that stay true to earlier runs, then the
    likeliest.

    Args:
        standing: the lab.
        observed: the run.
        earlier: other runs, which a change should stay true to.
        progress: told of each trial.
        stopped: asked before each trial; once it says so, or at Ctrl-C, what was found so far is the answer.

    Cost:
        A compilation of the lab for each trial; `TRIALS` at most for each thing.
    """
    at = with_out(standing, observed.run.out)
    before = compare(at, observed)
    search = _Search(
        standing=at,
        observed=observed,
        before=before,
        earlier=[(each, known) for each in earlier if (known := _known(standing, each)) is not None],
        say=progress,
        stopped=stopped,
    )
    search.most = search.budget * len(_odd(before))
    if not at.lab.files:
        return Explained(offers=(), unexplained=tuple(line.thing for line in _odd(before)), tried=0)
    found: dict[tuple[tuple[str, str], ...], Explanation] = {}
    near = []
    for line in _odd(before):
        offers, some = search.alone(line)
        near.append((line, some))
        for offer in offers:
            found.setdefault(tuple(sorted(offer.changes.files.items())), offer)
    whole = {name for offer in found.values() for name in offer.rights}
    for line, some in near:
        if line.thing not in whole:
            for offer in search.pairs(line, some):
                found.setdefault(tuple(sorted(offer.changes.files.items())), offer)
                whole.update(offer.rights)
    return Explained(
        offers=tuple(sorted(found.values(), key=_worth)),
        unexplained=tuple(line.thing for line in _odd(before) if line.thing not in whole),
        tried=search.spent,
        complete=not search.ended,
    )


def _known(standing: Standing, observed: Observed) -> Comparison | None:
    try:
        found = compare(standing, observed)
    except FalseworkError:
        return None  # about parts that the lab has no more
    return found if found.lines else None


def _odd(comparison: Comparison) -> tuple[Line, ...]:
    """What was not as foretold, the worst first."""
    odd = [line for line in comparison.lines if line.sort in _WORSE]
    return tuple(sorted(odd, key=lambda line: -_WORSE[line.sort]))


def _worth(offer: Explanation) -> tuple[object, ...]:
    better, worse = offer.earlier
    return (len(offer.left), offer.size, worse, offer.rank, -better, -len(offer.rights))


@dataclass(slots=True, kw_only=True)
class _Search:
    """The search for one run."""

    standing: Standing
    observed: Observed
    before: Comparison
    earlier: Sequence[tuple[Observed, Comparison]]
    say: Progress | None
    stopped: Callable[[], bool]
    ended: bool = False
    spent: int = 0
    most: int = 0
    met: set[str] = field(default_factory=set)
    labs: dict[str, Standing | None] = field(default_factory=dict)

    @property
    def budget(self) -> int:
        return max(min(TRIALS, THINGS // max(len(self.standing.support.things), 1)), FEWEST)

    def alone(self, line: Line) -> tuple[list[Explanation], list[Near]]:
        """What explains one thing by one change, and changes after which it is otherwise still, in another way."""
        until = self.spent + self.budget
        found: list[Explanation] = []
        near: list[Near] = []
        ways: Counter[str] = Counter()
        with self._kept():
            for change, new in self._trials(self.standing, self.before, line, until, ways):
                now = self._line(new, line.thing)
                if now is None or not self._stands_as_before(new):
                    continue
                if now.sort is Sort.AS_FORETOLD:
                    offer = self._offer((change,), new, line)
                    if offer is not None:
                        found.append(offer)
                        ways[change.way] += 1
                elif now.wrong is not line.wrong or now.sort is not line.sort:
                    near.append((change, now))
        return found, near

    def pairs(self, line: Line, near: Sequence[Near]) -> list[Explanation]:
        """Two changes, where one made something of it right and left another thing wrong."""
        found: list[Explanation] = []
        until = self.spent + self.budget
        self.most += self.budget
        with self._kept():
            for first, now in sorted(near, key=lambda each: each[0].rank)[:PAIRED]:
                if self._ends():
                    break
                new = self._tried(first.edit.texts)
                assert new is not None
                between = compare(new, self.observed)
                for second, newer in self._trials(new, between, now, until):
                    then = self._line(newer, line.thing)
                    if then is None or then.sort is not Sort.AS_FORETOLD or not self._stands_as_before(newer):
                        continue
                    offer = self._offer((first, second), newer, line)
                    if offer is not None:
                        found.append(offer)
                        break
        return found

    def _trials(
        self,
        standing: Standing,
        comparison: Comparison,
        line: Line,
        until: int,
        ways: Counter[str] | None = None,
    ) -> Iterator[tuple[Change, Standing]]:
        for change in changes(Seen(standing=standing, comparison=comparison, line=line)):
            if self.spent >= until or self._ends():
                return
            if ways is not None and ways[change.way] >= MOST:
                continue
            new = self._tried(change.edit.texts)
            if new is not None:
                yield change, new

    @contextmanager
    def _kept(self) -> Iterator[None]:
        """What was found stays found when somebody presses Ctrl-C."""
        try:
            yield
        except KeyboardInterrupt:
            self.ended = True

    def _ends(self) -> bool:
        self.ended = self.ended or self.stopped()
        return self.ended

    def _tried(self, texts: Texts) -> Standing | None:
        name = digest_of(texts)
        if name in self.labs:
            self.labs[name] = self.labs.pop(name)  # the longest unasked stays first
            return self.labs[name]
        if name not in self.met:
            self.met.add(name)
            self.spent += 1
            if self.say:
                self.say("trying explanations", self.spent, self.most)
        while len(self.labs) >= KEPT:
            del self.labs[next(iter(self.labs))]
        self.labs[name] = None if texts == self.standing.lab.files else tried(self.standing, texts)
        return self.labs[name]

    def _line(self, standing: Standing, thing: str) -> Line | None:
        """What a lab foretells of one thing, beside what was seen."""
        try:
            found = compare(standing, self.observed, only=(thing,))
        except FalseworkError:
            return None
        return found.lines[0] if found.lines else None

    def _stands_as_before(self, new: Standing) -> bool:
        return all(
            new.baseline.up(name) or not self.standing.baseline.up(name)
            for name in self.standing.support.services
            if name in new.support.things
        )

    def _offer(self, made: tuple[Change, ...], new: Standing, line: Line) -> Explanation | None:
        """What a change does to the rest; None where it makes anything worse."""
        after = {each.thing: each for each in compare(new, self.observed).lines}
        was: Mapping[str, Line] = {each.thing: each for each in self.before.lines}
        for name, each in was.items():
            now = after.get(name)
            if now is None or _WORSE.get(now.sort, 0) > _WORSE.get(each.sort, 0):
                return None
        rights = tuple(
            name for name, each in was.items() if each.sort in _WORSE and after[name].sort is Sort.AS_FORETOLD
        )
        better, worse = self._earlier(new)
        return Explanation(
            says=tuple(change.edit.says for change in made),
            for_=line.thing,
            rights=rights,
            left=tuple(name for name, each in after.items() if each.sort is Sort.WRONG),
            size=len(made),
            rank=sum(change.rank for change in made),
            earlier=(better, worse),
            changes=changes_of(self.standing.lab.files, new.lab.files, ()),
            caution=next((change.edit.caution for change in made if change.edit.caution), ""),
        )

    def _earlier(self, new: Standing) -> tuple[int, int]:
        better = worse = 0
        for observed, known in self.earlier:
            now = _known(new, observed)
            if now is None:
                continue
            was, then = len(_odd(known)), len(_odd(now))
            better, worse = better + (then < was), worse + (then > was)
        return better, worse
