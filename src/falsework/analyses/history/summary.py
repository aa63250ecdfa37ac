"""What is to be said of a run in a line: how it ended, what was seen, and whether it was as foretold?"""

from __future__ import annotations

import math

from falsework import units
from falsework.analyses.comparing import Sort
from falsework.analyses.history.told import Past
from falsework.errors import counted
from falsework.record.observed import Observed, Outage, Run
from falsework.units import Dimension


def seconds_said(seconds: float) -> str:
    """A time as it was measured: to a tenth of a second below a minute, to the second above."""
    if seconds < 10:
        tenths = f"{seconds:.1f}".removesuffix(".0")
        return f"{tenths} s"
    return units.format(float(round(seconds, 1 if seconds < 60 else 0)), Dimension.TIME)


def outage_said(outage: Outage, until_s: float) -> str:
    """How long an outage lasted, and how sure that is.

    Args:
        outage: one.
        until_s: as far as the run is known, seconds since it began.
    """
    if math.isinf(outage.good_again_s):
        return f"{seconds_said(max(until_s - outage.from_s, 0.0))} or more, it was not over"
    if math.isinf(outage.good_s):
        return f"{seconds_said(outage.lasts_s)} or more, it was out from the start"
    return f"{seconds_said(outage.lasts_s)} ± {seconds_said(outage.within_s)}"


def ended_said(run: Run, *, runs: bool = False) -> str:
    """How far a run goes: `12 min`, `12 min so far`, or `cut off after 12 min`.

    Args:
        run: the run.
        runs: whether its stopwatch still runs.
    """
    long = seconds_said(run.until_s)
    return long if run.ended else f"{long} so far" if runs else f"cut off after {long}"


def seen_said(observed: Observed) -> str:
    """What the probes saw, a clause."""
    probes = observed.probes
    if not probes:
        return "no probe asked"
    silent = [each for each in probes if not each.yes]
    out = [each for each in probes if each.outages and each.yes]
    said = []
    if out:
        until_s = observed.run.until_s
        longest = max(
            ((min(outage.until_s, until_s) - outage.from_s, each) for each in out for outage in each.outages),
            key=lambda found: found[0],
        )
        what = f"{len(out)} of {counted(len(probes), 'probe')} {'was' if len(out) == 1 else 'were'} out"
        who = "" if len(out) == 1 and len(probes) == 1 else f", {longest[1].probe}" if len(out) == 1 else ""
        most = (
            f", {longest[1].probe} longest, for " if len(out) > 1 else " for " if not who else f"{who}, for "
        )
        said.append(f"{what}{most}{seconds_said(longest[0])}")
    if silent:
        who = silent[0].probe if len(silent) == 1 else str(len(silent))
        said.append(f"{who} {'was' if len(silent) == 1 else 'were'} never answered well")
    return "; ".join(said) or f"{counted(len(probes), 'probe')} answered all the time"


def judged_said(past: Past) -> str:
    """Whether it was as foretold, a clause; empty for a run in which nothing was tried."""
    found = past.comparison
    if found is None:
        return past.why_not if past.observed.run.drill or past.observed.run.lost else ""
    wrong = found.sorted(Sort.WRONG)
    if wrong:
        first = f"{wrong[0].thing} {wrong[0].wrong.value}"
        return first if len(wrong) == 1 else f"{len(wrong)} of {len(found.seen)} wrong: {first}, and others"
    late = found.sorted(Sort.SLOWER)
    early = found.sorted(Sort.FASTER)
    if late or early:
        said = [
            f"{len(some)} {word}" + (f" ({some[0].thing})" if len(some) == 1 else "")
            for some, word in ((late, "slower"), (early, "faster"))
            if some
        ]
        return f"as foretold, but {' and '.join(said)}"
    return "as foretold" if found.seen else "nothing was seen that was foretold"
