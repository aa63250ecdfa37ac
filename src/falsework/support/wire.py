"""Which node is on which network, through which cables and cards?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.model.forms import Bound
from falsework.model.lab import Lab
from falsework.model.names import pattern
from falsework.model.parts import Cable, Controller, Node, Switch, ThingId
from falsework.model.parts import Network as Declared
from falsework.support.graph import Attachment, Network

UNSAID = "the wire"
"""The network of a lab that declares none: everything that is plugged in."""


def networks(lab: Lab) -> Mapping[str, Network]:
    """Every network with its switches, the cables between them, and each node's ways onto it.

    A network spans the switches it names and the cables between those. A port that some network names in
    `ports` belongs only to the networks that name it. A management controller's port is the controller's.
    A cable from node to node is a small network of its own.
    """
    declared = lab.of(Declared)
    cables = lab.of(Cable)
    if not cables:
        return {}
    switches = dict.fromkeys(switch.id for switch in lab.of(Switch))
    claimed = {network.id: _ports(network, lab) for network in declared}
    exclusive = {port for ports in claimed.values() if ports is not None for port in ports}
    cards = cards_of(lab)
    controllers = {(controller.holder, controller.port): controller.id for controller in lab.of(Controller)}
    found: dict[str, Network] = {}
    plans: list[tuple[str, set[str], set[tuple[str, str]] | None, tuple[str, ...]]] = [
        (
            network.id,
            set(network.over.ids) if network.over else set(switches),
            claimed[network.id],
            network.users_at.ids if network.users_at else (),
        )
        for network in declared
    ] or [(UNSAID, set(switches), None, ())]
    for name, spans, only, users in plans:
        vertices = {switch: None for switch in switches if switch in spans}
        edges: list[tuple[str, str, str]] = []
        attachments: dict[str, list[Attachment]] = {}
        for cable in cables:
            ends = cable.ends
            inside = [machine in spans for machine, _ in ends]
            if all(machine in switches for machine, _ in ends):
                if all(inside):
                    edges.append((ends[0][0], ends[1][0], cable.id))
                continue
            direct = not any(machine in switches for machine, _ in ends)
            if (
                direct
                and name != UNSAID
                and not any(_on(end, only, exclusive, cable_ends=ends) for end in ends)
            ):
                continue
            if direct:
                vertices[cable.id] = None
            for position, (machine, port) in enumerate(ends):
                other = ends[1 - position][0]
                if machine in switches or (not direct and other not in spans):
                    continue
                if only is not None and (machine, port) not in only:
                    continue
                if only is None and (machine, port) in exclusive:
                    continue
                holder = controllers.get((machine, port), machine)
                vertex = cable.id if direct else other
                through = tuple(
                    each for each in (("" if direct else cable.id), cards.get((machine, port), "")) if each
                )
                attachments.setdefault(holder, []).append(
                    Attachment(node=holder, vertex=vertex, through=through)
                )
        found[name] = Network(
            name=name,
            vertices=tuple(vertices),
            edges=tuple(edges),
            attachments={node: tuple(ways) for node, ways in attachments.items()},
            users=users,
        )
    return found


def _on(
    end: tuple[ThingId, str],
    only: set[tuple[str, str]] | None,
    exclusive: set[tuple[str, str]],
    *,
    cable_ends: tuple[tuple[ThingId, str], tuple[ThingId, str]],
) -> bool:
    """Whether a direct cable belongs to a network: one of its ports does."""
    return end in (only if only is not None else set(cable_ends) - exclusive)


def _ports(network: Declared, lab: Lab) -> set[tuple[str, str]] | None:
    """The ports that a network names, or None where it names none."""
    if not network.ports:
        return None
    found: set[tuple[str, str]] = set()
    for text in network.ports:
        holder, _, port = text.rpartition(".")
        nodes, ports = pattern(holder), pattern(port)
        for node in lab.of(Node):
            if nodes.fullmatch(node.id):
                found.update((node.id, each) for each in node.ports if ports.fullmatch(each))
    return found


def cards_of(lab: Lab) -> Mapping[tuple[str, str], str]:
    """The card that carries each port, by node and port, where the owner names cards."""
    return {
        (node.id, port): f"{node.id}.{card}"
        for node in lab.of(Node)
        for card, ports in node.cards.items()
        for port in ports
    }


def ways_out(lab: Lab) -> Mapping[str, Bound]:
    """What leads out of each network that says so."""
    return {network.id: network.way_out for network in lab.of(Declared) if network.way_out is not None}
