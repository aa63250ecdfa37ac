"""Does the traffic of every service get through, now and after each single loss?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.wire.copying import copying
from falsework.analyses.wire.figures import taken
from falsework.analyses.wire.loads import LEAST, Flowing, Loads
from falsework.analyses.wire.passing import Moment, Together, Traffic
from falsework.engines.flow.net import Link, Net
from falsework.support.carriers import Wires
from falsework.support.single_losses import Change, single_losses
from falsework.support.standing import Standing
from falsework.support.traffic import talk

MOST_VARIABLES = 30_000
"""The largest program for what could get through at once that is begun; above it that figure is not told."""


def wires_of(standing: Standing) -> Wires:
    """The carriers and networks of a lab, worked out once."""
    known = standing.asked.get(("wires",))
    if not isinstance(known, Wires):
        known = standing.asked[("wires",)] = Wires(standing.lab, standing.support.networks)
    return known


def flowing(standing: Standing) -> Flowing:
    """The traffic of a lab, ready to be asked about losses; worked out once."""
    known = standing.asked.get(("flowing",))
    if not isinstance(known, Flowing):
        said = talk(standing.lab, standing.support, wires_of(standing))
        known = standing.asked[("flowing",)] = Flowing(said, standing.baseline)
    return known


def traffic(standing: Standing, *, together: bool = True) -> Traffic:
    """All traffic of services, now and after each single loss.

    Args:
        standing: the lab, with what is out.
        together: also what could get through at once at the most, and how long whole copies take.

    Cost:
        A loss that takes nothing away that the traffic could use is not looked at. One that leaves the open tree of
        every network as it is costs what hangs on what it takes; any other, all traffic once more.
    """
    flows = flowing(standing)
    calm = Moment(
        lost=(),
        passed=flows.now.passed,
        filled=flows.filled(flows.now, standing.baseline),
        root=_root(flows, flows.now),
    )
    worse: list[tuple[float, float, int, Change, Loads]] = []
    fullest, most = calm, flows.fullest(flows.now, standing.baseline)
    for change, loads in _losses(standing, flows):
        more = sum(
            max(0.0, then.short - today.short)
            for then, today in zip(loads.passed, flows.now.passed, strict=True)
        )
        share = flows.fullest(loads, change.there)
        if more >= LEAST:
            worse.append((-more, -share, len(worse), change, loads))
        if share > most:
            most, fullest = share, _moment(flows, change, loads)
    return Traffic(
        streams=flows.streams,
        now=calm,
        after=tuple(_moment(flows, change, loads) for _, _, _, change, loads in sorted(worse)),
        fullest=fullest,
        together=at_once(standing) if together else None,
        copying=copying(standing, flows) if together else (),
        tried=len(standing.parts) if flows.streams else 0,
        taken=taken(standing, flows) if flows.streams else (),
    )


def _losses(standing: Standing, flows: Flowing) -> Iterator[tuple[Change, Loads]]:
    if not flows.streams:
        return
    names = [name for name in flows.names if name in standing.support.things]
    for change in single_losses(standing, names):
        yield change, flows.after(change.there, change.changed)


def _moment(flows: Flowing, change: Change, loads: Loads) -> Moment:
    fuller = tuple(
        each
        for each in flows.filled(loads, change.there)
        if each.share > flows.share_now((each.link, each.towards))
    )
    return Moment(lost=change.parts, passed=loads.passed, filled=fuller, root=_root(flows, loads))


def _root(flows: Flowing, loads: Loads) -> str:
    """The root of the first network that has one."""
    return next((found.roots[0] for found in loads.trees.values() if found.roots), "")


def at_once(standing: Standing) -> Together | None:
    """The largest share of all traffic of now that could get through at once; None where there is none, or too much.

    Each cable may be used as well as can be, those that bridges keep waiting too. What no way leads to is left out.
    """
    flows = flowing(standing)
    legs = [
        (strand.amount, leg.network, ends)
        for line in flows.now.lines
        for strand, route, _ in line.strands
        if route is not None and strand.amount
        for leg, ends in zip(
            route.legs,
            zip((strand.one, *route.via), (*route.via, strand.other), strict=True),
            strict=False,
        )
    ]
    if not legs:
        return None
    net, within = _net(standing, flows)
    starts = {(one, network) for _, network, (one, _) in legs}
    if len(starts) * sum(len(wired.trunks) for wired in flows.wires.networks.values()) > MOST_VARIABLES:
        return None
    from falsework.engines.flow.together import Demand, together

    demands = [
        Demand(one=one, other=other, amount=float(amount), within=within[network])
        for amount, network, (one, other) in legs
    ]
    found = together(net, demands)
    full = dict.fromkeys((*(name for name, _ in found.prices), *found.passing))
    return Together(share=found.share, full=tuple(full))


def _net(standing: Standing, flows: Flowing) -> tuple[Net, dict[str, frozenset[str]]]:
    """Everything that stands as one net, and the links of each network."""
    stands = standing.baseline.back
    links = tuple(
        Link(name=carrier.name, one=carrier.ends[0], other=carrier.ends[1], carries=carries)
        for carrier in flows.wires.carriers
        if (carries := sum(carrier.live(stands)))
        and all(end not in flows.trunks or stands(end) for end in carrier.ends)
    )
    switches = {switch for wired in flows.wires.networks.values() for switch in wired.switches}
    ends = frozenset(end for link in links for end in (link.one, link.other) if end not in switches)
    within = {
        name: frozenset(
            carrier.name
            for carriers in (
                wired.trunks,
                (plug.carrier for plugs in wired.plugs.values() for plug in plugs),
                (each for others in wired.straight.values() for each in others.values()),
            )
            for carrier in carriers
        )
        for name, wired in flows.wires.networks.items()
    }
    return Net(links=links, passes=flows.wires.forwards, ends=ends), within
