"""What is a figure by sizes and speeds, where nobody wrote it?"""

from __future__ import annotations

from falsework.analyses.drives.stores import store_odds
from falsework.model.lab import Lab
from falsework.model.parts import Thing
from falsework.model.services import Data, Store
from falsework.support.copying import Copier


def worked_out_s(lab: Lab, thing: Thing, attribute: str) -> float | None:
    """The rebuild of a store or the restore of data as its size and the speeds have it, seconds; None for what is not so."""
    if attribute == "rebuilds_in" and isinstance(thing, Store):
        return next(each.by_speed_s for each in store_odds(lab, ends=False) if each.store == thing.id) or None
    if attribute == "restores_in" and isinstance(thing, Data):
        places = thing.in_.ids if thing.in_ else ()
        copier = Copier(lab)
        return max(
            (copier.copying(thing, each.to.ids, places).seconds for each in thing.backed_up), default=None
        )
    return None
