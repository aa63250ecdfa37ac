"""What does the wire not survive, or survive with a pause, that no verdict tells?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework import units
from falsework.analyses.verdicts import Verdict, losses
from falsework.analyses.wire.layout import wanted
from falsework.analyses.wire.loops import loops
from falsework.analyses.wire.managed import managed
from falsework.analyses.wire.one_port import limits
from falsework.analyses.wire.pauses import pauses
from falsework.analyses.wire.result import Managed, Pause, too_full
from falsework.analyses.wire.telling import (
    limit_mend,
    limit_says,
    loop_mend,
    loop_says,
    moment_says,
    never_says,
    start_says,
    unreached_says,
)
from falsework.analyses.wire.traffic import traffic, wires_of
from falsework.errors import counted, few
from falsework.findings.finding import Finding, Level
from falsework.model.parts import Cable, Controller, ThingId
from falsework.model.people import Aim
from falsework.model.services import Service
from falsework.support.bundles import bundles
from falsework.support.carriers import speed_of
from falsework.support.standing import Standing
from falsework.units import Dimension, format_time


def wire(standing: Standing) -> Iterator[Finding]:
    """Circles, limits of one-port machines, controllers out of reach, pauses, and traffic that does not get through."""
    if not standing.lab.of(Cable):
        return
    wires = wires_of(standing)
    for loop in loops(standing.lab, wires):
        if not loop.sound:
            yield Finding(
                code="circle of switches",
                level=Level.BROKEN if loop.uncut else Level.REMARK,
                says=loop_says(loop),
                mend=loop_mend(loop),
                where=loop.where,
                things=loop.uncut or loop.ring,
            )
    for limit in limits(standing, wires):
        if limit.falls_by and not limit.possible:
            yield Finding(
                code="one port is too few",
                level=Level.REMARK,
                says=limit_says(limit),
                mend=limit_mend(limit),
                where=limit.where,
                things=tuple(limit.one_port),
                services=(limit.service,),
            )
    yield from _ports(standing)
    yield from _traffic(standing)
    yield from _managed(standing)
    yield from _pauses(standing, pauses(standing, wires))


def _ports(standing: Standing) -> Iterator[Finding]:
    """Machines that would find no port, and groups whose cables run at different speeds."""
    unwired = wanted(standing.lab)
    if unwired.short:
        count = counted(unwired.short, "port")
        yield Finding(
            code="no port left",
            level=Level.REMARK,
            says=f"{few(unwired.machines)} want {sum(unwired.ports.values())} ports of switches, and {count} too few are free",
            mend="add a switch, or take cables out that nobody needs",
            where=standing.lab.things[ThingId(unwired.machines[0])].where,
            things=unwired.machines,
        )
    for bundle in bundles(standing.lab, standing.support.networks):
        if not bundle.group:
            continue
        cables = [each for each in standing.lab.named(bundle.cables) if isinstance(each, Cable)]
        said = (speed_of(standing.lab, cable) for cable in cables)
        speeds = sorted({speed for speed in said if speed is not None})
        if len(speeds) > 1:
            both = " and ".join(units.format(speed, Dimension.SPEED) for speed in (speeds[0], speeds[-1]))
            yield Finding(
                code="group of two speeds",
                level=Level.REMARK,
                says=f"the cables of {bundle.group} between {few(bundle.boxes)} run at {both}; most machines join only cables of one speed (IEEE 802.1AX-2008)",
                mend="let all of its cables run at one speed, or take the others out of the group",
                where=cables[0].where,
                things=bundle.cables,
            )


def _traffic(standing: Standing) -> Iterator[Finding]:
    """What services send and does not get through: now, and after the worst loss."""
    if not any(service.sends for service in standing.lab.of(Service)):
        return
    told = traffic(standing, together=False)
    full = [moment for moment in told.after if too_full(moment)]
    for moment in [told.now] if told.now.short > 0 else full[:1]:
        streams = [each.stream for each in moment.passed if each.short > 0]
        more = len(full) - 1
        yield Finding(
            code="traffic does not get through",
            level=Level.REMARK,
            says=moment_says(moment),
            why=(f"{counted(more, 'more loss', 'more losses')} leave something short",)
            if moment.lost and more > 0
            else (),
            mend="lay another cable, or a faster one; `falsework wire` tells which is full",
            where=streams[0].where if streams else None,
            things=moment.lost,
            services=tuple(dict.fromkeys(stream.service for stream in streams)),
        )


def _managed(standing: Standing) -> Iterator[Finding]:
    """Controllers that are out of reach just when they are needed: with the machines that they are for."""
    found = managed(standing)
    if found.never:
        yield _reach(standing, found, never_says(found), found.never)
    holders = {each.holder for each in standing.lab.of(Controller)}
    for each in found.after:
        # A switch or cable of their own network is no surprise; a machine that one would mend through them is.
        if holders & set(each.lost):
            lost = next(name for name in each.lost if name in holders)
            yield _reach(
                standing,
                found,
                unreached_says(each, found),
                each.controllers,
                standing.lab.things[ThingId(lost)].id,
            )
            break
    if found.at_start:
        yield _reach(standing, found, start_says(found), found.at_start)


def _reach(
    standing: Standing, found: Managed, says: str, controllers: tuple[str, ...], lost: str = ""
) -> Finding:
    at = standing.lab.things[ThingId(lost or controllers[0])]
    return Finding(
        code="controllers out of reach",
        level=Level.REMARK,
        says=says,
        mend="let what leads to them run on machines that they are not for",
        where=at.where,
        things=controllers,
    )


def _pauses(standing: Standing, found: tuple[Pause, ...]) -> Iterator[Finding]:
    """Aims that a pause would break, then the longest pause of services that the verdicts let stand."""
    broken: set[str] = set()
    for aim in standing.lab.aims:
        finding = _aim(standing, aim, found)
        if finding is not None:
            broken.update(finding.services)
            yield finding
    hard = [pause for pause in found if any(each.service not in broken for each in pause.services)]
    if hard:
        worst = max(hard, key=lambda pause: (pause.seconds, len(pause.services)))
        names = dict.fromkeys(
            each.service for pause in hard for each in pause.services if each.service not in broken
        )
        parts = [part for pause in hard for part in pause.lost]
        told = [each for each in worst.services if each.service not in broken]
        first = told[0]
        yield Finding(
            code="pause on the wire",
            level=Level.REMARK,
            says=f"lose {worst.lost[0]}: the wire takes up to {format_time(worst.seconds)} to find another way, and {few([each.service for each in told])} {'pauses' if len(told) == 1 else 'pause'} though nothing of {'it' if len(told) == 1 else 'them'} falls",
            why=(
                first.because,
                *(
                    (f"{counted(len(parts), 'part')} in all make {counted(len(names), 'service')} pause so",)
                    if len(parts) > 1
                    else ()
                ),
            ),
            mend=f"say that they can bear it (`for {format_time(worst.seconds)}` behind the need), or let the switches settle faster",
            where=standing.support.things[first.service].where,
            things=worst.lost,
            services=tuple(names),
        )


def _aim(standing: Standing, aim: Aim, found: tuple[Pause, ...]) -> Finding | None:
    """What is told of an aim that no interruption may be longer than so much, and that a pause would be."""
    if aim.blinks_under is None or aim.lose is None:
        return None
    asked = set(aim.lose.ids)
    of = set(aim.of.ids) if aim.of else set(standing.support.services)
    for pause in found:
        lost = [part for part in pause.lost if part in asked]
        if not lost or pause.seconds <= aim.blinks_under:
            continue
        hit = [
            each.service for each in pause.services if each.service in of and each.seconds > aim.blinks_under
        ]
        if not hit and len(pause.apart) > 0:
            # What blinks over a wire that is still settling is away for as long as that takes.
            (loss,) = losses(standing, [(lost[0],)])
            hit = [
                each.service for each in loss.effects if each.service in of and each.verdict is Verdict.BLINKS
            ]
        if hit:
            return Finding(
                code="pause on the wire",
                level=Level.REMARK,
                says=f"{aim.name}: lose {lost[0]}, and the wire itself takes up to {format_time(pause.seconds)} to find another way, longer than the {format_time(aim.blinks_under)} that {few(hit)} may be away",
                mend=f"let the switches settle in less than {format_time(aim.blinks_under)}: rapid spanning tree, or cables in groups",
                where=aim.where,
                things=tuple(lost),
                services=tuple(hit),
            )
    return None
