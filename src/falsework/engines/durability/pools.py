"""How long do data last that lie in copies or pieces all over a pool of drives?"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb, expm1, log1p

from falsework.engines.durability.chain import Durability, alone_rates, batch_rates, solved
from falsework.engines.durability.formulas import expected_read_errors, positive
from falsework.engines.durability.redundant import FOREVER, Alike, Redundant
from falsework.engines.durability.states import Out, Rules, Shock
from falsework.errors import QuestionError
from falsework.units import YEAR_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool(Redundant):
    """Drives over which data is spread, each piece of it on other drives.

    Attributes:
        members: by class; `size_bytes` is what lies on one and has to be made again when it fails.
        pieces: k, how many pieces of k + m are needed; 1 for copies.
        tolerated: m, how many may be lost; copies less one.
        apart: for each domain of which no two pieces of one datum share one, how many drives of each class it holds;
            empty where each drive is its own.
        placements: how many different sets of drives are used; None for any that there can be.
    """

    pieces: int
    apart: tuple[tuple[int, ...], ...] = ()
    placements: int | None = None

    def __post_init__(self) -> None:
        """Refuse what can't be.

        Raises:
            QuestionError: out of bounds.
        """
        positive(pieces=self.pieces)
        Redundant.__post_init__(self)
        counts = tuple(each.count for each in self.members)
        if self.apart and tuple(map(sum, zip(*self.apart, strict=True))) != counts:
            raise QuestionError(
                f"the domains do not hold {counts} drives together", "Give every drive one domain."
            )
        if self.width > self.domains:
            raise QuestionError(
                f"{self.width} pieces are to lie apart in {self.domains}",
                "Give more domains, or fewer pieces.",
            )
        if self.placements is not None:
            positive(placements=self.placements)

    @property
    def width(self) -> int:
        """How many pieces each datum has."""
        return self.pieces + self.tolerated

    @property
    def domains(self) -> int:
        """How many domains there are."""
        return len(self.apart) or self.count


def pool_durability(
    pool: Pool, *, reads: bool = True, horizon_s: float = YEAR_S, rough: bool = False
) -> Durability:
    """How durable the data of a pool is, by a chain of how many domains have something missing.

    The model, and what it assumes: data is spread evenly, so what a drive held is made again from all others onto all
    others, faster the more there are. Failures in a domain that has one already only prolong what is missing there, and
    are not counted; that flatters by half a percent where drives hardly last a year, and by far less else. One failure more than is tolerated, each in another domain, loses something wherever a set of drives
    in use holds them all; a pool uses nearly every set unless `placements` says how few. A pool that mends the most
    endangered data first, as good ones do, fares better than this.

    Args:
        pool: the drives.
        reads: whether read errors are counted, as in `durability`.
        horizon_s: over how long, seconds.
        rough: as `falsework.engines.durability.chain.solved`.

    Raises:
        QuestionError: out of bounds.

    Source:
        Our own chain; the rest as `falsework.engines.durability.chain.durability`. That many sets in use lose data
        often, and little each time: A. Cidon and others (2013), Copysets, USENIX ATC (from memory).
    """
    positive(horizon_s=horizon_s)
    shared = batch_rates(pool.members)
    return solved(_rules(pool, shared, reads), horizon_s, pool_rebuild_s(pool), rough=rough)


def pool_rebuild_s(pool: Pool) -> tuple[float, ...]:
    """How long it takes to make again what one drive of each class held, while all others are there, seconds.

    `pieces` bytes are read and one written for each that was lost, all from the speed of all other drives; or what the
    limits let through, if that is slower; and what passes before it begins.

    Source:
        Definition (bytes / rate); common practice.
    """
    speed = sum(each.count * each.bytes_per_s for each in pool.members)
    return tuple(
        pool.begins_after_s + _transfer_s(pool, each, speed - each.bytes_per_s) for each in pool.members
    )


def fatal_chance(pool: Pool) -> float:
    """The chance that losing one drive too many, each in another domain, loses some datum.

    1 - (1 - q)^placements, with q the chance that one set of drives holds given m + 1: C(w, m+1) / C(D, m+1) / d^(m+1)
    for w pieces over D domains of d drives. It takes sets to be drawn at random and domains to be of one size.
    """
    if pool.placements is None:
        return 1.0
    chance = _holds(pool, pool.tolerated + 1)
    return 1.0 if chance >= 1 else -expm1(pool.placements * log1p(-chance))


def _holds(pool: Pool, several: int) -> float:
    """The chance that a set of drives drawn for one datum holds so many given drives of different domains."""
    together = comb(pool.width, several) / comb(pool.domains, several)
    return together / (pool.count / pool.domains) ** several


def _transfer_s(pool: Pool, each: Alike, speed: float) -> float:
    """How long what one drive held takes over a total speed of all that work."""
    if speed <= 0:
        return FOREVER
    a_byte_s = max(
        (pool.pieces + 1) / (speed * pool.load_leaves),
        pool.pieces / pool.reads_at_most,
        1 / pool.writes_at_most,
    )
    return each.size_bytes * a_byte_s


def _rules(pool: Pool, shared: dict[str, float], reads: bool) -> Rules:
    """The pool as rules of a chain."""
    members = pool.members
    alone = alone_rates(members, shared)
    beside = _beside(pool)

    def failing(out: Out) -> list[float]:
        return [
            max(0.0, each.count - sum(k * row[index] for k, row in zip(out, beside, strict=True)))
            * alone[index]
            for index, each in enumerate(members)
        ]

    def rebuilding(out: Out) -> list[float]:
        speed = sum((each.count - k) * each.bytes_per_s for each, k in zip(members, out, strict=True))
        # All that are out are rebuilt at once and share the speed.
        return [1 / (pool.begins_after_s + sum(out) * _transfer_s(pool, each, speed)) for each in members]

    def reading(out: Out) -> float:
        del out  # what is read lies on all the others
        return _unreadable(pool) if reads else 0.0

    return Rules(
        classes=len(members),
        tolerated=pool.tolerated,
        failing=failing,
        rebuilding=rebuilding,
        reading=reading,
        fatal=fatal_chance(pool),
        at_once=True,
        spares=pool.spares,
        spare_comes_s=pool.spare_comes_s,
        shocks=_shocks(pool, shared),
    )


def _beside(pool: Pool) -> list[list[float]]:
    """For a drive of each class, how many of each class are in its domain on the average, itself included."""
    n = range(len(pool.members))
    if not pool.apart:
        return [[float(i == j) for j in n] for i in n]
    return [
        [sum(domain[i] * domain[j] for domain in pool.apart) / pool.members[i].count for j in n] for i in n
    ]


def _unreadable(pool: Pool) -> float:
    """The chance that data that has no piece to spare any more can't be read when it is made again.

    Only data of which all m given drives held a piece is read without anything to spare: `_holds` of all there is.
    """
    expected = sum(
        expected_read_errors(bytes_read=each.count * each.size_bytes, per_bit=each.read_errors)
        for each in pool.members
    )
    return -expm1(-expected * pool.pieces / pool.width * _holds(pool, pool.tolerated))


def _shocks(pool: Pool, shared: dict[str, float]) -> tuple[Shock, ...]:
    """Causes in common, each with how many domains it touches, counted at the first class that is there."""
    found = []
    for name, rate in sorted(shared.items()):
        of = [index for index, each in enumerate(pool.members) if each.batch == name]
        takes = [0] * len(pool.members)
        for domain in pool.apart:
            first = next((index for index in of if domain[index]), None)
            if first is not None:
                takes[first] += 1
        if not pool.apart:
            for index in of:
                takes[index] = pool.members[index].count
        found.append(Shock(rate=rate, takes=tuple(takes)))
    return tuple(found)
