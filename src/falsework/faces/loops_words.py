"""How is the way out of loops said in words?"""

from __future__ import annotations

from falsework.analyses.loops import Cut, Cuts
from falsework.units import format_time


def cheapest_says(cuts: Cuts) -> str:
    """What the cheapest way out of all loops of a kind costs, or that there is none; without its last sign."""
    if cuts.left:
        return f"Nothing would cut all loops {cuts.kind}: {', '.join(cuts.left[:6])} would still wait"
    sure = "nothing cheaper does it" if cuts.proven else f"nothing does it under {format_time(cuts.bound_s)}"
    return f"The cheapest way out of all loops {cuts.kind}, {format_time(cuts.costs_s)} of work; {sure}"


def cut_says(cut: Cut) -> str:
    """A way to cut a loop, and what it costs."""
    return f"{cut.says}: {format_time(cut.costs_s)}{' (assumed)' if cut.assumed else ''}"
