"""How is it told how long whole copies take over the wire, and what switches can't pass on at once?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.wire.passing import Copying, Subscribed
from falsework.units import Dimension, format_time

COPYING_HEAD = ("a whole copy of", "to", "size", "at most", "takes at least", "every")


def copying_rows(copies: Sequence[Copying]) -> tuple[tuple[str, ...], ...]:
    """A row for each backup, the longest first; what has no way before all others."""
    return tuple(
        (
            each.of,
            each.to,
            units.format(each.size, Dimension.DATA),
            units.format(each.rate, Dimension.SPEED) if each.rate else "no way",
            format_time(each.takes_s) if each.rate else "-",
            format_time(each.every_s) if each.every_s is not None else "-",
        )
        for each in sorted(copies, key=lambda each: -each.takes_s)
    )


def late_says(copies: Sequence[Copying]) -> str:
    """Whole copies that take longer than until the next is due, a sentence without its full stop; empty without any."""
    late = [
        each.of for each in copies if each.rate and each.every_s is not None and each.takes_s > each.every_s
    ]
    if not late:
        return ""
    word = "takes" if len(late) == 1 else "take"
    return f"a whole copy of {', '.join(late)} {word} longer over the wire than until the next one is due"


def forwards_says(edges: Sequence[Subscribed]) -> tuple[str, ...]:
    """Switches whose plugged-in ports could ask for more than they pass on at once, each a sentence."""
    return tuple(
        f"{each.switch} passes on {units.format(each.forwards, Dimension.SPEED)} at once, "
        f"and the cables in it carry {units.format(each.edge + each.all_uplinks, Dimension.SPEED)}: {each.inner:.3g}:1"
        for each in sorted(edges, key=lambda each: -(each.inner or 0.0))
        if each.forwards is not None and each.inner is not None and each.inner > 1.0
    )
