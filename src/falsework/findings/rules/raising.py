"""What does not come back, can't be built, or is built in a wrong order?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.analyses.aims import cold_reasons
from falsework.analyses.build import Buildable
from falsework.analyses.cold_start import ColdStart
from falsework.analyses.order import Order, Slip
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION, Finding, Level
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
    "unseen": (
        "step {step}: {thing} needs {on}, which is there, and not in sight over the wire yet",
        "bring the switch or the service between {thing} and {on} before",
    ),
    "down": (
        "step {step}: {thing} does not stand after it, though all that it needs is there",
        "look at the load of what feeds it, and at the room on its hosts",
    ),
    "two owners": (
        "from step {step} both {on} and {thing} serve",
        "retire {on} in the step that brings {thing}, or in the next, or say with moves: when {thing} takes over",
    ),
    "left": ("{on} is never retired", "add a step with retires: {on}"),
    "state": (
        "step {step} takes away {on}, and {thing}, which it held, was never moved",
        "add moves: {thing} to the step that brings its permanent home, or to this one",
    ),
    "early": (
        "step {step} moves {thing}, and {on} is not there yet",
        "move it in the step that brings {on}, or after it",
    ),
    "breaks": (
        "step {step} stops {thing}, which still leans on {on}",
        "repoint {thing} before {on} is retired",
    ),
    "trips": (
        "step {step} asks more of {thing} than it carries, and stops it",
        "bring the other sources of power before, or this step's machines after them",
    ),
    "address": (
        "step {step} takes away {on}, whose address {thing} has learnt",
        "add repoints: {thing} before, or give the service an address that moves",
    ),
    "again": (
        "step {step} brings {thing}, which is there since an earlier step",
        "leave it out of this step, or retire it in between",
    ),
    "undoes": (
        "step {step} brings {thing} and retires it as well, so it undoes itself",
        "split it into two steps, or leave {thing} out of one of the two keys",
    ),
    "not there": (
        "step {step} speaks of {thing}, which is not there at that time",
        "bring or lend {thing} before, or leave it out",
    ),
    "on itself": (
        "step {step}: {thing} needs {on}, and is itself what stands in for {on}",
        "take the need away, or name another provider beside {on}",
    ),
}


_CAUTIONS: Mapping[str, str] = {
    "state": DATA_CAUTION,
    "early": DATA_CAUTION,
    "two owners": DATA_CAUTION,
    "trips": POWER_CAUTION,
}


def order(result: Order) -> Iterator[Finding]:
    """Slips in the hand-written order of work."""
    for slip in result.slips:
        if slip.what == "never":
            yield _never(result, slip)
            continue
        says, how = _SLIPS[slip.what]
        values = {"step": slip.step, "thing": slip.thing, "on": slip.on}
        yield Finding(
            code="order",
            level=Level.REMARK,
            says=says.format(**values),
            mend=how.format(**values),
            where=slip.where,
            things=(slip.thing, slip.on),
            caution=_CAUTIONS.get(slip.what, ""),
        )


def _never(result: Order, slip: Slip) -> Finding:
    return Finding(
        code="order",
        level=Level.REMARK,
        says=f"no step brings {few(result.never)}",
        mend="add them to the brings: of the steps that make them, or to built: under today",
        where=slip.where,
        things=result.never,
        services=result.never,
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
