"""Which figures of power were taken where the owner gave none, and what hangs on them?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.power.result import Feed, Supplied
from falsework.analyses.power.supplies import EFFICIENCY, HIGH_EFFICIENCY, LOW_EFFICIENCY, curve_of, gives
from falsework.engines.electrical import CONTINUOUS_SHARE, lasting_limit
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Powered, Strip, ThingId
from falsework.support.power import UNSAID_V, Draw, Draws
from falsework.support.taken import Taken

FACTOR = 0.95
"""The power factor of a machine, where nobody says it."""
LOW_FACTOR, HIGH_FACTOR = 0.90, 0.99
FACTOR_SOURCE = (
    "assumed; published design guides for computers' supplies ask for at least 0.9 at half load, and small ones "
    "without correction lie near 0.6"
)
LOW_V, HIGH_V = 115.0, 240.0


def taken(
    lab: Lab, draws: Mapping[Draw, Draws], feeds: Sequence[Feed], supplied: Sequence[Supplied]
) -> tuple[Taken, ...]:
    """Every figure that was taken, with the result that hangs on it at either end of what is usual."""
    used = [feed for feed in feeds if feed.machines]
    return (
        *_usual(lab, draws),
        *_factor(lab, draws, used),
        *_volts(lab, feeds),
        *_lasting(lab, draws[Draw.BUSY], used),
        *_efficiency(lab, draws, supplied, {feed.id: feed.volts for feed in feeds}),
    )


def _usual(lab: Lab, draws: Mapping[Draw, Draws]) -> Iterator[Taken]:
    """What machines draw on an ordinary day, where only idle and busy are told."""
    idle, usual, busy = (draws[draw] for draw in Draw)
    unsaid: dict[str, None] = {}
    at = dict.fromkeys((idle, busy), 0.0)
    for name, parts in usual.shares.items():
        ends = {each: dict(each.shares[name]) for each in at}
        for part, watts in parts:
            thing = lab.things[ThingId(part)]
            said = isinstance(thing, Powered) and thing.usually_draws is not None
            if not said and ends[idle][part] != ends[busy][part]:
                unsaid[part] = None
            for each, found in ends.items():
                at[each] += watts if said else found[part]
    if unsaid:
        total = sum(usual.consumers.values())
        yield Taken(
            key="usually draws",
            things=tuple(unsaid),
            value="half-way between idle and busy",
            source="assumed",
            of=f"what all machines draw on an ordinary day ({total:,.0f} W)",
            low=f"{at[idle]:,.0f} W",
            high=f"{at[busy]:,.0f} W",
            where=lab.things[ThingId(next(iter(unsaid)))].where,
        )


def _factor(lab: Lab, draws: Mapping[Draw, Draws], feeds: Sequence[Feed]) -> Iterator[Taken]:
    unsaid = [name for name in draws[Draw.BUSY].consumers if _power_factor(lab, name) is None]
    if not unsaid:
        return
    behind = set(unsaid)
    hung = [feed for feed in feeds if behind.intersection(feed.machines)]
    most = max(hung, key=lambda feed: feed.most.share or 0.0, default=None)
    said: dict[str, str] = {}
    if most is not None:
        # Only those that say nothing change: their part is taken as large as it is when busy.
        part = sum(draws[Draw.BUSY].consumers[name] for name in most.machines if name in behind)
        whole = sum(draws[Draw.BUSY].consumers.get(name, 0.0) for name in most.machines)
        moving = part / FACTOR / (part / FACTOR + (whole - part)) if whole else 0.0
        va = most.most.volt_amperes
        after = f" after the loss of {most.worst.lost}" if most.worst is not None else ""
        said = {
            "of": f"what {most.id} carries{after} ({va:,.0f} VA)",
            "low": f"{va * (1 - moving + moving * FACTOR / LOW_FACTOR):,.0f} VA",
            "high": f"{va * (1 - moving + moving * FACTOR / HIGH_FACTOR):,.0f} VA",
        }
    yield Taken(
        key="power factor",
        things=tuple(unsaid),
        value=f"{FACTOR:g}",
        source=FACTOR_SOURCE,
        where=lab.things[ThingId(unsaid[0])].where,
        **said,
    )


def _power_factor(lab: Lab, name: str) -> float | None:
    thing = lab.things[ThingId(name)]
    return thing.power_factor if isinstance(thing, Powered) else None


def _volts(lab: Lab, feeds: Sequence[Feed]) -> Iterator[Taken]:
    unsaid = [
        feed for feed in feeds if not feed.volts_said and (feed.word == "circuit" or feed.limits.amperes)
    ]
    if not unsaid:
        return
    breakers = [feed for feed in unsaid if feed.limits.amperes]
    said: dict[str, str] = {}
    if breakers and (breaker := breakers[0].limits.amperes):
        said = {
            "of": f"what {breakers[0].id} can carry ({breaker * UNSAID_V:,.0f} W)",
            "low": f"{breaker * LOW_V:,.0f} W at {LOW_V:g} V",
            "high": f"{breaker * HIGH_V:,.0f} W at {HIGH_V:g} V",
        }
    yield Taken(
        key="volts",
        things=tuple(feed.id for feed in unsaid),
        value=f"{UNSAID_V:g} V",
        source="IEC 60038: 230 V is the standard low voltage; change it where yours differs",
        where=unsaid[0].where,
        **said,
    )


def _lasting(lab: Lab, busy: Draws, feeds: Sequence[Feed]) -> Iterator[Taken]:
    circuits = [each for each in lab.of(Circuit) if each.breaker and each.for_hours is None]
    loose = [
        each
        for each in lab.of(Strip)
        if each.breaker
        and not any(isinstance(lab.things[ThingId(at)], Circuit) for at in busy.chain(each.id))
    ]
    names = {each.id for each in (*circuits, *loose)}
    hung = [feed for feed in feeds if feed.id in names and feed.limits.watts]
    if not names:
        return
    said: dict[str, str] = {}
    if hung:
        most = max(hung, key=lambda feed: feed.most.share or 0.0)
        limit = most.limits.watts or 0.0
        said = {
            "of": f"what {most.id} may carry for hours ({lasting_limit(limit):,.0f} W)",
            "low": f"{lasting_limit(limit):,.0f} W",
            "high": f"{limit:,.0f} W",
        }
    yield Taken(
        key="for hours",
        things=tuple(each.id for each in (*circuits, *loose)),
        value=f"{CONTINUOUS_SHARE * 100:g} %",
        source="NEC 210.20(A), as quoted in public notes: a breaker is rated for 125 % of a load of three hours or "
        "more; local codes differ",
        where=(*circuits, *loose)[0].where,
        **said,
    )


def _efficiency(
    lab: Lab, draws: Mapping[Draw, Draws], supplied: Sequence[Supplied], volts: Mapping[str, float]
) -> Iterator[Taken]:
    unsaid = [each for each in supplied if not each.efficiency_said]
    if not unsaid:
        return
    busy = draws[Draw.BUSY]
    worst = max(unsaid, key=lambda each: max((give.share or 0.0 for give in each.gives), default=0.0))
    thing = lab.things[ThingId(worst.machine)]
    ends = []
    if isinstance(thing, Powered):
        for share in (LOW_EFFICIENCY, HIGH_EFFICIENCY):
            curve = curve_of(thing, unsaid=share)
            made = gives(thing, busy, volts, curve)
            ends.append(max((give.alone for give in made), default=0.0))
    now = max((give.alone for give in worst.gives), default=0.0)
    yield Taken(
        key="efficiency",
        things=tuple(each.machine for each in unsaid),
        value=f"{EFFICIENCY * 100:g} %",
        source="assumed; the lowest and highest of the published levels give 80 and 94 %",
        of=f"what a supply of {worst.machine} gives at the worst ({now:,.0f} W)",
        low=f"{ends[0]:,.0f} W" if ends else "",
        high=f"{ends[1]:,.0f} W" if ends else "",
        where=worst.where,
    )
