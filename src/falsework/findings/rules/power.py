"""Which source of power is asked for too much, and which battery ends too soon?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.shutdown import Shutdown
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION, Finding, Level
from falsework.model.parts import Circuit, Strip
from falsework.support import power
from falsework.support.graph import Role
from falsework.support.standing import Standing
from falsework.units import Dimension

LONG_SHARE = 0.8
"""For loads of three hours or more: at most 80 % of the breaker (NEC 210.20(A), as quoted in public notes)."""


def trips(standing: Standing) -> Iterator[Finding]:
    """Sources that trip when another one is lost, and those that are loaded close to their limit as it is."""
    for load in standing.support.loads:
        others = sorted({supply for _, _, supplies in load.draws for supply in supplies})
        sources = sorted({each for supply in others for each in _sources(standing, supply)})
        for source, view in zip(sources, standing.views([(source,) for source in sources]), strict=True):
            if not view.up(load.source) and source not in _chain(standing, load.source):
                carried = load.carried_w(view.up)
                yield Finding(
                    code="trips",
                    level=Level.REMARK,
                    says=f"lose {source}: {load.source} would have to carry {carried:,.0f} W and trips above {load.limit_w:,.0f} W",
                    mend=f"move machines off {load.source}, or feed it from a stronger circuit",
                    where=standing.support.things[load.source].where,
                    things=(load.source, source),
                    caution=POWER_CAUTION,
                )
                break
    draws = power.Draws(standing.lab)
    volts = power.volts_at(standing.lab, draws)
    for thing in (*standing.lab.of(Circuit), *standing.lab.of(Strip)):
        limit = power.limit_w(thing, volts)
        usual = draws.carried_w(thing.id)
        if limit and usual > limit * LONG_SHARE:
            yield Finding(
                code="close to the limit",
                level=Level.REMARK,
                says=f"{thing.id} carries {usual:,.0f} W when busy, {usual / limit:.0%} of what it is rated for",
                why=(f"for loads that last three hours or more the common rule is at most {LONG_SHARE:.0%}",),
                mend="move machines to another circuit",
                where=thing.where,
                things=(thing.id,),
                caution=POWER_CAUTION,
            )


def _sources(standing: Standing, supply: str) -> tuple[str, ...]:
    lean = next((lean for lean in standing.support.things[supply].leans if lean.role is Role.POWER), None)
    return lean.on if lean else ()


def _chain(standing: Standing, source: str) -> tuple[str, ...]:
    return power.Draws(standing.lab).chain(source)


def shutdown(results: Sequence[Shutdown], standing: Standing) -> Iterator[Finding]:
    """Batteries that end too soon, and messages that do not arrive."""
    for result in results:
        where = standing.support.things[result.ups].where
        if result.cut_hard:
            last = max(result.done_s.values())
            short = units.format(-result.spare_s, Dimension.TIME)
            latest = result.latest_signal_s - result.latest_signal_s % (
                60.0 if result.latest_signal_s >= 120.0 else 1.0
            )
            yield Finding(
                code="battery too short",
                level=Level.REMARK,
                says=(
                    f"{result.ups} lasts {units.format(result.runtime_s, Dimension.TIME)}, and stopping in order takes until "
                    f"{units.format(last, Dimension.TIME)}: {few(result.cut_hard)} {'is' if len(result.cut_hard) == 1 else 'are'} cut hard, {short} short"
                ),
                why=("the load is taken as constant, the careful assumption", _falling(result)),
                # Never rounded up: a minute later would be too late.
                mend=f"signal at most {units.format(latest, Dimension.TIME)} after the cut"
                if result.latest_signal_s > 0
                else "take a larger battery, or less load",
                where=where,
                things=(result.ups, *result.cut_hard),
                caution=DATA_CAUTION,
            )
        if result.unreached:
            fallen = dict.fromkeys(hop.name for way in result.ways if not way.arrives for hop in way.falls)
            yield Finding(
                code="message not delivered",
                level=Level.REMARK,
                says=f"{result.ups} tells {few(result.unreached)} to stop over {'a way that is down by then' if fallen else 'wire that does not lead there'}",
                why=(f"{few([*fallen])} {'has' if len(fallen) == 1 else 'have'} no power any more",)
                if fallen
                else (),
                mend=f"feed {few([*fallen])} from the battery too" if fallen else "lay a cable to them",
                where=where,
                things=(result.ups, *result.unreached),
            )


def _falling(result: Shutdown) -> str:
    """What the load does as things stop."""
    if not result.cut_falling:
        return "as the load falls it would last; the figures must be right for that"
    return f"as the load falls {few(result.cut_falling)} {'is' if len(result.cut_falling) == 1 else 'are'} cut hard even so"
