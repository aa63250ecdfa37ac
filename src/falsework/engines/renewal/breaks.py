"""When would each unit break, were it never broken before?

All causes together strike as one Poisson stream, and which of them struck is drawn in proportion to its rate
(superposition of Poisson processes). A strike on a unit that is broken already is passed over: what has no
memory does not mind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Ints, Plan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Breaks:
    """Candidate breaks of several runs, in order of time, one row a run.

    Attributes:
        at_s: (n_runs, most + 1), seconds, filled up with infinity.
        unit: the same shape; 0 where filled up.
        work_s: the same shape, how much work the mending will be, seconds.
    """

    at_s: Floats
    unit: Ints
    work_s: Floats


def breaks(plan: Plan, runs: int, horizon_s: float, rng: np.random.Generator) -> Breaks:
    """Draw every candidate break of every run.

    Args:
        plan: the system.
        runs: how many runs.
        horizon_s: how long each is, seconds.
        rng: where chance comes from.
    """
    rates = np.array([shock.rate for shock in plan.shocks])
    strikes = rng.poisson(rates.sum() * horizon_s, runs)
    run = np.repeat(np.arange(runs), strikes)
    at = rng.random(len(run)) * horizon_s
    sums = np.cumsum(rates)
    drawn = rng.random(len(run)) * (sums[-1] if len(sums) else 0.0)
    shock = np.minimum(np.searchsorted(sums, drawn, side="right"), max(len(rates) - 1, 0))
    # A shock that breaks several units becomes as many candidates of the same moment.
    sizes = np.array([len(shock.units) for shock in plan.shocks], dtype=np.int64)
    members = np.array([unit for shock in plan.shocks for unit in shock.units], dtype=np.int64)
    first = np.cumsum(sizes) - sizes
    count = sizes[shock]
    place = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    unit = members[np.repeat(first[shock], count) + place]
    run, at = np.repeat(run, count), np.repeat(at, count)
    # Lognormal: a mean of exp(m + s^2 / 2), so m = ln(mean) - s^2 / 2.
    spread = plan.spread[unit]
    work = plan.work_s[unit] * np.exp(spread * rng.standard_normal(len(run)) - spread**2 / 2)
    alike = plan.memoryless[unit]
    work[alike] = plan.work_s[unit[alike]] * rng.standard_exponential(int(alike.sum()))
    order = np.lexsort((unit, at, run))
    per_run = np.bincount(run, minlength=runs)
    column = np.arange(len(run)) - np.repeat(np.cumsum(per_run) - per_run, per_run)
    shape = (runs, int(per_run.max(initial=0)) + 1)
    found = Breaks(at_s=np.full(shape, np.inf), unit=np.zeros(shape, dtype=np.int64), work_s=np.zeros(shape))
    found.at_s[run, column] = at[order]
    found.unit[run, column] = unit[order]
    found.work_s[run, column] = work[order]
    return found
