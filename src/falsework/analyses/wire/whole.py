"""What is to be told of the wire, all together?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from falsework import units
from falsework.analyses.wire.groups import groups
from falsework.analyses.wire.layout import layout
from falsework.analyses.wire.loops import loops
from falsework.analyses.wire.managed import managed
from falsework.analyses.wire.one_port import limits
from falsework.analyses.wire.oversubscription import subscribed
from falsework.analyses.wire.pauses import pauses
from falsework.analyses.wire.result import Loop, Wire
from falsework.analyses.wire.throughput import between
from falsework.analyses.wire.traffic import traffic, wires_of
from falsework.engines.convergence import link_group_s, rapid_spanning_tree_s, spanning_tree_s
from falsework.errors import QuestionError
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Switch, ThingId
from falsework.support.standing import Standing
from falsework.support.taken import Taken
from falsework.units import Dimension

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how far it is, and how far it goes."""
QUICK_S = 1.0
"""How long a rapid spanning tree, or a group whose cable goes dark, usually takes at the most."""


def wire(
    standing: Standing,
    *,
    lost: Iterable[str] = (),
    ends: tuple[str, str] = ("", ""),
    progress: Progress | None = None,
) -> Wire:
    """All of it.

    Args:
        standing: the lab, with what is out and what was asked to be lost.
        lost: which of what is out was asked to be lost, to be told so.
        ends: two things between which is asked; both empty for none.
        progress: told of long work.

    Raises:
        QuestionError: only one end was named, or there is no such end.
    """
    if bool(ends[0]) != bool(ends[1]):
        raise QuestionError(
            what="only one end of a way is named",
            mend="Name both: --from and --to.",
        )
    say = progress or (lambda what, done, of: None)
    say("following the cables", 0, 1)
    laid = layout(standing.lab)
    wires = wires_of(standing)
    joined = between(standing, *ends) if all(ends) else None
    say("losing what the wire hangs on", 0, 4)
    grouped = groups(standing, {run.id: run for run in laid.runs})
    say("losing what the wire hangs on", 1, 4)
    carried = traffic(standing)
    say("losing what the wire hangs on", 2, 4)
    edges = subscribed(standing)
    circles = loops(standing.lab, wires)
    waits = pauses(standing, wires)
    say("losing what the wire hangs on", 3, 4)
    return Wire(
        layout=laid,
        groups=grouped,
        loops=circles,
        pauses=waits,
        limits=limits(standing, wires),
        managed=managed(standing),
        traffic=carried,
        subscribed=edges,
        between=joined,
        lost=tuple(lost),
        taken=(
            *carried.taken,
            *laid.taken,
            *_timers(
                standing.lab, circles, grouped_cables={cable for each in grouped for cable in each.cables}
            ),
        ),
    )


def _timers(lab: Lab, circles: Iterable[Loop], *, grouped_cables: set[str]) -> Iterator[Taken]:
    """The times that were taken for switches on circles and for cables of groups."""
    on = dict.fromkeys(name for loop in circles for name in loop.switches)
    silent = [
        switch
        for switch in lab.named(on)
        if isinstance(switch, Switch) and switch.settles_in is None and switch.loops_cut_by != "nothing"
    ]
    for how, seconds, source in (
        ("spanning tree", spanning_tree_s(), "IEEE 802.1D timers: maximum age, then twice the forward delay"),
        (
            "rapid spanning tree",
            rapid_spanning_tree_s(),
            "IEEE 802.1D-2004: three messages of 2 s that do not come",
        ),
        (
            "",
            rapid_spanning_tree_s(),
            "assumed to be a rapid spanning tree: three messages of 2 s (IEEE 802.1D-2004)",
        ),
    ):
        those = tuple(switch.id for switch in silent if (switch.loops_cut_by or "") == how)
        if those:
            longest = seconds if how else spanning_tree_s()
            yield Taken(
                key="settles in",
                things=those,
                value=units.format(seconds, Dimension.TIME),
                source=source,
                of="the longest that the way round is interrupted",
                low=units.format(
                    spanning_tree_s(direct=True) if how == "spanning tree" else QUICK_S, Dimension.TIME
                ),
                high=units.format(longest, Dimension.TIME),
                where=lab.things[ThingId(those[0])].where,
            )
    cables = [
        cable
        for cable in lab.of(Cable)
        if cable.id in grouped_cables and cable.group and cable.notices_in is None
    ]
    if cables:
        yield Taken(
            key="notices in",
            things=tuple(cable.id for cable in cables),
            value=units.format(link_group_s(), Dimension.TIME),
            source="IEEE 802.1AX, short timeout: three messages of 1 s",
            of="how long what went over a lost cable of a group waits",
            low=units.format(QUICK_S, Dimension.TIME),
            high=units.format(link_group_s(fast=False), Dimension.TIME),
            where=cables[0].where,
        )
