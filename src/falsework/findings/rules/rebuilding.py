"""What would be gone for good, because it exists only here or because what opens its backup goes with it?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.rebuild.locked import Locked, locked
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, Finding, Level
from falsework.model.parts import Node, ThingId
from falsework.model.rules import layout
from falsework.model.services import Data, Secret, Store
from falsework.support.standing import Standing


def rebuilding(standing: Standing) -> Iterator[Finding]:
    """Data that nothing brings back; a backup on what it backs up is told elsewhere, as is one that was never restored."""
    yield from _only_here(standing)
    for each in locked(standing):
        yield _locked(standing, each)


def _only_here(standing: Standing) -> Iterator[Finding]:
    """Data without any backup, where the owner says what may be lost, or where one drive or machine takes it."""
    for data in standing.lab.of(Data):
        places = data.in_.ids if data.in_ else ()
        wanted = data.may_lose is not None or data.back_within is not None
        frail = len(places) == 1 and _one_takes(standing, places[0])
        if data.backed_up or not (wanted or frail):
            continue
        why = [f"nothing backs {data.id} up"]
        if wanted:
            why.append("you say what may be lost of it, or how soon it must be back")
        if frail:
            why.append(f"one drive or machine lost takes {places[0]} with it")
        yield Finding(
            code="exists only here",
            level=Level.REMARK,
            says=f"{data.id} exists only in {few(places)}: lost there, it is gone for good",
            why=tuple(why),
            mend="back it up where that loss does not reach, best outside, and restore from it once",
            where=data.where,
            things=(data.id, *places),
            services=data.of.ids if data.of else (),
            caution=DATA_CAUTION,
        )


def _one_takes(standing: Standing, place: str) -> bool:
    """Whether one lost drive or machine destroys what lies in a place."""
    thing = standing.lab.things[ThingId(place)]
    if isinstance(thing, Store):
        drives = thing.drives.ids if thing.drives else ()
        return layout(thing.layout, len(drives) - thing.spares).survives == 0
    return isinstance(thing, Node)


def _locked(standing: Standing, each: Locked) -> Finding:
    data, backup = each.data, each.backup
    where = few(each.lost) if each.lost else "the whole lab"
    why = [f"{few(backup.to.ids)} survives that, and can't be read without {few(each.lacking)}"]
    for name in each.lacking:
        thing = standing.lab.things[ThingId(name)]
        if isinstance(thing, Secret) and thing.kept_in:
            shares = f", and it takes {thing.enough} of them" if (thing.enough or 1) > 1 else ""
            why.append(f"{name} is kept in {few(thing.kept_in.ids)}{shares}")
    return Finding(
        code="key lost with its backup",
        level=Level.REMARK,
        says=f"lose {where}: {data.id} is gone for good though a backup of it survives",
        why=tuple(why),
        mend=f"keep {few(each.lacking)} on paper or outside as well, and restore once with what is kept there",
        where=backup.where,
        things=(data.id, *each.lacking),
        services=data.of.ids if data.of else (),
        caution=DATA_CAUTION,
    )
