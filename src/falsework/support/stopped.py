"""What stands when copies are stopped and stores are full, though no part has failed?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from falsework.support.standing import Standing

STOPPED = ("copy", "store")
"""What can be stopped by hand, or by a disk that is full, while the part under it goes on."""


class Stoppable(Standing):
    """A lab of which every copy and every store can be stopped by itself, as a part can be lost."""

    def _compile(self) -> None:
        things = {
            name: replace(thing, part=True) if thing.word in STOPPED else thing
            for name, thing in self.support.things.items()
        }
        self.support = replace(self.support, things=things)
        super()._compile()

    def known(self, names: Iterable[str]) -> tuple[str, ...]:
        """The names, if each can be lost or stopped; a store stands for itself here, not for its drives."""
        named = tuple(dict.fromkeys(names))
        strange = [name for name in named if not self._stops(name)]
        super().known(strange)
        return named

    def _stops(self, name: str) -> bool:
        thing = self.support.things.get(name)
        return thing is not None and (thing.part or thing.word in STOPPED)


def stoppable(standing: Standing) -> Stoppable:
    """The same lab, with the same parts out; made once."""
    if isinstance(standing, Stoppable):
        return standing
    known = standing.asked.get(("stoppable",))
    if not isinstance(known, Stoppable):
        known = standing.asked["stoppable",] = Stoppable(standing.lab, out=standing.out)
    return known
