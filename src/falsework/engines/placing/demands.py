"""What must hold of a placement, as constraints? What can't be too much is left out."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from falsework.engines.placing.open import Literal, Open, Some
from falsework.engines.placing.problem import HARD, NOWHERE


class Demands(Open):
    """What is open, under capacity, shared limits and rules of company; what is wished of company costs."""

    def _at_most_sum(self, ones: Sequence[Literal], weights: Sequence[int], limit: int) -> None:
        if limit < 0:
            self._never()
        elif sum(weights) > limit:
            self.model.add(cp_model.LinearExpr.weighted_sum(ones, weights) <= limit)

    def _at_most_one(self, count: Some, extra: Sequence[Literal] = ()) -> None:
        ones = [*count.open, *extra]
        if count.sure > 1:
            self._never()
        elif count.sure == 1:
            for one in ones:
                self.model.add(one == 0)
        elif len(ones) > 1:
            self.model.add_at_most_one(ones)

    def _room(self) -> None:
        size, twice, start = self.problem.size, self.problem.twice, self.problem.start
        left = self.problem.capacity - self._hold
        for at in self._touched:
            items = self._in_bin[at]
            ones = [self.x[item][at] for item in items]
            for r in range(size.shape[1]):
                weights = [0 if twice[r] and start[item] == at else int(size[item, r]) for item in items]
                self._at_most_sum(ones, weights, int(left[at, r]))

    def _shared(self) -> None:
        size, twice, start = self.problem.size, self.problem.twice, self.problem.start
        for rule in self.problem.shared:
            bins = sorted(set(rule.bins))
            pairs = [(item, at) for at in bins for item in self._in_bin.get(at, ())]
            if not pairs and not self._whole:
                continue
            weights = [
                0 if twice[rule.resource] and start[item] == at else int(size[item, rule.resource])
                for item, at in pairs
            ]
            limit = rule.capacity - int(self._hold[bins, rule.resource].sum())
            self._at_most_sum([self.x[item][at] for item, at in pairs], weights, limit)

    def _apart(self) -> None:
        for number in self._rules(self.index.apart, len(self.problem.apart)):
            rule = self.problem.apart[number]
            for domain, count in self._by_domain(rule.items, rule.domain).items():
                if domain != NOWHERE:
                    self._at_most_one(count)

    def _together(self) -> None:
        for number in self._rules(self.index.together, len(self.problem.together)):
            rule = self.problem.together[number]
            items = sorted(set(rule.items))
            domains = sorted(set(rule.domain) - {NOWHERE})
            chosen = {domain: self._bool() for domain in domains}
            if not chosen and items:
                self._never()
                continue
            self.model.add_exactly_one(chosen.values())
            for item in items:
                if item not in self.x:
                    domain = rule.domain[self._at[item]]
                    if domain == NOWHERE:
                        self._never()
                    else:
                        self.model.add(chosen[domain] == 1)
                    continue
                for domain, count in self._by_domain((item,), rule.domain).items():
                    if domain == NOWHERE:
                        for one in count.open:
                            self.model.add(one == 0)
                    else:
                        self.model.add(sum(count.open) <= chosen[domain])

    def _spread(self) -> None:
        for number in self._rules(self.index.spread, len(self.problem.spread)):
            rule = self.problem.spread[number]
            counts = self._by_domain(rule.items, rule.domain)
            counts.pop(NOWHERE, None)
            need = rule.at_least - sum(1 for count in counts.values() if count.sure)
            open_ = [count.open for count in counts.values() if not count.sure]
            if need > len(open_):
                self._never()
            elif need > 0:
                there = [self._bool() for _ in open_]
                for one, ones in zip(there, open_, strict=True):
                    self.model.add_bool_or([*ones, one.negated()])
                self.model.add(sum(there) >= need)

    def _near(self) -> None:
        for number in self._rules(self.index.near, len(self.problem.near)):
            rule = self.problem.near[number]
            homes = self._by_domain(rule.to, rule.domain)
            home: dict[int, Literal] = {}
            for domain, count in homes.items():
                if domain != NOWHERE and not count.sure:
                    home[domain] = self._bool()
                    self.model.add_bool_or([*count.open, home[domain].negated()])
            itself = set(rule.to)
            for item in sorted(set(rule.items) - itself):
                far = None if rule.level == HARD else self._bool()
                for domain, count in self._by_domain((item,), rule.domain).items():
                    if domain == NOWHERE or (domain in homes and homes[domain].sure):
                        continue
                    near = home.get(domain)
                    rest = [one for one in (near, far) if one is not None]
                    if count.sure:
                        if rest:
                            self.model.add_bool_or(rest)
                        else:
                            self._never()
                    for one in count.open:
                        self.model.add_bool_or([one.negated(), *rest])
                if far is not None:
                    self.terms[rule.level].append((far, rule.weight))

    def _at_most(self) -> None:
        for number in self._rules(self.index.at_most, len(self.problem.at_most)):
            rule = self.problem.at_most[number]
            here = set(rule.bins)
            domain = [0 if at in here else NOWHERE for at in range(self.problem.n_bins)]
            count = self._by_domain(rule.items, domain).get(0, Some(0, []))
            if rule.level == HARD:
                self._at_most_sum(count.open, [1] * len(count.open), rule.most - count.sure)
                continue
            items = sum(1 for item in set(rule.items) if item in self.x and not here.isdisjoint(self.x[item]))
            if count.sure > rule.most:
                self.sure[rule.level] += rule.weight
            elif count.sure + items > rule.most:
                more = self._bool()
                self.model.add(
                    sum(count.open) - (items - rule.most + count.sure) * more <= rule.most - count.sure
                )
                self.terms[rule.level].append((more, rule.weight))

    def demand(self) -> None:
        """Ask for everything that must hold."""
        self._room()
        self._shared()
        self._apart()
        self._together()
        self._spread()
        self._near()
        self._at_most()
