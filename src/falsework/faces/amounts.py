"""How are minutes a year, how often, and shares said, so that no figure looks surer than it is?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.odds.result import CutSet, CutSets, Out, Within
from falsework.units import Dimension

MANY = {2: "pair", 3: "set of three", 4: "set of four", 5: "set of five", 6: "set of six"}
"""What a cut set of so many members is called."""


def minutes_said(minutes: float) -> str:
    """Minutes a year as people say them, to two or three figures: `34 min`, `5 h 12 min`, `under 1 s`."""
    seconds = minutes * 60.0
    if seconds <= 0.0:
        return "0 min"
    return "under 1 s" if seconds < 1.0 else units.format(seconds, Dimension.TIME)


def range_said(figure: Within) -> str:
    """The range of a figure, `2 h to 13 h`; empty where it has none."""
    if figure.low == figure.high:
        return ""
    return f"{minutes_said(figure.low)} to {minutes_said(figure.high)}"


def bounds_said(lower: float, upper: float) -> str:
    """Between which bounds minutes are proven to lie; where both read the same, how close they are."""
    low, high = minutes_said(lower), minutes_said(upper)
    if low == high:
        return f"proven to within {minutes_said(upper - lower)}"
    return f"proven to lie between {low} and {high}"


def often_said(per_year: float) -> str:
    """How often something happens: `2.1 times a year`, `once in 40 years`, `never`."""
    if per_year <= 0.0:
        return "never"
    if per_year > 0.95:
        times = _figures(per_year)
        return "once a year" if times == "1" else f"{times} times a year"
    years = _figures(1.0 / per_year)
    return f"once in {years} years"


def lasting_said(seconds: float) -> str:
    """How long something lasts; nobody reads the minutes of half a week."""
    for least, step in ((2 * 86400.0, 3600.0), (600.0, 60.0)):
        if least <= seconds < float("inf"):
            seconds = round(seconds / step) * step
            break
    return units.format(seconds, Dimension.TIME)


def share_said(share: float) -> str:
    """A share in percent: `62 %`, `0.4 %`, `under 0.1 %`."""
    if 0.0 < share < 0.001:
        return "under 0.1 %"
    return f"{share * 100:.0f} %" if share >= 0.0995 or share == 0.0 else f"{share * 100:.2g} %"


def figure_said(value: float) -> str:
    """A figure without a unit, to three figures: `0.031`, `1.2e-07`; `no end` where it has none."""
    if value == float("inf"):
        return "no end"
    return f"{float(f'{value:.3g}'):,.0f}" if 1e3 <= value < 1e6 else f"{value:.3g}"


def out_said(out: Out) -> str:
    """A member of a cut set: `desk-1`, `ups out for more than 8 h`."""
    return f"{out.name} out for more than {lasting_said(out.age_s)}" if out.age_s > 0 else out.name


def cut_said(cut: CutSet) -> str:
    """A cut set as one clause: `desk-1 and hub`."""
    members = [out_said(each) for each in cut.out]
    return members[0] if len(members) == 1 else f"{', '.join(members[:-1])} and {members[-1]}"


def orders_said(cuts: CutSets) -> str:
    """How many cut sets of each size there are: `7 single parts, 31 pairs, 4 sets of three`."""
    return by_order_said(cuts.by_order)


def by_order_said(by_order: Sequence[int], most: int = 4, *, of: str = "part") -> str:
    """How many sets there are of 1, 2, ... members, in words; those with more than `most` members in one count."""
    said = []
    for order, count in enumerate(by_order[:most], start=1):
        if not count:
            continue
        word = f"single {of}" if order == 1 else MANY.get(order, f"set of {order}")
        if count != 1:
            word = word.replace("set", "sets", 1) if word.startswith("set") else f"{word}s"
        said.append(f"{count:,} {word}")
    larger = sum(by_order[most:])
    if larger:
        said.append(f"{larger:,} larger {'one' if larger == 1 else 'ones'}")
    return ", ".join(said)


def _figures(value: float) -> str:
    """Two figures, whole numbers in full: `1.2`, `42`, `3,000`."""
    rounded = float(f"{value:.2g}")
    return f"{rounded:,.0f}" if rounded >= 10 or rounded == int(rounded) else f"{rounded:g}"
