"""Where can hands, backs or data be hurt in this lab, and to whom does this paper defer?"""

from __future__ import annotations

from falsework import units
from falsework.faces.runbook.document import Caution
from falsework.faces.runbook.wording import names
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Part, Powered, Rack, Ups
from falsework.model.services import Data, Secret
from falsework.units import Dimension

MOST = 12
"""How many heavy things are named before they are only counted."""
TOO_LIGHT_KG = 10.0
"""What weighs less is not named; that is no word on what is safe to lift."""


def cautions(lab: Lab) -> tuple[Caution, ...]:
    """The page of cautions; only what this lab has."""
    found = [
        Caution(
            title="This paper knows the lab file, not the room",
            says=(
                "Every step was worked out from what the lab file says, and nobody looked at the real thing: where they differ, stop and find out why.",
                "Commands are the owner's own; they are printed to be read first, and nothing here is run by itself.",
            ),
        )
    ]
    batteries = lab.of(Ups)
    if lab.of(Circuit) or batteries or any(each.fed_by for each in lab.of(Powered)):
        says = [
            "Mains voltage can kill. Work on circuits, breakers and fixed wiring is for those who are licensed to do it where you live.",
            f"Loads and ratings are computed from the lab file. {POWER_CAUTION}",
        ]
        if batteries:
            says.insert(
                1,
                f"A battery goes on giving power after the mains are off: {names([each.id for each in batteries])}. "
                "Its outlets are live, and so are its terminals.",
            )
        found.append(Caution(title="Power", says=tuple(says)))
    heavy = sorted(
        (part for part in lab.of(Part) if (part.weighs or 0.0) >= TOO_LIGHT_KG),
        key=lambda part: (-(part.weighs or 0.0), part.id),
    )
    if heavy:
        told = names(
            [f"{part.id} {units.format(part.weighs or 0.0, Dimension.MASS)}" for part in heavy], MOST
        )
        says = [
            f"{told}.",
            "Lift with as many people, and by such means, as the makers' instructions and the rules of your place ask for.",
        ]
        if lab.of(Rack):
            says.append(
                "A rack tips when heavy things are high up or pulled out: fill it from below, pull out one at a time, lock its casters."
            )
        found.append(Caution(title="Weight", says=tuple(says)))
    if lab.of(Data):
        found.append(
            Caution(
                title="Data",
                says=(
                    DATA_CAUTION,
                    "Where a box says that there is no way back, read it to its end before you begin, and do not begin tired.",
                    "At any moment one place owns each piece of state; if two write to it, stop both before you think further.",
                ),
            )
        )
    if lab.of(Secret):
        found.append(
            Caution(
                title="Keys",
                says=(
                    "This paper tells where keys are kept. Whoever finds it knows where to look: keep it as you keep them.",
                ),
            )
        )
    return tuple(found)
