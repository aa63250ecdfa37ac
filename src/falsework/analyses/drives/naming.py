"""What is a layout called, and in which words are its figures told?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from math import floor, log10

from falsework.analyses.drives.result import Apart, Layout, Plan, Stick, StoreOdds, Survives
from falsework.errors import counted, few
from falsework.units import YEAR_S, Dimension
from falsework.units import format as said


def scheme_says(plan: Plan) -> str:
    """`2 copies, apart by node`, `3 arrays of double parity over 6 drives, each in one machine`."""
    if plan.apart is not Apart.IN_ONE:
        kept = f", room of {counted(plan.spares, 'drive')} kept free" if plan.spares else ""
        return f"{plan.scheme}, apart by {plan.apart.value}{kept}"
    width, count = len(plan.groups[0].sticks), len(plan.groups)
    machines = len({group.sticks[0].bay for group in plan.groups})
    spare = f", {counted(plan.spares, 'spare')} in each machine" if plan.spares else ""
    where = "in one machine" if machines == 1 else "each in one machine"
    if plan.scheme == "single":
        return f"{counted(count, 'drive')} without redundancy"
    if plan.scheme == "mirror":
        return f"{counted(count, 'mirrored pair')}, {where}{spare}"
    if count == 1:
        return f"{plan.scheme} over {counted(width, 'drive')}, in one machine{spare}"
    return f"{counted(count, 'array')} of {plan.scheme} over {width} drives, {where}{spare}"


def plan_says(plan: Plan) -> str:
    """`2 copies, apart by node, on 4 x 4 TB`."""
    return f"{scheme_says(plan)}, on {sizes_say(plan.sticks)}"


def sizes_say(sticks: Iterable[Stick]) -> str:
    """`4 x 4 TB and 2 x 2 TB`, the largest first."""
    counts = Counter(each.size_bytes for each in sticks)
    parts = [
        f"{count} x {said(size, Dimension.DATA)}" for size, count in sorted(counts.items(), reverse=True)
    ]
    return few(parts, len(parts)) or "none"


def survives_says(may: Survives) -> str:
    """`any 2 drives, or any node`; what is not survived is not named."""
    parts = [
        any_says(count, word)
        for count, word in ((may.drives, "drive"), (may.nodes, "node"), (may.enclosures, "enclosure"))
        if count
    ]
    return ", or ".join(parts) or "nothing"


def any_says(count: int, word: str) -> str:
    """`any drive`, `any 2 drives`."""
    return f"any {word}" if count == 1 else f"any {count} {word}s"


def survives_short(may: Survives) -> str:
    """`2/1/1`, drives, nodes and enclosures, for a table."""
    return f"{may.drives}/{may.nodes}/{may.enclosures}"


def chance_says(chance: float) -> str:
    """`1 in 70 000`, to two figures; a chance close to certain in percent."""
    if chance <= 0:
        return "none"
    if chance >= 0.095:
        return f"{chance * 100:.0f} %"
    whole = 1 / chance
    if whole > 1e15:
        return "under 1 in 1e15"
    rounded = _two_figures(whole)
    return f"1 in {rounded:,.0f}" if rounded < 1e7 else f"1 in {_power(rounded)}"


def mean_says(seconds: float) -> str:
    """A mean time until data is lost."""
    if seconds == float("inf"):
        return "never"
    years = seconds / YEAR_S
    if years >= 1e7:
        return f"{_power(years)} years"
    if years < 100:
        return said(seconds, Dimension.TIME)
    return f"{_two_figures(years):,.0f} years"


def _two_figures(value: float) -> float:
    step = 10.0 ** (floor(log10(value)) - 1)
    return round(value / step) * step


def _power(value: float) -> str:
    return f"{value:.0e}".replace("e+0", "e").replace("e+", "e")


def exposed_says(each: Layout | StoreOdds) -> str:
    """`12 h after 2 days`: how long a rebuild takes, and what passes before it begins."""
    rebuild = said(each.rebuild_s, Dimension.TIME)
    return f"{rebuild} after {said(each.begins_s, Dimension.TIME)}" if each.begins_s else rebuild
