"""How much more could the edge of each switch ask for than its uplinks carry?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.wire.layout import used_ports
from falsework.analyses.wire.passing import Subscribed
from falsework.analyses.wire.traffic import flowing, wires_of
from falsework.model.parts import Switch
from falsework.support.carriers import Carrier, Stands, Wires
from falsework.support.open_ways import Tree, tree
from falsework.support.single_losses import single_losses
from falsework.support.standing import Standing


def subscribed(standing: Standing) -> tuple[Subscribed, ...]:
    """Every switch that stands and has a machine plugged in or says what it forwards, in the order of the file.

    The edge of a switch is its cables to anything but switches. Its uplinks are its open cables on the way to the
    root; of the root itself, its open cables to all others. n:1 says that n times of what the uplinks carry could be
    asked of them, if all at the edge spoke to the other side at once. That alone is no fault: most edges are idle
    most of the time.

    Cost:
        A tree for each loss of a switch or of a cable between switches, on the networks that it is part of.
    """
    wires, stands = wires_of(standing), standing.baseline.back
    switches: dict[str, Switch] = {switch.id: switch for switch in standing.lab.of(Switch)}
    loads = flowing(standing).now
    trees, asked = loads.open_.trees, loads.asked
    now = _uplinks(wires, trees)
    edges = _edges(wires, switches, stands)
    worst, cut = _worst(standing, wires, trees, now)
    used = used_ports(standing.lab)
    found = []
    for name, switch in switches.items():
        by = edges.get(name, {})
        if not stands(name) or not (by or switch.forwards is not None):
            continue
        up = now.get(name, {})
        there = sum(asked.get((carrier.name, carrier.across(name)), 0) for carrier in up.values())
        back = sum(asked.get((carrier.name, name), 0) for carrier in up.values())
        idle = [speed for port, speed in switch.ports.items() if (name, port) not in used]
        found.append(
            Subscribed(
                switch=name,
                edge=float(sum(by.values())),
                free=float(sum(speed or 0.0 for speed in idle)),
                uplinks=float(_carry(up, stands)),
                all_uplinks=float(
                    sum(
                        sum(carrier.live(stands))
                        for carrier in wires.carriers
                        if name in carrier.ends and carrier.across(name) in switches
                    )
                ),
                forwards=switch.forwards,
                worst=float(worst.get(name, (_carry(up, stands), ""))[0]),
                worst_lost=worst.get(name, (0, ""))[1],
                cut_off_by=cut.get(name, ""),
                usual=float(max(there, back)),
                by=by,
            )
        )
    return tuple(found)


def _edges(wires: Wires, switches: Mapping[str, Switch], stands: Stands) -> Mapping[str, Mapping[str, float]]:
    """By switch what is plugged into it, with what its cables carry, bit/s."""
    found: dict[str, dict[str, float]] = {}
    for carrier in wires.carriers:
        for machine, other in (carrier.ends, carrier.ends[::-1]):
            if machine in switches and other not in switches and (carries := sum(carrier.live(stands))):
                by = found.setdefault(machine, {})
                by[other] = by.get(other, 0.0) + carries
    return found


def _uplinks(wires: Wires, trees: Mapping[str, Tree]) -> Mapping[str, Mapping[str, Carrier]]:
    """By switch its open carriers on the way to the root, over all networks; of a root those to all others."""
    found: dict[str, dict[str, Carrier]] = {}
    for name in wires.networks:
        roots = frozenset(trees[name].roots)
        for switch, (parent, carrier) in trees[name].above.items():
            found.setdefault(switch, {})[carrier.name] = carrier
            if parent in roots:
                found.setdefault(parent, {})[carrier.name] = carrier
    return found


def _carry(carriers: Mapping[str, Carrier], stands: Stands) -> int:
    return sum(sum(carrier.live(stands)) for carrier in carriers.values())


def _worst(
    standing: Standing,
    wires: Wires,
    trees: Mapping[str, Tree],
    now: Mapping[str, Mapping[str, Carrier]],
) -> tuple[Mapping[str, tuple[int, str]], Mapping[str, str]]:
    """By switch the least that any single loss leaves of its uplinks, with the loss; and what cuts it off."""
    before = standing.baseline.back
    usual = {switch: _carry(up, before) for switch, up in now.items()}
    worst: dict[str, tuple[int, str]] = {}
    cut: dict[str, str] = {}
    for change in single_losses(standing, wires.spanned):
        stands = change.there.back
        hurt = dict.fromkeys(name for each in change.changed for name in wires.spanned[each])
        then = {**trees, **{name: tree(wires.networks[name], stands) for name in hurt}}
        left = _uplinks(wires, then)
        for switch, much in usual.items():
            less = _carry(left.get(switch, {}), stands)
            if not stands(switch):
                continue
            if not less:
                cut.setdefault(switch, change.parts[0])
            elif less < worst.get(switch, (much, ""))[0]:
                worst[switch] = (less, change.parts[0])
    return worst, cut
