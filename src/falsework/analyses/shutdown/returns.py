"""Which machines stay off when the power comes back before the stop is through?

A machine that has stopped in order is off, and wakes only when it sees its power go away and come back. From the
moment when it is told it can't be called back. So a return of the power after that and before its power is
really gone leaves it off, unless its battery switches its outlets off by itself afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.shutdown.result import Machine, Returns, Waking
from falsework.model.parts import Node

ROUNDING_S = 1e-6


def after_loss(node: Node) -> Waking:
    """What a machine that was stopped in order does when its power has been away: as it was means off."""
    if node.power_back in (None, "on"):
        return Waking.ITSELF
    return Waking.SETTING


def window(
    told_s: float, gone_s: float, cuts_s: Sequence[tuple[float, float] | None]
) -> tuple[float, float] | None:
    """The moments between which a return of the power leaves a machine off; None where there are none.

    Args:
        told_s: when it is told.
        gone_s: when the last of its supplies has no power if nothing comes back, at the load as it falls.
        cuts_s: for each of its supplies, when the battery behind it signals, and when it switches its outlets off
            after that; None where no battery does, so that this supply has power from the return on.

    Returns:
        From when it is told until its power is gone. Where all its supplies are switched off by their
        batteries at one moment, only until the last of these has signalled: from then on they switch off even
        though the power has returned, and it sees its power go and come back. (If it was still stopping it
        was cut hard, and wakes all the same.)
    """
    cuts = [each for each in cuts_s if each is not None]
    if cuts and len(cuts) == len(cuts_s) and len({at for _, at in cuts}) == 1:
        gone_s = min(gone_s, max(signal for signal, _ in cuts))
    return (told_s, gone_s) if gone_s > told_s + ROUNDING_S else None


def returns(machines: Sequence[Machine]) -> Returns | None:
    """What a return of the power half-way leaves off, at its worst moment.

    Args:
        machines: those that one battery tells, in lab order; those set to stay off are told apart, since every
            return finds them off.

    Returns:
        None where everything comes back by itself whenever the power does.
    """
    set_off = tuple(each.name for each in machines if each.after is Waking.SETTING)
    windows = {each.name: each.stays_off for each in machines if each.stays_off is not None}
    if not windows:
        return (
            Returns(window_s=None, worst_s=None, off=(), elsewhere=(), set_off=set_off) if set_off else None
        )
    # Most are off at a moment at which one of the windows begins.
    worst = min(
        {begin for begin, _ in windows.values()},
        key=lambda at: (-sum(begin <= at < end for begin, end in windows.values()), at),
    )
    found = [name for name, (begin, end) in windows.items() if begin <= worst < end]
    return Returns(
        window_s=(min(begin for begin, _ in windows.values()), max(end for _, end in windows.values())),
        worst_s=worst,
        off=tuple(found),
        elsewhere=tuple(each.name for each in machines if each.name in found and each.elsewhere),
        set_off=set_off,
    )
