"""How likely is it that a tested group fails on demand, with repairs, shared causes and tests that miss some?

The formulas of IEC 61508-6 for groups of one to three alike parts. Symbols, and the fields of `Group`:

- L_DU `hidden_rate`: faults that only the test shows; L_DD `shown_rate`: faults that show themselves at once;
  L_D their sum.
- T1 `interval` between tests, MRT `mend_found` the time to mend what a test found,
  MTTR `mend_shown` the time to notice and mend what showed itself.
- b `hidden_shared`, bD `shown_shared`: the share of either kind that takes all parts at once (beta factor).
- c `found`: the share of hidden faults that a test finds; the rest stays until T2 `renewal`, when the part is new.

D(j) = c L_DU (T1/j + MRT) + (1 - c) L_DU (T2/j + MRT) + L_DD MTTR, and the mean times down that a fault costs are
t_CE = D(2) / L_D, t_GE = D(3) / L_D, t_G2E = D(4) / L_D. Faults of one part alone come at the rate
i = (1 - bD) L_DD + (1 - b) L_DU, and those that take all cost C = b (the hidden part of D(2)) + bD L_DD MTTR.

They hold while L_D x T1 is small (below about 0.1), and they are no bound: for 1-of-3 per unit of time the formula
lies at less than half of what a simulation gives (`per_time_1oo3`).
`latent.hidden_share_group` is exact where repairs and shared causes don't matter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import QuestionError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """Alike parts that are tested together. All fields broadcast.

    Attributes:
        hidden_rate: L_DU per unit of time, 0 or more.
        shown_rate: L_DD, 0 or more; not both 0.
        interval: T1, above 0, in the same unit as all times here.
        mend_found: MRT, 0 or more.
        mend_shown: MTTR, 0 or more.
        hidden_shared: b, 0 to 1.
        shown_shared: bD, 0 to 1.
        found: c, 0 to 1; 1 is a test that finds everything.
        renewal: T2, at least T1; used only where c is below 1.

    Raises:
        QuestionError: out of bounds, or a repair that is longer than the mean time between faults.
    """

    hidden_rate: ArrayLike
    shown_rate: ArrayLike = 0.0
    interval: ArrayLike
    mend_found: ArrayLike = 0.0
    mend_shown: ArrayLike = 0.0
    hidden_shared: ArrayLike = 0.0
    shown_shared: ArrayLike = 0.0
    found: ArrayLike = 1.0
    renewal: ArrayLike | None = None

    def __post_init__(self) -> None:
        hidden = checked.not_negative("rate of hidden faults", self.hidden_rate)
        shown = checked.not_negative("rate of shown faults", self.shown_rate)
        life = 1.0 / checked.positive("rate of all faults", np.asarray(hidden + shown))
        checked.repaired_within_life(life, self.mend_found)
        checked.repaired_within_life(life, self.mend_shown)
        interval = checked.positive("interval", self.interval)
        checked.chance("shared part of hidden faults", self.hidden_shared)
        checked.chance("shared part of shown faults", self.shown_shared)
        missing = checked.chance("share of hidden faults found", self.found) < 1
        if self.renewal is not None:
            new = checked.positive("renewal", self.renewal)
            if np.any(new < interval):
                raise QuestionError(
                    "parts are renewed more often than they are tested",
                    "Give a renewal of at least the interval.",
                )
        elif np.any(missing):
            raise QuestionError(
                "a test misses some faults, and no renewal is given",
                "Say after how long the part is made new.",
            )


@dataclass(frozen=True, slots=True)
class _Terms:
    """What all the formulas are put together from."""

    alone: FloatArray  # i, rate of faults that take one part
    hidden_alone: FloatArray  # (1 - b) L_DU
    hidden_all: FloatArray  # b L_DU
    all_down: FloatArray  # C, share of time all are down from one cause
    t_ce: FloatArray
    t_ge: FloatArray
    t_g2e: FloatArray
    all_faults: FloatArray  # L_D


def on_demand_1oo1(group: Group) -> FloatArray:
    """The mean chance that a single part fails on demand: L_D t_CE.

    Raises:
        QuestionError: the formula gives more than 1, far out of where it holds.

    Source:
        IEC 61508-6:2010, B.3.2.2.1, as quoted in public texts.
    """
    terms = _terms(group)
    return _sane(terms.all_faults * terms.t_ce)


def on_demand_1oo2(group: Group) -> FloatArray:
    """The mean chance that both of a pair have failed: 2 i^2 t_CE t_GE + C.

    Raises:
        QuestionError: as `on_demand_1oo1`.

    Source:
        IEC 61508-6:2010, B.3.2.2.2, as quoted in public texts.
    """
    terms = _terms(group)
    return _sane(2 * terms.alone**2 * terms.t_ce * terms.t_ge + terms.all_down)


def on_demand_2oo2(group: Group) -> FloatArray:
    """The mean chance that any of two that are both needed has failed: 2 L_D t_CE, shared causes counted twice.

    Raises:
        QuestionError: as `on_demand_1oo1`.

    Source:
        IEC 61508-6:2010, B.3.2.2.3, from memory.
    """
    terms = _terms(group)
    return _sane(2 * terms.all_faults * terms.t_ce)


def on_demand_2oo3(group: Group) -> FloatArray:
    """The mean chance that at least two of three have failed: 6 i^2 t_CE t_GE + C.

    Raises:
        QuestionError: as `on_demand_1oo1`.

    Source:
        IEC 61508-6:2010, B.3.2.2.5, as quoted in public texts.
    """
    terms = _terms(group)
    return _sane(6 * terms.alone**2 * terms.t_ce * terms.t_ge + terms.all_down)


def on_demand_1oo3(group: Group) -> FloatArray:
    """The mean chance that all of three have failed: 6 i^3 t_CE t_GE t_G2E + C.

    Raises:
        QuestionError: as `on_demand_1oo1`.

    Source:
        IEC 61508-6:2010, B.3.2.2.6, as quoted in public texts.
    """
    terms = _terms(group)
    return _sane(6 * terms.alone**3 * terms.t_ce * terms.t_ge * terms.t_g2e + terms.all_down)


def per_time_1oo1(group: Group) -> FloatArray:
    """Failures of a single part per unit of time, those that show themselves taken as made safe: L_DU.

    Source:
        IEC 61508-6:2010, B.3.3.2.1, as quoted in public texts.
    """
    terms = _terms(group)
    return np.asarray(terms.hidden_alone + terms.hidden_all)


def per_time_1oo2(group: Group) -> FloatArray:
    """Failures of a pair per unit of time: 2 i (1 - b) L_DU t_CE + b L_DU.

    Source:
        IEC 61508-6:2010, B.3.3.2.2, as quoted in public texts.
    """
    terms = _terms(group)
    return np.asarray(2 * terms.alone * terms.hidden_alone * terms.t_ce + terms.hidden_all)


def per_time_2oo2(group: Group) -> FloatArray:
    """Failures of any of two that are both needed per unit of time: 2 L_DU, shared causes counted twice.

    Source:
        IEC 61508-6:2010, B.3.3.2.3, from memory.
    """
    return np.asarray(2 * per_time_1oo1(group))


def per_time_2oo3(group: Group) -> FloatArray:
    """Failures of two of three per unit of time: 6 i (1 - b) L_DU t_CE + b L_DU.

    Source:
        IEC 61508-6:2010, B.3.3.2.5, as quoted in public texts.
    """
    terms = _terms(group)
    return np.asarray(6 * terms.alone * terms.hidden_alone * terms.t_ce + terms.hidden_all)


def per_time_1oo3(group: Group) -> FloatArray:
    """Failures of all of three per unit of time: 6 i^2 (1 - b) L_DU t_CE t_GE + b L_DU.

    No bound: it leaves out that the last part may fail by a fault that shows itself. With shown faults of the
    same order as hidden ones it lies at less than half of what a simulation gives.

    Source:
        IEC 61508-6:2010, B.3.3.2.6, as quoted in public texts; the shortfall: Omeiri, Innal, Liu (2021),
        JESA 54(6), Table 5, as quoted.
    """
    terms = _terms(group)
    return np.asarray(6 * terms.alone**2 * terms.hidden_alone * terms.t_ce * terms.t_ge + terms.hidden_all)


def _terms(group: Group) -> _Terms:
    hidden, shown = np.asarray(group.hidden_rate, float), np.asarray(group.shown_rate, float)
    t1, mrt, mttr = (np.asarray(each, float) for each in (group.interval, group.mend_found, group.mend_shown))
    b, b_d = np.asarray(group.hidden_shared, float), np.asarray(group.shown_shared, float)
    c = np.asarray(group.found, float)
    t2 = t1 if group.renewal is None else np.asarray(group.renewal, float)

    def hidden_down(j: int) -> FloatArray:
        return np.asarray(c * hidden * (t1 / j + mrt) + (1 - c) * hidden * (t2 / j + mrt))

    total = np.asarray(hidden + shown)
    t_ce, t_ge, t_g2e = (np.asarray((hidden_down(j) + shown * mttr) / total) for j in (2, 3, 4))
    return _Terms(
        alone=np.asarray((1 - b_d) * shown + (1 - b) * hidden),
        hidden_alone=np.asarray((1 - b) * hidden),
        hidden_all=np.asarray(b * hidden),
        all_down=np.asarray(b_d * shown * mttr + b * hidden_down(2)),
        t_ce=t_ce,
        t_ge=t_ge,
        t_g2e=t_g2e,
        all_faults=total,
    )


def _sane(found: FloatArray) -> FloatArray:
    if np.any(found > 1):
        raise QuestionError(
            f"the formula gives a chance of {np.max(found):.3g}, far from where it holds",
            "Test more often, or ask for the exact share without repairs.",
        )
    return np.asarray(found)
