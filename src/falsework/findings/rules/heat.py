"""Which room gets more heat than its cooling carries away, and which battery is at the end of its life?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.power.battery_telling import old
from falsework.analyses.power.heat import heat
from falsework.analyses.power.heat_telling import over_mend, over_says, over_why
from falsework.engines.battery import LEFT_AT_END
from falsework.findings.finding import HEAT_CAUTION, POWER_CAUTION, Finding, Level
from falsework.model.lab import Lab
from falsework.model.parts import Room, Ups
from falsework.support.power import left
from falsework.support.standing import Standing


def too_much_heat(standing: Standing) -> Iterator[Finding]:
    """Rooms whose cooling is told of and is too little when all are busy."""
    if all(room.cools is None for room in standing.lab.of(Room)):
        return
    for room in heat(standing).rooms:
        if room.over:
            yield Finding(
                code="too much heat",
                level=Level.REMARK,
                says=over_says(room),
                why=(over_why(room),),
                mend=over_mend(room),
                where=room.where,
                things=(room.place, *room.machines),
                caution=HEAT_CAUTION,
            )


def old_batteries(lab: Lab) -> Iterator[Finding]:
    """Batteries of which it is told, by what is left or by their hours, that they should be replaced."""
    for ups in lab.of(Ups):
        share = left(ups)
        if old(share):
            key = "left" if ups.left is not None else "hours"
            how = "" if key == "left" else ", going by its hours"
            yield Finding(
                code="battery old",
                level=Level.REMARK,
                says=f"{ups.id} has {share * 100:.0f} % of its new capacity left{how}",
                why=(
                    f"by common practice a lead battery is replaced at {LEFT_AT_END * 100:.0f} %: from there it drops fast",
                ),
                mend=f"test {ups.id} under load, and put in a new battery",
                where=ups.place(key),
                things=(ups.id,),
                caution=POWER_CAUTION,
            )
