"""Which rack bears too much, could tip, or is not deep enough?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.rack import RackSheet, racks
from falsework.analyses.rack.telling import SINKS_M, any_one, faults, pulled_says, sinks_says, stands_says
from falsework.errors import few
from falsework.findings.finding import WEIGHT_CAUTION, Finding, Level
from falsework.model.lab import Lab
from falsework.model.parts import Rack, ThingId

ENOUGH_KNOWN = 0.5
"""The share of the weight in a rack that the owner must have told before anything is said of it."""


def rack(lab: Lab) -> Iterator[Finding]:
    """What is wrong with racks, where the owner told most of the weight; a rack of guesses is left alone."""
    for sheet in racks(lab).racks if lab.of(Rack) else ():
        if _known(sheet) >= ENOUGH_KNOWN:
            yield from _weight(sheet)
            yield from _tips(sheet)
            yield from _high_up(sheet)
        yield from _deep(lab, sheet)


def _known(sheet: RackSheet) -> float:
    """The share of what is in it that the owner gave a weight."""
    unsaid = {name for each in sheet.taken if each.key == "weighs" for name in each.things}
    told = sum(each.mass_kg for each in sheet.mounted if each.thing not in unsaid)
    return told / sheet.load_kg if sheet.load_kg > 0 else 0.0


def _weight(sheet: RackSheet) -> Iterator[Finding]:
    rolling = sheet.rolling is not None and sheet.rolling.too_much
    if sheet.too_heavy or rolling:
        heaviest = sorted(sheet.mounted, key=lambda each: -each.mass_kg)
        yield Finding(
            code="rack overloaded",
            level=Level.REMARK,
            says=f"{sheet.rack}: " + ", and ".join(faults(sheet)[: sheet.too_heavy + rolling]),
            mend=f"take out some of {few([each.thing for each in heaviest], 3)}"
            + (", or put it on stronger casters or on feet" if rolling else ""),
            where=sheet.where,
            things=(sheet.rack,),
            caution=WEIGHT_CAUTION,
        )


def _tips(sheet: RackSheet) -> Iterator[Finding]:
    if not sheet.stands:
        yield Finding(
            code="rack could tip",
            level=Level.REMARK,
            says=f"{sheet.rack} fails a test of stability as it stands",
            why=(stands_says(sheet),),
            mend=f"put {_high(sheet)} lower, or fix the rack to the building",
            where=sheet.where,
            things=(sheet.rack,),
            caution=WEIGHT_CAUTION,
        )
    elif sheet.pulled and sheet.pulled[0].tips:
        yield Finding(
            code="rack could tip",
            level=Level.REMARK,
            says=f"{sheet.rack} tips over when {any_one([each.thing for each in sheet.pulled if each.tips])} is pulled out on its rails",
            why=(pulled_says(sheet),),
            mend="fix the rack to the building, or fold out feet before a machine is pulled out",
            where=sheet.where,
            things=(sheet.rack, sheet.pulled[0].thing),
            caution=WEIGHT_CAUTION,
        )


def _high_up(sheet: RackSheet) -> Iterator[Finding]:
    """Only where it would sink much, since things stand where they do for reasons of cables and air too."""
    if sheet.sinks.by_m >= SINKS_M:
        things = sheet.sinks.things
        yield Finding(
            code="heavy high up",
            level=Level.REMARK,
            says=f"{sheet.rack} has {few(things, 3)} higher than need be",
            why=(sinks_says(sheet),),
            mend=f"mount {few(things, 3)} lower when {'it is' if len(things) == 1 else 'they are'} next taken out",
            where=sheet.where,
            things=(sheet.rack, *things[:3]),
            caution=WEIGHT_CAUTION,
        )


def _high(sheet: RackSheet) -> str:
    """What does most to lift the centre of gravity."""
    return (
        max(
            (each for each in sheet.mounted if not each.upright),
            key=lambda each: each.mass_kg * each.place.height_m,
        ).thing
        if any(not each.upright for each in sheet.mounted)
        else "what is in it"
    )


def _deep(lab: Lab, sheet: RackSheet) -> Iterator[Finding]:
    """Only where both depths are told."""
    rack = lab.things[ThingId(sheet.rack)]
    if not isinstance(rack, Rack) or rack.depth is None:
        return
    unsaid = {name for each in sheet.taken if each.key == "depth" for name in each.things}
    deep = [each for each in sheet.mounted if each.depth_m > rack.depth and each.thing not in unsaid]
    if deep:
        most = max(deep, key=lambda each: each.depth_m)
        beyond = (most.depth_m - rack.depth) * 1000
        yield Finding(
            code="deeper than its rack",
            level=Level.REMARK,
            says=f"{few([each.thing for each in deep])} {'is' if len(deep) == 1 else 'are'} deeper than {sheet.rack}, {most.thing} by {beyond:.0f} mm",
            mend="mount it in a deeper rack, or leave the door off and mind the cables behind it",
            where=deep[0].where,
            things=(sheet.rack, *(each.thing for each in deep)),
            caution=WEIGHT_CAUTION,
        )
