"""What does a lab promise by how it is built, whatever its aims: take-overs, restarts, restores, second ways?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.aims.result import about as aim_about
from falsework.analyses.aims.result import effect_words
from falsework.analyses.cold_start import cold_start
from falsework.analyses.drilling.promises import Promise, grouped, promise
from falsework.analyses.drilling.result import Broken, Claim, Sort
from falsework.analyses.drilling.scene import Lost, Scene, Tried
from falsework.analyses.drilling.ways import Use
from falsework.analyses.verdicts import Verdict
from falsework.errors import few
from falsework.model.parts import Outside, ThingId
from falsework.model.people import Aim
from falsework.model.services import Copy, Data, Service, Store
from falsework.support.graph import NOW, Role
from falsework.units import Dimension

SOON_S = 3600.0
"""What falls later than an hour after its source of time has gone does not fall in a drill."""
_TIME = re.compile(r"\b(clocks?|time|ntp)\b", re.IGNORECASE)


def of_lab(scene: Scene) -> Iterator[Promise]:
    """Every promise that needs no aim, in the order of the lab."""
    yield from _moving(scene)
    yield from _restarting(scene)
    yield from _storing(scene)
    yield from _wired(scene)
    yield from _full(scene)
    yield from _timed(scene)
    yield from _restored(scene)


def cold(scene: Scene) -> tuple[tuple[Promise, ...], tuple[Broken, ...]]:
    """That all comes back after a power cut: as its aims say, else at all; and what does not."""
    aims = [aim for aim in scene.lab.aims if aim.cold_start]
    if not aims:
        stuck = cold_start(scene.plain, hands=True).stuck
        if stuck:
            return (), (Broken(aim="", lost=(), says=f"after a power cut {few(stuck)} stays down"),)
        says = "after a power cut all comes back, with hands at the switches"
        return (_only("cold start", Sort.COLD, says, scene.support.services, ("cold start",)),), ()
    promises, broken = [], []
    for aim in aims:
        services, _ = aim_about(aim, scene.standing)
        bad = _late(scene, aim, services)
        if bad:
            broken.append(Broken(aim=aim.name, lost=(), says=bad))
            continue
        says = "after a power cut all comes back" + {
            "without hands": " by itself",
            "without outside help": " without outside help",
        }.get(aim.cold_start, "")
        if aim.within is not None:
            says += f" within {units.format(aim.within, Dimension.TIME)}"
        promises.append(_only(aim.name, Sort.COLD, says, services, ("cold start",), aim=aim))
    return tuple(promises), tuple(broken)


def _late(scene: Scene, aim: Aim, services: Sequence[str]) -> str:
    start = cold_start(
        scene.plain, hands=aim.cold_start == "at all", outside=aim.cold_start != "without outside help"
    )
    stuck = [name for name in services if name in start.stuck]
    if stuck:
        return f"after a power cut {few(stuck)} {'stays' if len(stuck) == 1 else 'stay'} down"
    late = [name for name in services if start.up_s.get(name, 0.0) > (aim.within or float("inf"))]
    return f"after a power cut {few(late)} {'is' if len(late) == 1 else 'are'} up too late" if late else ""


def _only(
    name: str, sort: Sort, says: str, about: Sequence[str], key: tuple[str, ...], *, aim: Aim | None = None
) -> Promise:
    """A promise that just one drill can prove."""
    return Promise(
        claim=Claim(
            name=name,
            sort=sort,
            says=says,
            about=tuple(about),
            aims=(aim.name,) if aim else (),
            where=aim.where if aim else None,
        ),
        only=key,
    )


def _moving(scene: Scene) -> Iterator[Promise]:
    """Services of which another copy takes over, or an address moves, when the one that serves is stopped."""
    moving = [
        each for each in scene.lab.of(Service) if each.takes_over is not None or each.floats is not None
    ]
    found = [(service, active) for service in moving if (active := active_copy(scene, service.id))]
    for (service, active), tried in zip(found, scene.tried([(each,) for _, each in found]), strict=True):
        effect = tried.effects.get(service.id)
        if effect is None or effect.verdict is not Verdict.BLINKS:
            continue
        moves = service.takes_over is None
        yield promise(
            scene,
            Sort.ADDRESS if moves else Sort.TAKE_OVER,
            f"{'address of' if moves else 'take-over of'} {service.id}",
            f"{'the address of ' if moves else ''}{service.id} {'moves' if moves else 'is taken over'} when {active} "
            f"stops: it {effect_words(effect)}",
            (service.id,),
            tried,
            ((active,),),
            aims=aims_about(scene, service.id),
            proved=service.proved,
            where=service.place("floats" if moves else "takes_over"),
        )


def active_copy(scene: Scene, service: str) -> str:
    """The one copy that serves now, of several; empty where all do."""
    leans = [lean for lean in scene.support.things[service].leans if lean.role is Role.COPIES]
    now = [lean for lean in leans if lean.times == NOW and len(lean.on) == 1]
    return now[0].on[0] if now and any(len(lean.on) > 1 for lean in leans) else ""


def _restarting(scene: Scene) -> Iterator[Promise]:
    """Services that are interrupted while a pool starts them on another host."""
    hosts: dict[str, str] = {}
    for copy in scene.lab.of(Copy):
        if copy.pool and copy.host not in scene.standing.out:
            hosts.setdefault(copy.service, copy.host)
    scene.tried([(host,) for host in dict.fromkeys(hosts.values())])
    for name, host in hosts.items():
        tried = scene.tried([(host,)])[0]
        effect = tried.effects.get(name)
        if effect is None or effect.verdict is not Verdict.BLINKS or active_copy(scene, name):
            continue
        service = scene.lab.things[ThingId(name)]
        yield promise(
            scene,
            Sort.RESTART,
            f"restart of {name}",
            f"{name} restarts on another host when {host} is lost: it {effect_words(effect)}",
            (name,),
            tried,
            ((host,),),
            aims=aims_about(scene, name),
            proved=service.proved,
            where=service.where,
        )


def _storing(scene: Scene) -> Iterator[Promise]:
    """Stores that go on without any one of their drives."""
    of: dict[str, Store] = {}
    for store in scene.lab.of(Store):
        drives = store.drives.ids if store.drives else ()
        for name in drives[: len(drives) - store.spares]:
            if name not in scene.standing.out:
                of[name] = store
    for tried, alike in grouped(scene, [(name,) for name in of]):
        store = of[tried.lost[0]]
        if store.id in tried.down or tried.gone:
            continue
        yield promise(
            scene,
            Sort.STORE,
            f"{store.id} without {tried.lost[0]}",
            f"{store.id} goes on without {tried.lost[0]}, and is whole again once it is back",
            (store.id,),
            tried,
            alike,
            worst=Verdict.LOST,
            proved=store.proved,
            where=store.where,
        )


def _wired(scene: Scene) -> Iterator[Promise]:
    """Cables beside which there is another way: between the same switches, or from a node that has two feet."""
    beside: dict[object, list[str]] = {}
    for net, network in scene.support.networks.items():
        for one, other, cable in network.edges:
            beside.setdefault((net, frozenset((one, other))), []).append(cable)
        for node, feet in network.attachments.items():
            for foot in feet:
                cables = [each for each in foot.through if scene.support.things[each].word == "cable"]
                beside.setdefault((net, node), []).extend(cables)
    cables = list(dict.fromkeys(cable for some in beside.values() if len(set(some)) > 1 for cable in some))
    for tried, alike in grouped(scene, [(name,) for name in cables if name not in scene.standing.out]):
        wires = frozenset(way for way in tried.ways if way.use is Use.WIRE)
        if tried.effects or not wires:
            continue
        more = f", and so do {len(alike) - 1} like it" if len(alike) > 1 else ""
        yield promise(
            scene,
            Sort.WIRE,
            f"way beside {tried.lost[0]}",
            f"all goes on over another cable without {tried.lost[0]}{more}",
            (),
            tried,
            alike,
            ways=wires,
        )


def _full(scene: Scene) -> Iterator[Promise]:
    """Stores that keep state or backups and may fill up without anything falling that an aim protects."""
    protected = _protected(scene)
    holding = {place for data in scene.lab.of(Data) for place in (data.in_.ids if data.in_ else ())}
    holding |= {service.state_in.ids[0] for service in scene.lab.of(Service) if service.state_in}
    stores = [
        store for store in scene.lab.of(Store) if store.id in holding and scene.standing.baseline.up(store.id)
    ]
    for store, tried in zip(stores, scene.tried([(store.id,) for store in stores]), strict=True):
        fallen = [effect.service for effect in tried.effects.values() if effect.verdict >= Verdict.FALLS]
        if protected.intersection(fallen):
            continue
        says = f"when {store.id} is full, {few(fallen, 3) if fallen else 'nothing'} stops, and nothing else"
        about = [name for name in scene.support.services if name in protected]
        yield promise(
            scene, Sort.FULL, f"{store.id} full", says, about, tried, ((store.id,),), where=store.where
        )


def _timed(scene: Scene) -> Iterator[Promise]:
    """Sources of time without which all goes on, for an hour at the least."""
    for thing in scene.lab.things.values():
        if not isinstance(thing, Outside | Service) or not (
            _TIME.search(thing.id) or _TIME.search(thing.about)
        ):
            continue
        lost: Lost = (thing.id,)
        if isinstance(thing, Service):
            lost = tuple(copy.id for copy in scene.lab.of(Copy) if copy.service == thing.id)
        if any(name in scene.standing.out for name in lost):
            continue
        tried = scene.tried([lost])[0]
        about = [name for name in scene.support.services if name != thing.id]
        if not _goes_on(tried, about) or not tried.ways:
            continue
        yield promise(
            scene,
            Sort.HOLD,
            f"time without {thing.id}",
            f"all goes on without {thing.id} for as long as the drill lasts",
            [name for name in about if name in tried.effects],
            tried,
            (lost,),
            where=thing.where,
        )


def _goes_on(tried: Tried, about: Sequence[str]) -> bool:
    return not any(effect.falls_s <= SOON_S for effect in tried.effects.values() if effect.service in about)


def _restored(scene: Scene) -> Iterator[Promise]:
    """Each backup can be restored from."""
    for data in scene.lab.of(Data):
        for backup in data.backed_up:
            place = backup.to.ids[0]
            yield Promise(
                claim=Claim(
                    name=f"restore of {data.id} from {place}",
                    sort=Sort.RESTORE,
                    says=f"{data.id} comes back whole from {place}",
                    about=(data.id,),
                    worst=Verdict.LOST,
                    proved=backup.restored,
                    where=data.where,
                ),
                only=("restore", data.id, place),
            )


def aims_about(scene: Scene, service: str) -> tuple[str, ...]:
    """The aims about losses that name a service, or all of them."""
    return tuple(
        aim.name
        for aim in scene.lab.aims
        if aim.lose is not None and service in aim_about(aim, scene.standing)[0]
    )


def _protected(scene: Scene) -> frozenset[str]:
    return frozenset(
        name
        for aim in scene.lab.aims
        if aim.lose is not None and not aim.told
        for name in aim_about(aim, scene.standing)[0]
    )
