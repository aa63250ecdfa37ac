"""Which data lies on what a drill takes out?"""

from __future__ import annotations

from falsework.analyses.drilling.choosing import Candidate
from falsework.analyses.drilling.scene import Scene
from falsework.model.parts import Drive, ThingId
from falsework.model.services import Data, Store


def at_risk(scene: Scene, each: Candidate) -> tuple[str, ...]:
    """Data of which a place lies on drives that are taken out, or on a store that fills up, in lab order."""
    drives = {name for name in each.taken if isinstance(scene.lab.things.get(ThingId(name)), Drive)}
    stores: set[str] = {
        store.id
        for store in scene.lab.of(Store)
        if store.id in each.taken or drives.intersection(store.drives.ids if store.drives else ())
    }
    if not drives and not stores:
        return ()
    homes: set[str] = {
        thing.in_.ids[0]
        for name in drives
        if isinstance(thing := scene.lab.things[ThingId(name)], Drive) and thing.in_ is not None
    }
    # A store that keeps state keeps the data of who keeps it there.
    stores |= {
        service
        for service in scene.support.services
        if scene.support.things[service].word == "service"
        and any(set(lean.on) & stores for lean in scene.support.things[service].leans)
    }
    laid = {drive for store in scene.lab.of(Store) for drive in (store.drives.ids if store.drives else ())}
    bare = homes if drives - laid else set()
    return tuple(
        data.id
        for data in scene.lab.of(Data)
        if data.in_ is not None and (stores | bare).intersection(data.in_.ids)
    )


def data_of(scene: Scene, name: str) -> Data:
    """A data set by its name."""
    data = scene.lab.things[ThingId(name)]
    assert isinstance(data, Data)
    return data
