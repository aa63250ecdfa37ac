"""What would a drill not show, because nobody looks or nobody knows what a probe sees?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.errors import few
from falsework.findings.finding import Finding, Level
from falsework.model.drilling import Probe
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Data
from falsework.support.probing import questions


def drilling(lab: Lab) -> Iterator[Finding]:
    """Services of aims that no probe sees, told once, and probes of which nobody knows what they see.

    Where a lab has no probes, its owner has not begun to watch, and nothing is told.
    """
    asked = questions(lab)
    blind = [each for each in asked if not each.sees and not each.whole]
    if blind:
        several = len(blind) > 1
        yield Finding(
            code="probe sees nothing known",
            level=Level.REMARK,
            says=f"what {few([each.name for each in blind])} {'see' if several else 'sees'} is not known: "
            "no service has the address or the name that is asked",
            mend="say under `sees` what stands if it is answered",
            where=blind[0].where,
            things=tuple(each.name for each in blind),
        )
    seen = {each.sees for each in asked}
    unseen = [name for name in _of_aims(lab) if name not in seen]
    if asked and unseen:
        one = len(unseen) == 1
        yield Finding(
            code="not watched",
            level=Level.REMARK,
            says=f"{few(unseen)} {'is' if one else 'are'} what aims are about, and no probe sees {'it' if one else 'them'}",
            why=("a drill shows of a service only what a probe sees",),
            mend="add a probe that asks what its users ask",
            where=lab.of(Probe)[0].where,
            things=tuple(unseen),
            services=tuple(unseen),
        )


def _of_aims(lab: Lab) -> tuple[str, ...]:
    """What aims name, but for data; in the order of the aims."""
    found: dict[str, None] = {}
    for aim in lab.aims:
        for name in aim.of.ids if aim.of is not None else ():
            thing = lab.things.get(ThingId(name))
            if isinstance(thing, Data):
                continue  # whether data survive is no question that a probe asks
            found[name] = None
    return tuple(found)
