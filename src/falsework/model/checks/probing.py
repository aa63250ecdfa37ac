"""Do probes and drills contradict themselves?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.model.checks.bounds import Bound, bounded
from falsework.model.drilling import Drill, Probe
from falsework.model.entries import Tell
from falsework.model.parts import Thing
from falsework.units import DAY_S, Dimension

SOONEST_S = 0.01
"""A hundred times a second: oftener a question is a burden and no look."""
MOST_PATIENCE_S = 600.0

_PROBE = {
    "every": Bound(
        says="it asks every {}",
        dimension=Dimension.TIME,
        least=SOONEST_S,
        most=DAY_S,
        mend="give 10 ms to 1 day, such as 1 s",
    ),
    "patience": Bound(
        says="it waits {} for an answer",
        dimension=Dimension.TIME,
        least=SOONEST_S,
        most=MOST_PATIENCE_S,
        mend="give 10 ms to 10 min, such as 1 s",
    ),
}
_DRILL = {
    "stop_after": Bound(
        says="it is given up after {}",
        dimension=Dimension.TIME,
        mend="give the time after which it is put back, such as 10 min",
    )
}
_NAMES_PARTS = ("loss", "cut")


def probing(firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in probes and drills.

    Args:
        firm: things in which no fault was met.
        tell: notes faults.
    """
    for thing in firm:
        if isinstance(thing, Probe):
            bounded(thing, _PROBE, tell)
            _shares(thing, tell)
            if thing.whole is not None and thing.sees is not None:
                what = "it shows whether a store is whole, and sees something else besides, it says"
                tell.fault(thing, "sees", what, "leave out one of `sees` and `whole`, or write two probes")
        elif isinstance(thing, Drill):
            bounded(thing, _DRILL, tell)
            _named(thing, tell)


def _shares(probe: Probe, tell: Tell) -> None:
    """A probe that errs as often as not shows nothing."""
    for attribute, share in (("false_alarms", probe.false_alarms), ("misses", probe.misses)):
        if share is not None and not 0 <= share.low <= share.high < 0.5:
            said = units.format(share.high if share.high >= 0.5 else share.low, Dimension.SHARE)
            what = f"{said} of its answers are wrong, it says"
            tell.fault(probe, attribute, what, "give less than half, such as 0.1 %, or mend the probe")


def _named(drill: Drill, tell: Tell) -> None:
    """What is taken out has a name; what else is tried may be left to the tool to name."""
    if drill.tries in _NAMES_PARTS and drill.loses is None:
        tell.fault(drill, "tries", f"a {drill.tries} of nothing", "name what it takes out under `loses`")
