"""What is the short answer on power?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.power.battery_telling import battery_over
from falsework.analyses.power.heat_telling import heat_says
from falsework.analyses.power.inrush_telling import inrush_says
from falsework.analyses.power.telling import headline
from falsework.analyses.power.whole import Power
from falsework.errors import counted


def short_answer(found: Power) -> str:
    """One line: what is too much, worst first; else what is nearest to its limit."""
    bad = [*_bad(found)]
    if not bad:
        return headline(found.sheet)
    if len(bad) <= 2:
        return "; ".join(bad)
    return f"{bad[0]}; {bad[1]}; {counted(len(bad) - 2, 'more thing is', 'more things are')} too much"


def _bad(found: Power) -> Iterator[str]:
    if found.sheet.bad:
        yield headline(found.sheet)
    for battery in found.batteries.batteries:
        if battery.cut[-1].over:
            yield battery_over(battery)
    if found.inrush.bad:
        yield inrush_says(found.inrush)
    if found.heat.bad:
        yield heat_says(found.heat)
