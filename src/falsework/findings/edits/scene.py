"""What does a writer of edits look at?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from falsework.analyses.verdicts import Loss, losses
from falsework.model.domains import housed_in
from falsework.model.lab import Lab
from falsework.model.parts import Node, Powered, ThingId
from falsework.model.people import Alarm
from falsework.model.services import Copy, Data, Service
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A lab, and one loss in it.

    Attributes:
        standing: the lab.
        loss: what is lost, and what that does.
        within_s: what falls only later than this counts as standing, seconds; None where all of it counts.
    """

    standing: Standing
    loss: Loss
    within_s: float | None = None

    @property
    def lab(self) -> Lab:
        """The lab."""
        return self.standing.lab

    @property
    def texts(self) -> Mapping[str, str]:
        """Its files."""
        return self.standing.lab.files

    def stands(self, name: str) -> bool:
        """Whether a thing stands all the same, or long enough."""
        down = self.loss.down.get(name)
        return down is None or (self.within_s is not None and down.falls_s > self.within_s)


def scene(standing: Standing, lost: tuple[str, ...], *, within_s: float | None = None) -> Scene:
    """A lab with these parts lost."""
    return Scene(standing=standing, loss=losses(standing, [lost])[0], within_s=within_s)


def leaned_on(lab: Lab) -> frozenset[str]:
    """Everything that something else needs, is backed up to, or is told by."""
    found: set[str] = set()
    for thing in lab.things.values():
        needs = thing.needs
        for need in (*needs.run_and_start, *needs.to_run, *needs.to_start) if needs else ():
            found.update(need.of.ids)
    for data in lab.of(Data):
        found.update(name for backup in data.backed_up for name in backup.to.ids)
    for bell in lab.of(Alarm):
        for said in (bell.raised_by, bell.leaves_by):
            found.update(said.ids if said else ())
    return frozenset(found)


def copies_of(lab: Lab, service: str) -> tuple[Copy, ...]:
    """The copies of a service, in order."""
    return tuple(copy for copy in lab.of(Copy) if copy.service == service)


def machine_of(lab: Lab, name: str) -> Powered | None:
    """The machine that has a node's supplies: itself, or what houses it."""
    for each in (name, *housed_in(lab.things, name)):
        thing = lab.things.get(ThingId(each))
        if isinstance(thing, Powered) and thing.fed_by is not None:
            return thing
    return None


def other_nodes(at: Scene, service: Service) -> Iterator[Node]:
    """Nodes that a copy of a service could run on as well, the likest first: those that stand, and have none yet.

    The same kind as a node that it runs on, then those that bear services already, then the rest. One of each
    enclosure will do: its neighbours would fall with it.
    """
    lab = at.lab
    hosts = [copy.host for copy in copies_of(lab, service.id)]
    kinds = {lab.things[ThingId(host)].kind_name for host in hosts} - {""}
    used = {copy.host for copy in lab.of(Copy)}
    taken = {_box(lab, host) for host in hosts}
    nodes = [
        node
        for node in lab.of(Node)
        if node.id not in hosts and at.stands(node.id) and set(service.wants) <= set(node.has)
    ]
    seen: set[str] = set()
    for node in sorted(
        nodes,
        key=lambda each: (_box(lab, each.id) in taken, each.kind_name not in kinds, each.id not in used),
    ):
        if _box(lab, node.id) not in seen:
            seen.add(_box(lab, node.id))
            yield node


def _box(lab: Lab, node: str) -> str:
    housing = [each for each in housed_in(lab.things, node) if lab.things[ThingId(each)].IS == "enclosure"]
    return housing[0] if housing else node
