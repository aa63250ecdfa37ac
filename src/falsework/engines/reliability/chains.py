"""Which states and rates has a group with few repairers, or a pair of which one stands by?

Each function returns a generator for markov.py and says what its states are.
Rates are constant: repair times are taken as exponential, which matters little for shares of time
and more for how long single outages last.
"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.engines.reliability import checked
from falsework.engines.reliability.chained import Generator
from falsework.engines.reliability.markov import generator
from falsework.errors import QuestionError

GOOD, FAILOVER, BY_HAND, ONE, NONE = range(5)
"""States of `covered_pair`."""

BOTH, SINGLE, STUCK, DOWN = range(4)
"""States of `standby_pair`."""

READY, BARE, TAKEN_OVER, OUT = range(4)
"""States of `hidden_standby`."""


def birth_death(births: Sequence[float], deaths: Sequence[float]) -> Generator:
    """States 0 to m in a row: births[i] leads from i to i + 1, deaths[i] from i + 1 to i.

    Args:
        births: (m,), 0 or more.
        deaths: (m,), 0 or more.

    Raises:
        QuestionError: not of one length, or a rate that can't be.
    """
    if len(births) != len(deaths):
        raise QuestionError(
            f"there are {len(births)} ways up and {len(deaths)} ways down", "Give as many of each."
        )
    up = [(i, i + 1, rate) for i, rate in enumerate(births)]
    down = [(i + 1, i, rate) for i, rate in enumerate(deaths)]
    return generator(len(births) + 1, up + down)


def repaired_group(n: int, rate: float, repair_rate: float, *, repairers: int, needed: int = 0) -> Generator:
    """A group of n alike parts with c repairers, each mending one at a time; the state is how many are down.

    Birth (n - j) L, death min(j, c) m. k-of-n is out in the states from n - k + 1 on.

    Args:
        n: parts, 1 or more.
        rate: L, failures per unit of time of one part, above 0.
        repair_rate: m, above 0.
        repairers: c, 1 or more.
        needed: k; with fewer than k up, the rest is idle and does not fail. 0 lets them go on failing.

    Raises:
        QuestionError: out of bounds.
    """
    parts, hands = int(checked.count("n", n, least=1)), int(checked.count("repairers", repairers, least=1))
    least = int(checked.count("number needed", needed))
    each, mend = float(checked.positive("rate", rate)), float(checked.positive("repair rate", repair_rate))
    if least > parts:
        raise QuestionError(f"{least} of {parts} can't be needed", "Give at most n.")
    last = parts - least + 1 if least else parts
    births = [(parts - j) * each for j in range(last)]
    return birth_death(births, [min(j + 1, hands) * mend for j in range(last)])


def covered_pair(
    rate: float, repair_rate: float, *, coverage: float, failover_rate: float, by_hand_rate: float
) -> Generator:
    """Two that both work; the loss of one is taken over quickly or, if that fails, slowly; one repairer.

    States `GOOD` (both up), `FAILOVER` (taking over), `BY_HAND` (taking over failed; the slow way), `ONE` up, `NONE` up.
    Arcs: GOOD -2Lc-> FAILOVER -> ONE, GOOD -2L(1-c)-> BY_HAND -> ONE, ONE -m-> GOOD, ONE -L-> NONE, NONE -m-> ONE.
    No second failure while taking over: that takes seconds or minutes.

    Args:
        rate: L of one, above 0.
        repair_rate: m, above 0.
        coverage: c, the chance that taking over works by itself, 0 to 1.
        failover_rate: one over its mean duration, above 0.
        by_hand_rate: one over the mean duration of the slow way, above 0.

    Raises:
        QuestionError: out of bounds.

    Source:
        D. I. Heimann, N. Mittal, K. S. Trivedi (1990), Availability and reliability modeling for computer systems,
        Advances in Computers 31, sec. 2.5, as quoted in public texts.
    """
    one, mend = float(checked.positive("rate", rate)), float(checked.positive("repair rate", repair_rate))
    covered = float(checked.chance("coverage", coverage))
    quick = float(checked.positive("failover rate", failover_rate))
    slow = float(checked.positive("by-hand rate", by_hand_rate))
    return generator(
        5,
        [
            (GOOD, FAILOVER, 2 * one * covered),
            (GOOD, BY_HAND, 2 * one * (1 - covered)),
            (FAILOVER, ONE, quick),
            (BY_HAND, ONE, slow),
            (ONE, GOOD, mend),
            (ONE, NONE, one),
            (NONE, ONE, mend),
        ],
    )


def standby_pair(
    rate: float,
    dormant_rate: float = 0.0,
    *,
    switches: float = 1.0,
    repair_rate: float = 0.0,
    repairers: int = 1,
    by_hand_rate: float = 0.0,
) -> Generator:
    """One works and one stands by, cold (dormant rate 0), warm, or hot (dormant rate = rate).

    States `BOTH` good, `SINGLE` good and working, `STUCK` (the standby is good and did not take over), `DOWN` (both failed).
    Arcs: BOTH -sL + L_d-> SINGLE, BOTH -(1-s)L-> STUCK, SINGLE -L-> DOWN, STUCK -L_d-> DOWN, STUCK -by hand-> SINGLE,
    and with repair: SINGLE and STUCK -m-> BOTH, DOWN -min(2, c) m-> SINGLE.
    A dormant failure is seen and mended like any other; if it is not, see `hidden_standby`.

    Args:
        rate: L of the one that works, above 0.
        dormant_rate: L_d of the one that stands by, 0 or more.
        switches: s, the chance that it takes over, 0 to 1.
        repair_rate: m, 0 for none.
        repairers: c, 1 or more.
        by_hand_rate: one over the mean time until it is started by hand, 0 for never.

    Raises:
        QuestionError: out of bounds.
    """
    works, stands = (
        float(checked.positive("rate", rate)),
        float(checked.not_negative("dormant rate", dormant_rate)),
    )
    s = float(checked.chance("chance to take over", switches))
    mend = float(checked.not_negative("repair rate", repair_rate))
    hands = int(checked.count("repairers", repairers, least=1))
    started = float(checked.not_negative("by-hand rate", by_hand_rate))
    return generator(
        4,
        [
            (BOTH, SINGLE, s * works + stands),
            (BOTH, STUCK, (1 - s) * works),
            (SINGLE, DOWN, works),
            (SINGLE, BOTH, mend),
            (STUCK, DOWN, stands),
            (STUCK, SINGLE, started),
            (STUCK, BOTH, mend),
            (DOWN, SINGLE, min(2, hands) * mend),
        ],
    )


def hidden_standby(
    rate: float, dormant_rate: float, *, repair_rate: float, found_rate: float = 0.0
) -> Generator:
    """One works, the other stands by and fails without anybody seeing it.

    States `READY` (both good), `BARE` (the standby has failed, nobody knows), `TAKEN_OVER` (the first failed, is seen and
    is being mended), `OUT` (nothing works).
    Arcs: READY -L-> TAKEN_OVER, READY -L_d-> BARE, BARE -found-> READY, BARE -L-> OUT, TAKEN_OVER -m-> READY,
    TAKEN_OVER -L-> OUT, OUT -m-> TAKEN_OVER.
    Unless faults are found (found rate 0), repairing quickly hardly helps: OUT is reached by way of BARE,
    after about 1/L_d + 1/L whatever m is.

    Args:
        rate: L of the one that works, above 0.
        dormant_rate: L_d of the hidden faults, 0 or more.
        repair_rate: m, above 0.
        found_rate: tests per unit of time that find the fault, mending included; a test every T finds it after T/2 on average.

    Raises:
        QuestionError: out of bounds.

    Source:
        The effect: A. Birolini, Reliability Engineering, Example 6.16 and eq. 6.223-6.225; the chain by hand.
    """
    works, stands = (
        float(checked.positive("rate", rate)),
        float(checked.not_negative("dormant rate", dormant_rate)),
    )
    mend = float(checked.positive("repair rate", repair_rate))
    found = float(checked.not_negative("found rate", found_rate))
    return generator(
        4,
        [
            (READY, TAKEN_OVER, works),
            (READY, BARE, stands),
            (BARE, READY, found),
            (BARE, OUT, works),
            (TAKEN_OVER, READY, mend),
            (TAKEN_OVER, OUT, works),
            (OUT, TAKEN_OVER, mend),
        ],
    )
