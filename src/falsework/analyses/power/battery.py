"""How long does each battery last: now, when the power is cut, and after each loss that brings it more load?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.power.battery_result import Age, Batteries, Battery, From, Runtime
from falsework.analyses.power.result import Feed, Feeds
from falsework.model.parts import Ups
from falsework.support.power import (
    DEPTH,
    INVERTER,
    UNSAID_RUNTIME_S,
    Draw,
    left,
    limit_w,
    runtime_s,
)
from falsework.support.standing import Standing
from falsework.support.taken import Taken
from falsework.units import format_time

_NOISE_W = 1e-6
"""Of sums of watts."""


def batteries(standing: Standing, sheet: Feeds) -> Batteries:
    """How long each battery lasts.

    Args:
        standing: the lab.
        sheet: who carries how much, of the same lab; its losses are those that are told here.
    """
    feeds = {feed.id: feed for feed in sheet.feeds}
    found = tuple(
        _battery(ups, feeds[ups.id], sheet, standing)
        for ups in standing.lab.of(Ups)
        if ups.id not in standing.out
    )
    return Batteries(batteries=found, taken=tuple(_taken(standing, found)))


def _battery(ups: Ups, feed: Feed, sheet: Feeds, standing: Standing) -> Battery:
    now = (feed.idle.watts, feed.usual.watts, feed.busy.watts)
    cut = tuple(_runtime(ups, draw.value, standing.draws(draw).alone_w(ups.id)) for draw in Draw)
    more = [
        (loss.lost, watts)
        for loss in sheet.lost
        for source, watts in loss.carries
        if source == ups.id and watts > feed.busy.watts + _NOISE_W
    ]
    share = left(ups)
    aged = runtime_s(ups, cut[-1].watts) * ups.left if ups.runs and ups.left is not None else None
    return Battery(
        ups=ups.id,
        reckoned=From.CURVE if ups.runs else From.ENERGY if ups.battery is not None else From.NOTHING,
        carries=limit_w(ups, {}),
        cut=cut,
        alone=tuple(_runtime(ups, draw.value, watts) for draw, watts in zip(Draw, now, strict=True)),
        losses=tuple(_runtime(ups, lost, watts) for lost, watts in sorted(more, key=lambda each: -each[1])),
        left=share,
        age=Age.SAID if ups.left is not None else Age.HOURS if ups.hours is not None else Age.UNSAID,
        aged_s=aged,
        where=ups.where,
    )


def _runtime(ups: Ups, when: str, watts: float) -> Runtime:
    limit = limit_w(ups, {})
    share = watts / limit if limit else None
    over = share is not None and share > 1 + 1e-9
    new = None
    if ups.battery is not None and not ups.runs:
        new = runtime_s(replace(ups, left=1.0), watts)
    return Runtime(
        when=when,
        watts=watts,
        lasts_s=0.0 if over else runtime_s(ups, watts),
        new_s=new,
        share=share,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Default:
    """A figure that is taken for a battery whose energy is told.

    Attributes:
        key: of the lab file.
        value: as people say it.
        source: who says so.
        low, high: the ends of what is usual, that with the shorter runtime first.
        put: the battery with that figure.
        unsaid: whether it is taken.
    """

    key: str
    value: str
    source: str
    low: float
    high: float
    put: Callable[[Ups, float], Ups]
    unsaid: Callable[[Ups], bool]


_DEFAULTS = (
    _Default(
        key="usable",
        value=f"{DEPTH * 100:g} %",
        source="common practice",
        low=0.5,
        high=1.0,
        put=lambda ups, value: replace(ups, usable=value),
        unsaid=lambda ups: ups.usable is None,
    ),
    _Default(
        key="inverter",
        value=f"{INVERTER * 100:g} %",
        source="common practice",
        low=0.8,
        high=0.95,
        put=lambda ups, value: replace(ups, inverter=value),
        unsaid=lambda ups: ups.inverter is None,
    ),
    _Default(
        key="left",
        value="100 %, as new",
        source="assumed; by common practice a lead battery is at the end of its life at 80 %, in three to five years",
        low=0.6,
        high=1.0,
        put=lambda ups, value: replace(ups, left=value),
        unsaid=lambda ups: ups.left is None and ups.hours is None,
    ),
    _Default(
        key="left",
        value="by its hours, a straight line to 80 % in five years",
        source="assumed; by common practice a lead battery is at the end of its life then, and heat halves it",
        low=0.5,
        high=1.0,
        put=lambda ups, value: replace(ups, left=value),
        unsaid=lambda ups: ups.left is None and ups.hours is not None,
    ),
    _Default(
        key="exponent",
        value="1, no loss to a fast discharge",
        source="assumed; lead batteries lie between 1.1 and 1.3, lithium ones near 1.05",
        low=1.3,
        high=1.0,
        put=lambda ups, value: replace(ups, exponent=value),
        unsaid=lambda ups: ups.exponent is None,
    ),
    _Default(
        key="rated over",
        value="20 h",
        source="common practice for lead batteries",
        low=20 * 3600.0,
        high=1 * 3600.0,
        put=lambda ups, value: replace(ups, rated_over=value),
        # Without an exponent it changes nothing.
        unsaid=lambda ups: ups.rated_over is None and ups.exponent is not None and ups.exponent > 1,
    ),
)


def _taken(standing: Standing, found: Sequence[Battery]) -> Iterator[Taken]:
    worst = {each.ups: _telling(each) for each in found}
    all_ups = [ups for ups in standing.lab.of(Ups) if ups.id in worst]
    by_energy = [ups for ups in all_ups if ups.battery is not None and not ups.runs]
    for default in _DEFAULTS:
        unsaid = [ups for ups in by_energy if default.unsaid(ups)]
        if not unsaid:
            continue
        ups = min(unsaid, key=lambda each: worst[each.id].lasts_s)
        yield Taken(
            key=default.key,
            things=tuple(each.id for each in unsaid),
            value=default.value,
            source=default.source,
            where=ups.where,
            **_ends(ups, worst[ups.id], default),
        )
    unknown = [ups for ups in all_ups if ups.battery is None and not ups.runs]
    if unknown:
        yield Taken(
            key="runs",
            things=tuple(ups.id for ups in unknown),
            value=format_time(UNSAID_RUNTIME_S),
            source="assumed; give `runs` or `battery`",
            where=unknown[0].where,
        )


def _telling(battery: Battery) -> Runtime:
    """The runtime at the cut by which is told what hangs on a figure: the busiest that it carries."""
    return next((each for each in reversed(battery.cut) if not each.over), battery.cut[-1])


def _ends(ups: Ups, worst: Runtime, default: _Default) -> dict[str, str]:
    if worst.watts <= 0 or worst.over:
        return {}
    low, high = (runtime_s(default.put(ups, value), worst.watts) for value in (default.low, default.high))
    return {
        "of": f"how long {ups.id} lasts at {worst.watts:,.0f} W, when the power is cut ({format_time(worst.lasts_s)})",
        "low": format_time(low),
        "high": format_time(high),
    }
