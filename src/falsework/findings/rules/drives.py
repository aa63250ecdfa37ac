"""Which store is rebuilt with little hope, or stays too long with nothing to spare?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.drives.result import StoreOdds
from falsework.analyses.drives.stores import store_odds
from falsework.findings.finding import DATA_CAUTION, Finding, Level
from falsework.model.lab import Lab
from falsework.model.parts import Drive, ThingId
from falsework.model.services import Store
from falsework.units import DAY_S, Dimension
from falsework.units import format as said

LIKELY = 0.10
"""A chance of a read error in a rebuild, above which a second parity is worth a word. Common practice."""
LONG_S = 7 * DAY_S
"""With nothing to spare for longer than that is worth a word. Assumed."""


def drives(lab: Lab) -> Iterator[Finding]:
    """What is wrong with stores that bear the loss of one drive and no more; a few milliseconds a store."""
    for each in store_odds(lab, ends=False):
        if each.usual is None or not each.last:
            continue
        yield from _unreadable(lab, each)
        yield from _long(each)


def _unreadable(lab: Lab, each: StoreOdds) -> Iterator[Finding]:
    """Only where the owner gave the rates of all its drives: on taken ones alone it would be crying wolf."""
    store = lab.things[ThingId(each.store)]
    held = lab.named(store.drives.ids) if isinstance(store, Store) and store.drives else ()
    if any(isinstance(drive, Drive) and drive.read_errors is None for drive in held):
        return
    if each.read_chance > LIKELY:
        yield Finding(
            code="unreadable in a rebuild",
            level=Level.REMARK,
            says=(
                f"when a drive of {each.store} has failed, the rebuild meets a sector that can't be read with a "
                f"chance of {each.read_chance:.0%}".replace("%", " %")
                + ", and nothing is left then to make it from"
            ),
            why=(
                f"{each.layout} bears the loss of one drive, and {each.read_errors:.2g} errors are expected in what is "
                "read by the rates of the lab file",
            ),
            mend="give it a second parity or a third copy, or keep a backup of all that lies on it",
            where=each.where,
            things=(each.store,),
            caution=DATA_CAUTION,
        )


def _long(each: StoreOdds) -> Iterator[Finding]:
    passes = each.begins_s + each.rebuild_s
    if passes > LONG_S:
        waits = each.begins_s > each.rebuild_s
        why = (
            f"{said(each.begins_s, Dimension.TIME)} pass until a new drive is in its place, and a rebuild takes "
            f"{said(each.rebuild_s, Dimension.TIME)}"
        )
        yield Finding(
            code="long without redundancy",
            level=Level.REMARK,
            says=f"when a drive of {each.store} has failed, it has nothing to spare for {said(passes, Dimension.TIME)}",
            why=(why,),
            mend="keep a spare drive on the shelf or in the machine"
            if waits
            else "leave more of the drives' speed to a rebuild, or give it a second parity",
            where=each.where,
            things=(each.store,),
            caution=DATA_CAUTION,
        )
