"""Which copies restart on which host, packed whole into the holes that a loss leaves?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework.engines.placing.packing import Holes, Packed, pack
from falsework.engines.placing.problem import NOWHERE
from falsework.support.graph import Room

Vector = tuple[float, float, float, float]
MOST_STEPS = 20_000
"""Steps of the search for one packing before it settles for the best found."""
SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Where everything is after a loss, as far as it finds room.

    Attributes:
        host_of: by copy (position) that lost its host, or gave way and came back, the host that it is on now.
        homeless: copies that find no room, those that may be left out among them.
        gave_way: copies that still ran and were stopped to make room; those not among `homeless` came back.
        sure: whether each search came to its end; if not, a copy may be called homeless that a cleverer packing
            would house, never the other way round.
    """

    host_of: Mapping[int, int]
    homeless: frozenset[int]
    gave_way: frozenset[int]
    sure: bool


class Packer:
    """A room, ready to be asked about many losses."""

    def __init__(self, room: Room) -> None:
        self.room = room
        rules: list[list[int]] = [[group] for group in room.apart]
        domains: dict[int, tuple[int, ...]] = {}
        for group, domain in zip(room.apart, room.domain_of, strict=True):
            domains.setdefault(group, domain)
        self.domain: list[tuple[int, ...]] = [
            domains.get(group, ()) for group in range(max(room.apart, default=-1) + 1)
        ]
        for one, two, domain in room.away:
            rules[one].append(len(self.domain))
            rules[two].append(len(self.domain))
            self.domain.append(domain)
        self.rules = rules
        self.under: list[list[int]] = [[] for _ in self.domain]
        for number, those in enumerate(rules):
            for rule in those:
                self.under[rule].append(number)
        self.left = [list(free) for free in room.free]
        for number, host in enumerate(room.host_of):
            for resource, amount in enumerate(room.takes[number]):
                self.left[host][resource] -= amount

    def settle(self, lost: frozenset[int], *, steps: int | None = None) -> Settled:
        """Where the copies are when these hosts (positions) are gone.

        Copies that still run stay where they are; those whose host went are packed whole into the holes that are
        left, two copies of one service never in one domain. Where not all fit, copies that may be left out are left
        out first, running ones included, then the later in the file before the earlier.

        Args:
            lost: the hosts.
            steps: of one search, `MOST_STEPS` if not said; after two searches that did not come to their end there are
                no more, and with 0 steps there is none.

        Cost:
            The largest first, each where it leaves least, mostly settles it, or so that one other makes way. Where
            sums don't show that not all fit, a depth-first search looks for a packing of all. If there is none, each in
            its turn is put in the same way.
        """
        room = self.room
        displaced = [number for number, host in enumerate(room.host_of) if host in lost]
        if not displaced:
            return Settled(host_of={}, homeless=frozenset(), gave_way=frozenset(), sure=True)
        most = MOST_STEPS if steps is None else steps
        filling = _Filling(self, lost, (), most, 2 if most else 0)
        if filling.fit(displaced):
            return filling.settled(())
        needed = [number for number in displaced if not room.sheds[number]]
        out = {number for number in displaced if room.sheds[number]}
        fits = bool(out) and filling.fit(needed)
        if not fits:
            gave_way = [
                number
                for number, sheds in enumerate(room.sheds)
                if sheds and room.host_of[number] not in lost
            ]
            if gave_way:
                filling = _Filling(self, lost, gave_way, most, filling.calls, sure=filling.sure)
                out.update(gave_way)
                fits = filling.fit(needed)
        waiting = sorted(out) if fits else [*needed, *sorted(out)]
        return filling.settled([number for number in waiting if not filling.add(number)])

    def calm(self, settled: Settled, lost: frozenset[int]) -> Mapping[int, int]:
        """Where those that found room could be with few moves and large holes: the same copies find room.

        Those that gave way and came back stay on their hosts, each in the order of the file if the others still fit.
        """
        back = sorted(settled.gave_way - settled.homeless)
        others = [number for number in settled.host_of if number not in settled.gave_way]
        stay: list[int] = []
        whole = self.fit(tuple(settled.host_of), lost, without=settled.gave_way, steps=0)
        found = settled.host_of if whole.homeless else whole.bin_of
        for number in back:
            moving = [*others, *(each for each in back if each not in stay and each != number)]
            packed = self.fit(moving, lost, without=settled.gave_way - {*stay, number})
            if not packed.homeless:
                stay.append(number)
                found = packed.bin_of
        return {**found, **{number: self.room.host_of[number] for number in stay}}

    def fit(
        self,
        numbers: Sequence[int],
        lost: frozenset[int],
        *,
        without: Collection[int] = (),
        steps: int | None = None,
    ) -> Packed:
        """Whether all these copies fit beside those that still run: where, or nowhere.

        Args:
            numbers: of copies that are on no host: theirs is lost, or they are among `without`.
            lost: hosts that are gone.
            without: copies that would still run and do not.
            steps: of the search, `MOST_STEPS` if not said; with 0 there is none.
        """
        most = MOST_STEPS if steps is None else steps
        filling = _Filling(self, lost, without, most, 1 if most else 0)
        if filling.fit(numbers):
            return Packed(bin_of=filling.placed, homeless=(), least=0)
        return Packed(bin_of={}, homeless=tuple(numbers), least=1 if filling.sure else 0)

    def search(
        self, numbers: Sequence[int], lost: frozenset[int], without: Collection[int], steps: int
    ) -> Packed:
        """The search for a packing of all these copies."""
        room = self.room
        hosts = [at for at in range(len(room.hosts)) if at not in lost]
        holes = Holes(
            takes=[room.takes[number] for number in numbers],
            may=[[at for at in hosts if at in room.may[number]] if room.may else hosts for number in numbers],
            rules=[self.rules[number] for number in numbers],
            domain=self.domain,
            left=self.spare(without),
            taken=self.taken(numbers, lost, without),
        )
        return pack(holes, numbers, most_out=0, steps=steps)

    def spare(self, without: Collection[int]) -> list[list[float]]:
        """What each host has left beside the copies that are on it, but for these."""
        left = [list(each) for each in self.left]
        for number in without:
            hole = left[self.room.host_of[number]]
            for resource, amount in enumerate(self.room.takes[number]):
                hole[resource] += amount
        return left

    def taken(
        self, numbers: Sequence[int], lost: frozenset[int], without: Collection[int]
    ) -> frozenset[tuple[int, int]]:
        """Which (rule, domain) the copies hold that still run, as far as these numbers are under the rule."""
        host_of, taken = self.room.host_of, set[tuple[int, int]]()
        for rule in {rule for number in numbers for rule in self.rules[number]}:
            domain = self.domain[rule]
            for number in self.under[rule]:
                host = host_of[number]
                if host not in lost and number not in without and domain[host] != NOWHERE:
                    taken.add((rule, domain[host]))
        return frozenset(taken)

    def clashes(self, number: int, host: int, where: Mapping[int, int]) -> bool:
        """Whether a copy would share a domain there with one that it is kept apart from; `where` has the others' hosts."""
        return any(
            self.domain[rule][host] != NOWHERE
            and any(
                self.domain[rule][where[other]] == self.domain[rule][host]
                for other in self.under[rule]
                if other != number and other in where
            )
            for rule in self.rules[number]
        )

    def holes(
        self, *, without: Collection[int] = (), placed: Mapping[int, int] | None = None
    ) -> tuple[Vector, ...]:
        """What each host has left beside the copies that are on it, but for these, and those that were placed."""
        left = self.spare(without)
        for number, host in (placed or {}).items():
            for resource, amount in enumerate(self.room.takes[number]):
                left[host][resource] -= amount
        return tuple((a, b, c, d) for a, b, c, d in left)


class _Filling:
    """The holes of one loss being filled.

    Attributes:
        placed: the host of each copy that was put somewhere.
        hosts: those that are left.
        calls: how many searches may still end without a result.
        sure: whether every search so far came to its end.
    """

    def __init__(
        self,
        packer: Packer,
        lost: frozenset[int],
        without: Collection[int],
        steps: int,
        calls: int,
        *,
        sure: bool = True,
    ) -> None:
        self.packer, self.lost, self.without = packer, lost, frozenset(without)
        self.steps, self.calls, self.sure = steps, calls, sure
        self.hosts = [at for at in range(len(packer.room.hosts)) if at not in lost]
        self.base = packer.spare(without)
        self.there = [sum(max(self.base[at][r], 0.0) for at in self.hosts) for r in range(4)]
        self.placed: dict[int, int] = {}
        self.left = [list(each) for each in self.base]
        self.held: dict[int, set[int]] = {}  # by rule, the domains that what still runs holds
        self.taken: set[tuple[int, int]] = set()  # (rule, domain) of what was placed

    def settled(self, homeless: Iterable[int]) -> Settled:
        """What came of it."""
        out = frozenset(homeless)
        return Settled(host_of=dict(self.placed), homeless=out, gave_way=self.without, sure=self.sure)

    def fit(self, numbers: Sequence[int]) -> bool:
        """Put all these into the holes, and nothing else; if that is not found, nothing is put anywhere."""
        self._set({})
        takes = self.packer.room.takes
        if all(
            self._put(number) or self._swap(number)
            for number in sorted(numbers, key=lambda each: (-takes[each][1], -takes[each][0], each))
        ):
            return True
        self._set({})
        return self._search(numbers)

    def add(self, number: int) -> bool:
        """Put one more into the holes, if need be by packing all anew that were put before."""
        return self._put(number) or self._swap(number) or self._search([*self.placed, number])

    def too_much(self, numbers: Iterable[int]) -> bool:
        """Whether it shows at once that they do not all fit: in sum, or one by itself."""
        those = list(numbers)
        takes = self.packer.room.takes
        return any(
            sum(takes[number][r] for number in those) > self.there[r] + SLACK for r in range(4)
        ) or any(
            all(
                any(take > have + SLACK for take, have in zip(takes[number], self.base[at], strict=True))
                for at in self.hosts
            )
            for number in those
        )

    def _search(self, numbers: Sequence[int]) -> bool:
        """Pack all these anew; where that is not done, all stays as it is."""
        if self.too_much(numbers):
            return False
        if not self.calls:
            self.sure = False
            return False
        packed = self.packer.search(numbers, self.lost, self.without, self.steps)
        if packed.homeless:
            if packed.least == 0:
                self.sure, self.calls = False, self.calls - 1
            return False
        self._set(packed.bin_of)
        return True

    def _set(self, placed: Mapping[int, int]) -> None:
        """Have these placed and no others."""
        if self.placed:
            self.left = [list(each) for each in self.base]
        self.placed, self.taken = {}, set()
        for number, host in placed.items():
            self._at(number, host)

    def _at(self, number: int, host: int) -> None:
        packer = self.packer
        self.placed[number] = host
        hole = self.left[host]
        for resource, amount in enumerate(packer.room.takes[number]):
            hole[resource] -= amount
        for rule in packer.rules[number]:
            if packer.domain[rule][host] != NOWHERE:
                self.taken.add((rule, packer.domain[rule][host]))

    def _put(self, number: int) -> bool:
        """Put a copy where it leaves least memory, if it fits anywhere."""
        packer, left = self.packer, self.left
        cores, memory, disk, cards = packer.room.takes[number]
        may = packer.room.may[number] if packer.room.may else None
        rules = [(rule, packer.domain[rule], self._held(rule)) for rule in packer.rules[number]]
        best = NOWHERE
        for host in self.hosts:
            hole = left[host]
            if (
                (best == NOWHERE or hole[1] < left[best][1])
                and memory <= hole[1] + SLACK
                and cores <= hole[0] + SLACK
                and disk <= hole[2] + SLACK
                and cards <= hole[3] + SLACK
                and (may is None or host in may)
                and not any(
                    domain[host] in held or (rule, domain[host]) in self.taken for rule, domain, held in rules
                )
            ):
                best = host
        if best != NOWHERE:
            self._at(number, best)
        return best != NOWHERE

    def _swap(self, number: int) -> bool:
        """Put a copy where one that was placed makes way, which goes elsewhere."""
        packer, takes = self.packer, self.packer.room.takes
        wants = takes[number]
        if any(
            want > sum(max(self.left[at][r], 0.0) for at in self.hosts) + SLACK
            for r, want in enumerate(wants)
            if want
        ):
            return False
        for other, host in list(self.placed.items()):
            hole = self.left[host]
            if any(
                want > have + give + SLACK for want, have, give in zip(wants, hole, takes[other], strict=True)
            ):
                continue
            if packer.room.may and host not in packer.room.may[number]:
                continue
            self._off(other)
            if self._is_free(number, host):
                self._at(number, host)
                if self._put(other):
                    return True
                self._off(number)
            self._at(other, host)
        return False

    def _is_free(self, number: int, host: int) -> bool:
        """Whether nothing is in the domain of a host that a copy must be apart from."""
        for rule in self.packer.rules[number]:
            domain = self.packer.domain[rule][host]
            if domain in self._held(rule) or (rule, domain) in self.taken:
                return False
        return True

    def _off(self, number: int) -> None:
        """Take a copy off the host that it was put on."""
        packer, host = self.packer, self.placed.pop(number)
        for resource, amount in enumerate(packer.room.takes[number]):
            self.left[host][resource] += amount
        for rule in packer.rules[number]:
            self.taken.discard((rule, packer.domain[rule][host]))

    def _held(self, rule: int) -> set[int]:
        if rule not in self.held:
            room, domain = self.packer.room, self.packer.domain[rule]
            standing = (
                room.host_of[number] for number in self.packer.under[rule] if number not in self.without
            )
            self.held[rule] = {domain[host] for host in standing if host not in self.lost} - {NOWHERE}
        return self.held[rule]
