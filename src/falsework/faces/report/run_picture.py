"""Which part of a run is drawn, and what is drawn beside it of what was foretold?"""

from __future__ import annotations

import math
from collections.abc import Mapping

from falsework.analyses.drilling.result import Foretold
from falsework.analyses.history import Past
from falsework.analyses.verdicts import Verdict
from falsework.errors import counted
from falsework.faces.report.strips import KEY, Strips, first, strips_sheet
from falsework.record.seen import Mark

_BESIDE = 0.06
"""So much of what is drawn is drawn before the first thing that happened, and after the last."""
_MARGIN_S = 5.0


def run_picture(past: Past, *, prefix: str = "run") -> str:
    """A run as SVG; the same run gives the same picture.

    Args:
        past: the run beside what is foretold of it.
        prefix: of ids on a page.
    """
    observed = past.observed
    effects = _foretold(past)
    from_s, until_s = _between(past, effects)
    strips = Strips(seen=observed, effects=effects, from_s=from_s, until_s=until_s)
    says = f"Run {observed.run.number}: {counted(len(first(observed.probes)), 'probe')} on a time line"
    return strips_sheet(strips, says=says, prefix=prefix)


def caption(past: Past) -> str:
    """What the picture shows, for those who read."""
    probes = past.observed.probes
    left = len(probes) - len(first(probes))
    more = f" {counted(left, 'probe')} that saw less {'is' if left == 1 else 'are'} left out." if left else ""
    return f"{KEY}{more}"


def _foretold(past: Past) -> Mapping[str, Foretold]:
    """What was foretold to be interrupted, by service."""
    return {
        each.thing: Foretold(
            service=each.thing,
            verdict=each.foretold.verdict,
            falls_s=each.foretold.falls_s,
            back_s=each.foretold.returns_s,
        )
        for each in (past.comparison.lines if past.comparison else ())
        if each.foretold.verdict >= Verdict.BLINKS and each.probes
    }


def _between(past: Past, effects: Mapping[str, Foretold]) -> tuple[float, float]:
    """From a little before the first thing that happened to a little after the last; all of it where nothing did."""
    run = past.observed.run
    moments = [each.at_s for each in run.marks if each.mark in (Mark.DONE, Mark.PUT_BACK)]
    for probe in past.observed.probes:
        for outage in probe.outages:
            moments += [max(outage.from_s, 0.0), min(outage.until_s, run.until_s)]
    for each in effects.values():
        assert past.comparison is not None
        moments += [
            min(past.comparison.from_s + at_s, run.until_s)
            for at_s in (each.falls_s, each.back_s)
            if math.isfinite(at_s)
        ]
    whole = max(run.until_s, 1.0)
    if not moments:
        return 0.0, whole
    beside = max((max(moments) - min(moments)) * _BESIDE, _MARGIN_S)
    from_s = max(min(moments) - beside, 0.0)
    return from_s, max(min(max(moments) + beside, whole), from_s + 1.0)
