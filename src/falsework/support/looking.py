"""Which machines and controllers can be seen over the wire from some machines, at one moment?

The same question as in `falsework.support.sight`, asked of one moment that is known and answered by walking: cheap
where few moments are asked about and many things are looked at. The tests hold one against the other.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping

from falsework.support.graph import Attachment, Role, SupportGraph

Stands = Callable[[str], bool]
Seats = Mapping[str, tuple[str, ...]]
"""By network the vertices from which somebody looks."""


class Looking:
    """What is on the wire, ready to be walked.

    Args:
        support: what leans on what.
        looked_at: holders of ports that are asked about.
    """

    def __init__(self, support: SupportGraph, looked_at: Iterable[str]) -> None:
        self.support = support
        self.looked_at = tuple(looked_at)
        self.edges: dict[str, dict[str, list[tuple[str, str]]]] = {}
        for name, network in support.networks.items():
            around: dict[str, list[tuple[str, str]]] = {vertex: [] for vertex in network.vertices}
            for one, other, cable in network.edges:
                around[one].append((other, cable))
                around[other].append((one, cable))
            self.edges[name] = around
        # Those plugged in at the same places are seen or not seen together, but for their own cables.
        self.alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
        for each in self.looked_at:
            at = tuple(
                (name, way.vertex)
                for name, network in support.networks.items()
                for way in network.attachments.get(each, ())
            )
            self.alike.setdefault(at, []).append(each)
        self.routers = tuple(
            (copy, support.things[copy].at("later"), joined)
            for service, joined in support.routers
            for lean in support.things[service].leans
            for copy in (lean.on if lean.role is Role.COPIES else ())
        )

    def matters(self, places: Collection[str]) -> tuple[str, ...]:
        """Everything whose standing the answer hangs on, but for the own cables of what is looked at."""
        found: dict[str, None] = {}
        hosts = dict.fromkeys((*places, *(host for _, hosts, _ in self.routers for host in hosts)))
        for network in self.support.networks.values():
            found.update(dict.fromkeys(network.vertices))
            found.update(dict.fromkeys(cable for _, _, cable in network.edges))
            for host in hosts:
                for way in network.attachments.get(host, ()):
                    found.update(dict.fromkeys(way.through))
        found.update(dict.fromkeys(hosts))
        found.update(dict.fromkeys(copy for copy, _, _ in self.routers))
        found.update(dict.fromkeys(self.looked_at))
        return tuple(found)

    def unseen(self, stands: Stands, places: Collection[str], seats: Seats) -> tuple[str, ...]:
        """Those looked at that stand and can't be seen.

        Args:
            stands: what stands at that moment.
            places: machines that look; any one that stands will do.
            seats: places on the wire from which somebody looks.
        """
        straight = self._spread(stands, self._starts(stands, places, seats))
        beyond: dict[str, set[str]] = {}
        own = set(places)
        for copy, hosts, joined in self.routers:
            if not stands(copy) or own & set(hosts):
                continue  # who looks from where it runs sees what it sees without it
            for network in joined:
                if any(
                    self._plugged(stands, hosts, other) & straight.get(other, set())
                    for other in joined
                    if other != network
                ):
                    beyond.setdefault(network, set()).update(self._plugged(stands, hosts, network))
        routed = self._spread(stands, beyond)
        hidden: set[str] = set()
        for at, those in self.alike.items():
            if not any(vertex in met.get(name, ()) for name, vertex in at for met in (straight, routed)):
                hidden.update(each for each in those if stands(each))
            else:
                hidden.update(
                    each for each in those if not self._meets(stands, each, straight, routed) and stands(each)
                )
        return tuple(each for each in self.looked_at if each in hidden)

    def _starts(self, stands: Stands, places: Collection[str], seats: Seats) -> dict[str, set[str]]:
        standing = [place for place in places if stands(place)]
        return {
            name: self._plugged(stands, standing, name)
            | {each for each in seats.get(name, ()) if stands(each)}
            for name in self.support.networks
        }

    def _plugged(self, stands: Stands, hosts: Iterable[str], network: str) -> set[str]:
        """Where any of these hosts that stands is plugged into a network."""
        attachments = self.support.networks[network].attachments if network in self.support.networks else {}
        return {
            way.vertex
            for host in hosts
            if stands(host)
            for way in attachments.get(host, ())
            if self._holds(stands, way)
        }

    def _holds(self, stands: Stands, way: Attachment) -> bool:
        return stands(way.vertex) and all(stands(each) for each in way.through)

    def _spread(self, stands: Stands, starts: Mapping[str, set[str]]) -> dict[str, set[str]]:
        """Every vertex that is joined with these, by network."""
        found: dict[str, set[str]] = {}
        for name, begin in starts.items():
            met, waiting = set(begin), list(begin)
            while waiting:
                for there, cable in self.edges[name][waiting.pop()]:
                    if there not in met and stands(there) and stands(cable):
                        met.add(there)
                        waiting.append(there)
            found[name] = met
        return found

    def _meets(self, stands: Stands, each: str, *seen: Mapping[str, set[str]]) -> bool:
        return any(
            self._holds(stands, way) and any(way.vertex in met.get(name, ()) for met in seen)
            for name, network in self.support.networks.items()
            for way in network.attachments.get(each, ())
        )
