"""Does the traffic of every service get through, now and after each single loss?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.wire.after_loss import Less, Losing
from falsework.analyses.wire.carried import LEAST
from falsework.analyses.wire.copying import copying
from falsework.analyses.wire.figures import taken
from falsework.analyses.wire.loads import Flowing
from falsework.analyses.wire.passing import Moment, Together, Traffic
from falsework.engines.flow.net import Link, Net
from falsework.support.carriers import Wires
from falsework.support.open_ways import OpenWays
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
        together: also what could get through at once at the most, how long whole copies take, and what was taken for
            missing figures.

    Cost:
        A loss that takes nothing away that the traffic could use is not looked at. One that leaves the open tree of
        every network as it is costs what hangs on what it takes; any other, all traffic once more.
    """
    flows = flowing(standing)
    calm = Moment(lost=(), passed=flows.now.passed, filled=flows.filled, root=_root(flows, flows.now.open_))
    worse: list[tuple[float, Moment]] = []
    fullest, most = calm, flows.fullest
    losing = Losing(flows)
    for change, less in _losses(standing, losing):
        more = sum(
            max(0.0, then.short - flows.now.passed[number].short) for number, then in less.passed.items()
        )
        share = losing.fullest(less)
        if more >= LEAST:
            worse.append((share, _moment(flows, change, less)))
        if share > most:
            most, fullest = share, _moment(flows, change, less)
    return Traffic(
        streams=flows.streams,
        now=calm,
        after=tuple(moment for _, moment in sorted(worse, key=lambda each: (-each[1].short, -each[0]))),
        fullest=fullest,
        together=at_once(standing) if together else None,
        copying=copying(standing, flows) if together else (),
        tried=len(standing.parts) if flows.streams else 0,
        taken=taken(standing, flows) if flows.streams and together else (),
    )


def _losses(standing: Standing, losing: Losing) -> Iterator[tuple[Change, Less]]:
    if not losing.flows.streams:
        return
    names = [name for name in losing.names if name in standing.support.things]
    for change in single_losses(standing, names):
        less = losing.after(change.there, change.changed)
        if less is not None:
            yield change, less


def _moment(flows: Flowing, change: Change, less: Less) -> Moment:
    fuller = [
        flows.fill(place, asked, carries)
        for place, (asked, carries) in less.asked.items()
        if asked and (not carries or asked / carries > flows.full_now.of(place)[0])
    ]
    return Moment(
        lost=change.parts,
        passed=tuple(less.passed.get(number, now) for number, now in enumerate(flows.now.passed)),
        filled=tuple(sorted(fuller, key=lambda each: -each.share)),
        root=_root(flows, less.open_),
    )


def _root(flows: Flowing, open_: OpenWays) -> str:
    """The root of the first network that has one."""
    trees = (open_.tree(name) for name in flows.wires.networks)
    return next((found.roots[0] for found in trees if found.roots), "")


def at_once(standing: Standing) -> Together | None:
    """The largest share of all traffic of now that could get through at once.

    Each cable may be used as well as can be, those that bridges keep waiting too.

    Returns:
        None where there is no traffic on the wire, where some of it has no way at all, or where the program would be
        too large.
    """
    flows = flowing(standing)
    if any(each.cut_off for each in flows.now.passed):
        return None
    legs = [
        (flow.strand.amount, leg.network, ends)
        for line in flows.now.lines
        for flow in line.flows
        if flow.route is not None and flow.strand.amount
        for leg, ends in zip(
            flow.route.legs,
            zip((flow.strand.one, *flow.route.via), (*flow.route.via, flow.strand.other), strict=True),
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
    switches = {switch for wired in flows.wires.networks.values() for switch in wired.switches}
    links = tuple(
        Link(name=carrier.name, one=carrier.ends[0], other=carrier.ends[1], carries=carries)
        for carrier in flows.wires.carriers
        if (carries := sum(carrier.live(stands)))
        and all(end not in switches or stands(end) for end in carrier.ends)
    )
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
