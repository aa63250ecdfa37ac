"""What does not come back, can't be built, or is built in a wrong order?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.analyses.aims import cold_reasons, few
from falsework.analyses.build import Buildable
from falsework.analyses.cold_start import ColdStart
from falsework.analyses.order import Order
from falsework.findings.finding import Finding, Level
from falsework.support.standing import Standing


def cold(result: ColdStart, standing: Standing) -> Iterator[Finding]:
    """What does not come back after a power cut."""
    services = [name for name in result.stuck if standing.support.things[name].word == "service"]
    if not result.stuck:
        return
    names = services or list(result.stuck)
    first = (
        result.circles[0][0] if result.circles else (result.by_hand or result.too_early or result.stuck)[0]
    )
    yield Finding(
        code="stays down",
        level=Level.REMARK,
        says=f"after a power cut {few(names)} {'does' if len(names) == 1 else 'do'} not come back without hands",
        why=tuple(cold_reasons(result)),
        mend=_cold_mend(result),
        where=standing.support.things[first].where,
        things=result.stuck,
        services=tuple(services),
    )


def _cold_mend(result: ColdStart) -> str:
    if result.circles:
        return "cut the circle: reach one of them by a fixed address, keep a local copy, or give it a second provider outside"
    if result.by_hand:
        return f"let {few(result.by_hand)} come on by itself when power returns"
    return "let it keep trying, or start it after what it needs"


_SLIPS: Mapping[str, tuple[str, str]] = {
    "unmet": (
        "step {step}: {thing} needs {on}, which is not there yet",
        "bring {on} before, or lend a stand-in for it",
    ),
    "two owners": (
        "from step {step} both {on} and {thing} serve",
        "retire {on} in the step that brings {thing}, or in the next",
    ),
    "left": ("{on} is never retired", "add a step with retires: {on}"),
    "breaks": (
        "step {step} stops {thing}, which still leans on {on}",
        "repoint {thing} before {on} is retired",
    ),
    "address": (
        "step {step} takes away {on}, whose address {thing} has learnt",
        "add repoints: {thing} before, or give the service an address that moves",
    ),
}


def order(result: Order) -> Iterator[Finding]:
    """Slips in the hand-written order of work."""
    for slip in result.slips:
        says, how = _SLIPS[slip.what]
        values = {"step": slip.step, "thing": slip.thing, "on": slip.on}
        yield Finding(
            code="order",
            level=Level.REMARK,
            says=says.format(**values),
            mend=how.format(**values),
            where=slip.where,
            things=(slip.thing, slip.on),
        )


def build(result: Buildable, standing: Standing) -> Iterator[Finding]:
    """What nothing could build."""
    if not result.stuck:
        return
    yield Finding(
        code="can't be built",
        level=Level.REMARK,
        says=f"{few(result.stuck)} can't be built from nothing: each needs another of them first",
        mend="accept a stand-in for one of them under stand-ins",
        where=standing.support.things[result.stuck[0]].where,
        things=result.stuck,
    )
