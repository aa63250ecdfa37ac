"""Can the management controllers be reached, now, after each loss, and while the machines themselves are off?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from falsework.analyses.explain import explain, told
from falsework.analyses.wire.result import Managed, Unreached
from falsework.analyses.wire.traffic import wires_of
from falsework.errors import few
from falsework.model.parts import Controller, Outside
from falsework.model.services import Service
from falsework.support.gates import feeding
from falsework.support.graph import Role
from falsework.support.looking import Looking, Seats
from falsework.support.single_losses import Change, There, now, single_losses
from falsework.support.standing import Standing, View

SOMEBODY = "somebody on the wire"
"""Who looks where no service of the lab does: a person with a laptop, plugged in where users sit."""
NONE = Managed(
    controllers=(), unplugged=(), viewers=(), viewed_from=(), never=(), after=(), at_start=(), start_why=()
)


def managed(standing: Standing) -> Managed:
    """Who reaches the controllers.

    Who looks, is found in this order: services that say they need a controller; services that need a router and
    something outside (a way in from elsewhere); else somebody plugged in where users sit on the other networks.
    A controller that is down itself is not asked about, nor is the loss of a controller's own cable.
    """
    networks = standing.support.networks
    every = [controller.id for controller in standing.lab.of(Controller)]
    plugged = {holder for network in networks.values() for holder in network.attachments}
    controllers = [each for each in every if each in plugged]
    unplugged = tuple(each for each in every if each not in plugged)
    if not controllers:
        return replace(NONE, unplugged=unplugged)
    viewers, needed = _viewers(standing, frozenset(every))
    places = tuple(
        dict.fromkeys(place for name in viewers for place in standing.support.things[name].at("now"))
    )
    seats = {} if places else _seats(standing, controllers)
    scene = _Scene(standing, controllers, places, seats, viewers if needed else ())
    never = scene.dark(scene.calm)
    holders = tuple(each.holder for each in standing.lab.of(Controller) if each.id in set(controllers))
    view = standing.views([holders])[0]
    at_start = tuple(each for each in scene.dark(view) if each not in never)
    return Managed(
        controllers=tuple(controllers),
        unplugged=unplugged,
        viewers=viewers or (SOMEBODY,),
        viewed_from=places or tuple(dict.fromkeys(seat for those in seats.values() for seat in those)),
        never=never,
        after=_after(scene, never),
        at_start=at_start,
        start_why=_why(scene, view, at_start)[1] if at_start else (),
        never_why=_why(scene, standing.baseline, never)[1] if never else (),
    )


class _Scene:
    """Who looks at what, from where, and which of the services that look must stand for it."""

    def __init__(
        self,
        standing: Standing,
        controllers: Sequence[str],
        places: tuple[str, ...],
        seats: Seats,
        needed: tuple[str, ...],
    ) -> None:
        self.standing, self.places, self.seats, self.needed = standing, places, seats, needed
        self.controllers = controllers
        self.looking = Looking(standing.support, controllers)
        self.matters = (*self.looking.matters(places), *needed)
        self.calm = now(standing, self.matters)

    def dark(self, at: There | View) -> tuple[str, ...]:
        """The controllers that stand and can't be reached at one moment, once all that can come back has."""
        if self.needed and not any(at.back(name) for name in self.needed):
            return tuple(each for each in self.controllers if at.back(each))
        return self.looking.unseen(at.back, self.places, self.seats)


def _seats(standing: Standing, controllers: Sequence[str]) -> Seats:
    """Where users sit, on the networks that have no controllers on them if there are any."""
    networks = standing.support.networks
    care = {name for name, each in networks.items() if any(who in each.attachments for who in controllers)}
    apart = [name for name in networks if name not in care] or list(networks)
    wires = wires_of(standing)
    return {name: wires.networks[name].users for name in apart}


def _viewers(standing: Standing, controllers: frozenset[str]) -> tuple[tuple[str, ...], bool]:
    """The services that look, and whether one of them must stand for that."""
    things = standing.support.things
    power = feeding(standing.support)
    outside = {each.id for each in standing.lab.of(Outside)} - set(power)
    routers = {name for name, _ in standing.support.routers}
    needs: dict[str, set[str]] = {}
    for service in standing.lab.of(Service):
        used = needs.setdefault(service.id, set())
        for name in (
            service.id,
            *(each for lean in things[service.id].leans if lean.role is Role.COPIES for each in lean.on),
        ):
            for lean in things[name].leans:
                if lean.role is Role.NEED:
                    used.update(lean.on)
    direct = tuple(name for name, used in needs.items() if used & controllers)
    if direct:
        return direct, False  # it may fall for want of them; its machines still look
    return tuple(name for name, used in needs.items() if used & outside and used & routers), True


def _after(scene: _Scene, never: Sequence[str]) -> tuple[Unreached, ...]:
    """What each single loss hides that is not hidden anyway, worst first."""
    standing = scene.standing
    controllers = set(scene.controllers)
    hidden_anyway = set(never)
    alike: dict[tuple[tuple[str, ...], bool, str], tuple[list[str], tuple[str, ...]]] = {}
    hiding: list[tuple[Change, tuple[str, ...]]] = []
    for change in single_losses(standing, scene.matters):
        if change.changed <= controllers:
            continue  # a controller that is down itself hides no other
        hidden = tuple(each for each in scene.dark(change.there) if each not in hidden_anyway)
        if hidden:
            hiding.append((change, hidden))
    views = standing.each_view([(change.parts[0],) for change, _ in hiding])
    for (change, hidden), view in zip(hiding, views, strict=True):
        stand = sum(1 for each in scene.controllers if change.there.back(each))
        kind, why = _why(scene, view, hidden)
        key = (hidden, len(hidden) + len(never) >= stand, kind)
        alike.setdefault(key, ([], why))[0].extend(change.parts)
    order = {part: number for number, part in enumerate(standing.parts)}
    found = [
        Unreached(lost=tuple(sorted(lost, key=order.__getitem__)), controllers=hidden, all=all_, why=why)
        for (hidden, all_, _), (lost, why) in alike.items()
    ]
    return tuple(sorted(found, key=lambda each: (-len(each.controllers), order[each.lost[0]])))


def _why(scene: _Scene, view: View, hidden: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """What is missing between who looks and the controllers: a word for the sort of it, and clauses."""
    standing = scene.standing
    gone = [name for name in scene.needed if not view.back(name)]
    if scene.needed and len(gone) == len(scene.needed):
        return "who", (told(explain(view, gone[0])),)
    down = [place for place in scene.places if not view.back(place)]
    if down and len(down) == len(scene.places):
        return "where", (
            f"{few(down)}, from which they are looked at, {'is' if len(down) == 1 else 'are'} down",
        )
    ways = {
        name: [way.vertex for way in network.attachments.get(hidden[0], ())]
        for name, network in standing.support.networks.items()
    }
    switches = dict.fromkeys(vertex for those in ways.values() for vertex in those)
    dark = [vertex for vertex in switches if not view.back(vertex)]
    if dark and len(dark) == len(switches):
        return "switch", (
            f"{few(dark)}, into which they are plugged, {'is' if len(dark) == 1 else 'are'} down",
        )
    for router, joined in standing.support.routers:
        if not view.back(router) and any(ways.get(name) for name in joined):
            to = few([name for name in joined if ways.get(name)])
            return "router", (f"{router} passes traffic on to {to}, and {told(explain(view, router))}",)
    for router, joined in standing.support.routers:
        for name in joined:
            hosts = [host for _, hosts, _ in scene.looking.routers for host in hosts]
            if ways.get(name) and not any(
                host in standing.support.networks[name].attachments for host in hosts
            ):
                return "plug", (
                    f"{router} joins {name}, and no machine that it runs on is plugged into that",
                )
    to = few([name for name, those in ways.items() if those])
    return "wire", (f"nothing that stands joins {_from(scene)} with {to}",)


def _from(scene: _Scene) -> str:
    return (
        few(scene.places) if scene.places else few([each for those in scene.seats.values() for each in those])
    )
