"""How is told how much energy is used and what it costs, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.power.energy_result import Energy, Money, Used
from falsework.analyses.power.telling import watts
from falsework.errors import few, listed

ENERGY_HEAD = ("machines", "ordinary day", "kWh a year", "cost a year", "of it")


def energy_says(found: Energy) -> str:
    """`7,188 kWh a year on ordinary days, 2,732 EUR (5,940 to 8,418 kWh if all were always idle or always busy)`."""
    if not found.used:
        return "nobody says what machines draw, so there is no energy to add up"
    cost = f", {listed(map(money_said, found.costs))}" if found.costs else ""
    said = f"{found.kwh:,.0f} kWh a year on ordinary days{cost}"
    if found.low_kwh < found.high_kwh:
        said += f" ({found.low_kwh:,.0f} to {found.high_kwh:,.0f} kWh if all were always idle or always busy)"
    return said


def money_said(each: Money) -> str:
    """`2,732 EUR`; with its cents where it is little."""
    return (
        f"{each.amount:,.0f} {each.currency}" if each.amount >= 100 else f"{each.amount:,.2f} {each.currency}"
    )


def energy_notes(found: Energy) -> tuple[str, ...]:
    """What is not in it, sentences without their full stops."""
    if not found.used:
        return ()
    said = []
    if found.unpriced:
        whence = f"nobody says what energy from {few(found.unpriced)} costs"
        if found.costs:
            said.append(f"{whence}; {found.unpriced_kwh:,.0f} kWh of it are in no sum of money")
        else:
            said.append(f"{whence}: give it `energy costs: 0.30 EUR/kWh`")
    said.append("the energy of cooling is not in it, nor that of what nobody says draws anything")
    return tuple(said)


def alike(found: Energy) -> tuple[tuple[Used, ...], ...]:
    """Machines that use as much at the same cost, together; the most first."""
    groups: dict[tuple[object, ...], list[Used]] = {}
    for each in found.used:
        costs = tuple((one.currency, round(one.amount, 6)) for one in each.costs)
        groups.setdefault((each.loss, round(each.kwh, 6), costs), []).append(each)
    return tuple(
        tuple(group) for group in sorted(groups.values(), key=lambda group: -group[0].kwh * len(group))
    )


def energy_row(found: Energy, group: Sequence[Used]) -> tuple[str, ...]:
    """What stands under `ENERGY_HEAD`, for machines that are alike: each, and the share of all of them."""
    each = group[0]
    name = few([one.name for one in group])
    together = each.kwh * len(group)
    return (
        f"{name} (its own loss)" if each.loss else name if len(group) == 1 else f"{name}, each",
        watts(each.watts),
        f"{each.kwh:,.0f}",
        listed(map(money_said, each.costs)) if each.costs else "-",
        f"{together / found.kwh * 100:.0f} %" if found.kwh else "-",
    )
