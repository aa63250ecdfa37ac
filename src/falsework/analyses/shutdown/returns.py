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
    told_s: float, done_s: float, gone_s: float, cuts_s: Sequence[float | None]
) -> tuple[float, float] | None:
    """The moments between which a return of the power leaves a machine off; None where there are none.

    Args:
        told_s: when it is told.
        done_s: when it has stopped.
        gone_s: when its power is gone if nothing comes back, at the load as it falls.
        cuts_s: for each of its supplies, when the battery behind it switches its outlets off; None where no
            battery does, so that this supply has power from the return on.

    Returns:
        From when it is told until its power is gone. Where all its supplies are switched off by their
        batteries at one moment, and that once it has stopped, it sees its power go and come back even though
        the power returned before: nothing is left of the window then.
    """
    moments = set(cuts_s)
    if len(moments) == 1:
        moment = next(iter(moments))
        if moment is not None and moment >= done_s - ROUNDING_S:
            return None
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
