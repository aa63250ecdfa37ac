"""How long do bridges and link groups take to find another way?

The timers are those of the standards; the sums are reckoned here. A switch can be set to other timers, so each is
only what is taken where the owner does not say `settles in` or `notices in`.
"""

from __future__ import annotations

HELLO_S = 2.0
"""Between two messages of a bridge (IEEE 802.1D, default of Hello Time)."""
MAX_AGE_S = 20.0
"""How long a bridge believes what it heard last (IEEE 802.1D, default of Max Age)."""
FORWARD_DELAY_S = 15.0
"""How long a port listens, and again how long it learns, before it passes traffic on (IEEE 802.1D, default)."""
LOST_HELLOS = 3
"""Messages that may fail to come before a neighbour counts as lost (IEEE 802.1D-2004, 17.21.23)."""
FAST_S = 1.0
"""Between two messages of a link group with short timeout (IEEE 802.1AX, Fast_Periodic_Time)."""
SLOW_S = 30.0
"""The same with long timeout (IEEE 802.1AX, Slow_Periodic_Time)."""
MISSED = 3
"""Messages that may fail to come before a member is left out (IEEE 802.1AX, timeouts are three periods)."""
AGGREGATE_WAIT_S = 2.0
"""How long a member that comes back waits before it is used again (IEEE 802.1AX, Aggregate_Wait_Time)."""


def spanning_tree_s(*, direct: bool = False) -> float:
    """How long a classic spanning tree takes, seconds.

    Args:
        direct: the bridge itself saw the cable go dark, so it need not wait for what it heard to age.

    Source:
        IEEE 802.1D timers: Max Age, where the failure is not seen directly, then Forward Delay twice (listening,
        learning): 30 s direct, 50 s indirect.
    """
    return (0.0 if direct else MAX_AGE_S) + 2 * FORWARD_DELAY_S


def rapid_spanning_tree_s() -> float:
    """How long a rapid spanning tree takes at the worst, seconds: until three messages have not come.

    Where the cable goes dark, or the neighbour answers, it is usually done in less than one second.

    Source:
        IEEE 802.1D-2004: a neighbour is lost after three Hello Times.
    """
    return LOST_HELLOS * HELLO_S


def link_group_s(*, fast: bool = True) -> float:
    """How long a link group goes on using a member that fails without going dark, seconds.

    Args:
        fast: whether it asks for messages with short timeout.

    Source:
        IEEE 802.1AX: Short_Timeout_Time 3 x 1 s, Long_Timeout_Time 3 x 30 s.
    """
    return MISSED * (FAST_S if fast else SLOW_S)
