"""Which source of power is asked for too much, which supply does not fit, and which battery ends too soon?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.power.naming import sources
from falsework.analyses.power.result import Feed, Supplied
from falsework.analyses.power.sheet import feeds
from falsework.analyses.power.telling import (
    alike,
    lasting_mend,
    lasting_says,
    lasting_why,
    over_mend,
    over_says,
    small_mend,
    small_says,
    va_mend,
    va_says,
)
from falsework.analyses.shutdown import Shutdown
from falsework.engines.electrical import same_system, takes
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION, Finding, Level
from falsework.model.parts import Powered, Supply, ThingId
from falsework.support import power
from falsework.support.standing import Standing
from falsework.units import Dimension, Quantity
from falsework.where import Where


def carried(standing: Standing) -> Iterator[Finding]:
    """Sources that are asked for too much, or nearly, now and after a loss, and supplies that do not fit.

    Only whole sources are lost: a supply alone moves no more than the source that it is plugged into.
    """
    lost = sources(standing)
    if not lost and not standing.lab.of(Supply):
        return
    found = feeds(standing, lose=lost)
    for feed in found.feeds:
        finding = _of_feed(feed)
        if finding is not None:
            yield finding
    for group in alike(found.supplied):
        if group[0].too_small:
            yield _small(group)
    yield from _voltages(standing)


def _of_feed(feed: Feed) -> Finding | None:
    """The worst that is to be told of a source; what is less is in that."""
    things = (feed.id,) if feed.worst is None else (feed.id, feed.worst.lost)
    if feed.over:
        return _remark("trips", over_says(feed), over_mend(feed), feed.where, things)
    if feed.over_va and (feed.factor_said or feed.word == "ups"):
        return _remark("too many volt-amperes", va_says(feed), va_mend(feed), feed.where, things)
    if feed.over_lasting:
        return _remark(
            "close to the limit",
            lasting_says(feed),
            lasting_mend(),
            feed.where,
            things,
            why=(lasting_why(feed),),
        )
    return None


def _small(group: Sequence[Supplied]) -> Finding:
    says = small_says(group[0])
    if len(group) > 1:
        says += f"; so it is with {few([each.machine for each in group[1:]])}"
    machines = tuple(each.machine for each in group)
    return _remark("supply too small", says, small_mend(group[0]), group[0].where, machines)


def _voltages(standing: Standing) -> Iterator[Finding]:
    """Supplies that may not take the voltage that they are plugged into.

    What contradicts itself as it is written is a slip of the file; this is what was assumed, or not said.
    """
    lab = standing.lab
    draws = standing.draws()
    volts = power.volts_at(lab, draws)
    alike: dict[tuple[object, ...], list[Powered]] = {}
    for machine, supplies in draws.supplies.items():
        thing = lab.things[ThingId(machine)]
        at = {supply.source: volts.get(supply.source) for supply in supplies}
        known = sorted({each for each in at.values() if each is not None})
        if not isinstance(thing, Powered) or not known:
            continue
        if thing.accepts is not None:
            wrong = tuple(each for each in known if not takes(each, thing.accepts.low, thing.accepts.high))
            if wrong:
                alike.setdefault((thing.accepts, wrong), []).append(thing)
        elif not same_system(known[0], known[-1]):
            alike.setdefault((None, (known[0], known[-1])), []).append(thing)
    for (accepts, at_volts), machines in alike.items():
        yield _voltage(accepts, at_volts, machines)


def _voltage(accepts: object, volts: object, machines: Sequence[Powered]) -> Finding:
    names = [str(each.id) for each in machines]
    at = (
        " and ".join(units.format(each, Dimension.VOLTAGE) for each in volts)
        if isinstance(volts, tuple)
        else ""
    )
    one = len(names) == 1
    if isinstance(accepts, Quantity):
        says = (
            f"{few(names)} {'takes' if one else 'take'} {units.format_range(accepts, Dimension.VOLTAGE)}, and "
            f"{'is' if one else 'are'} plugged in at {at}, the voltage that was assumed"
        )
        mend = "say the voltage of the circuit: `volts: 115 V`"
    else:
        says = f"{few(names)} {'is' if one else 'are'} fed at {at}, and nobody says that {'its' if one else 'their'} supplies take both"
        mend = "look at their labels and say it: `accepts: 100..240 V`; else feed them from one system"
    return _remark("voltage does not fit", says, mend, machines[0].where, tuple(names))


def _remark(
    code: str,
    says: str,
    mend: str,
    where: Where | None,
    things: tuple[str, ...],
    *,
    why: tuple[str, ...] = (),
) -> Finding:
    return Finding(
        code=code,
        level=Level.REMARK,
        says=says,
        why=why,
        mend=mend,
        where=where,
        things=things,
        caution=POWER_CAUTION,
    )


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
