"""How much can be stored where no domain may hold two shares of the same piece of data?"""

from __future__ import annotations

from collections.abc import Sequence


def shares_each(capacities: Sequence[float], shares: int) -> float:
    """The most that one share can come to when everything stored has `shares` shares in as many domains.

    Whatever is stored is cut into stripes; each stripe has `shares` pieces of one size, and no domain holds two
    pieces of one stripe. The answer V is the total over all stripes of the size of one piece: the largest with

        sum over domains of min(c, V) >= shares x V.

    Args:
        capacities: of each domain, in one unit.
        shares: how many, at least 1.

    Returns:
        V, in that unit; 0 where there are fewer domains than shares.

    Source:
        Necessary: a domain holds one piece of a stripe at most, so V in all. Sufficient: lay min(c, V) of each domain
        end to end, cut the line into lengths of V; what lies above one another is a stripe, and no domain of
        V at most meets itself (the wrap-around rule of McNaughton 1959, Scheduling with deadlines and loss
        functions, Management Science 6(1)). The inequality holds for all V up to
        min over j < shares of (all but the j largest domains) / (shares - j):
        if the j largest are the domains above V, they count V each, and the rest must bring (shares - j) V.
    """
    if len(capacities) < shares:
        return 0.0
    largest_first = sorted(capacities, reverse=True)
    rest = sum(largest_first)
    best = float("inf")
    for above in range(shares):
        best = min(best, rest / (shares - above))
        rest -= largest_first[above]
    return max(best, 0.0)


def usable_spread(capacities: Sequence[float], *, data: int, check: int) -> float:
    """How much data fit as `data` + `check` pieces, each in another domain; r copies are 1 + (r - 1).

    Equal domains, as many as there are pieces or more, give the share data / (data + check) of the whole.
    """
    return data * shares_each(capacities, data + check)


def usable_array(sizes: Sequence[float], *, check: int) -> float:
    """How much fits on one array with `check` drives' worth of parity: every drive counts as the smallest.

    Source:
        (n - p) x the smallest drive: Patterson, Gibson and Katz (1988), A case for redundant arrays of inexpensive
        disks, SIGMOD; arrays of unequal drives use each up to the smallest, the usual rule.
    """
    return max(len(sizes) - check, 0) * min(sizes, default=0.0)


def usable_pairs(sizes: Sequence[float]) -> float:
    """How much fits on mirrored pairs, in their order: of each pair the smaller."""
    return sum(min(sizes[first : first + 2]) for first in range(0, len(sizes) - 1, 2))


def filled(capacities: Sequence[float], *, shares: int, each: float) -> tuple[float, ...]:
    """What lies in each domain when `shares` x `each` are spread as evenly as capacities and `each` allow.

    Every domain is filled to the same share of its capacity, but holds no more than `each`.

    Args:
        capacities: of each domain, in one unit.
        shares: how many pieces a stripe has.
        each: the total size of one share, as `shares_each` has it; no more than that.
    """
    whole = shares * each
    order = sorted(range(len(capacities)), key=lambda number: -capacities[number])
    amounts = [0.0] * len(capacities)
    left, room = whole, sum(capacities)
    for number in order:
        level = left / room if room > 0 else 0.0
        amounts[number] = min(capacities[number] * level, each)
        left -= amounts[number]
        room -= capacities[number]
    return tuple(amounts)
