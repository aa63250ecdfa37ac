"""What would keep services up that a loss brings down?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from falsework.analyses.verdicts import Verdict
from falsework.findings.edits.backing import backups_of
from falsework.findings.edits.cables import cables
from falsework.findings.edits.copies import copies
from falsework.findings.edits.feeds import feeds
from falsework.findings.edits.knowing import by_name
from falsework.findings.edits.room import room
from falsework.findings.edits.scene import Scene, copies_of, scene
from falsework.findings.edits.writing import Edit, careful
from falsework.model.parts import SOURCES, ThingId
from falsework.model.services import Data, owner
from falsework.support.graph import Role
from falsework.support.standing import Standing
from falsework.where import Where

NODES = 4
"""Machines cut off together for which another cable is thought of."""


class _Spot(NamedTuple):
    """One thing that lacks a second way, of what sort, and the place that says so."""

    sort: str
    name: str
    where: Where | None = None


def falling(
    standing: Standing,
    lost: tuple[str, ...],
    *,
    of: frozenset[str] | None = None,
    within_s: float | None = None,
) -> Iterator[Edit]:
    """Edits where the chains lack a second way; what most chains pass comes first.

    Args:
        standing: the lab.
        lost: what is lost.
        of: the services that matter; all if not said.
        within_s: what falls only later does not matter, seconds.
    """
    at = scene(standing, lost, within_s=within_s)
    hurt = [
        effect
        for effect in at.loss.effects
        if effect.verdict >= Verdict.BLINKS
        and (of is None or effect.service in of)
        and (within_s is None or effect.falls_s <= within_s)
    ]
    hurt = [effect for effect in hurt if effect.verdict >= Verdict.FALLS] or hurt
    met: Counter[_Spot] = Counter()
    for effect in hurt:
        met.update(dict.fromkeys(_spots(at, effect.service), 1))
    lost_data = [effect.service for effect in hurt if effect.verdict is Verdict.LOST]
    for data in standing.lab.of(Data):
        if data.of and set(data.of.ids) & set(lost_data) and not at.loss.view.kept(f"kept:{data.id}"):
            yield from careful(backups_of(at, data))
    for spot, _ in met.most_common():
        yield from careful(_edits(at, spot))


def _spots(at: Scene, service: str) -> Iterator[_Spot]:
    """Where the chain of a service lacks a second way, from the service down."""
    things = at.standing.support.things
    powered = any(things[name].word in (*SOURCES, "supply") for name in at.loss.lost)
    for reason in at.loss.why(service):
        word = things[reason.thing].word
        if word in ("service", "copy"):
            yield _Spot("copies", owner(at.lab.things, reason.thing))
        if reason.role is Role.ROOM:
            yield _Spot("room", owner(at.lab.things, reason.thing))
        if reason.by_wire:
            yield _Spot("addresses", reason.thing, reason.where)
            for node in things[reason.thing].places[:NODES]:
                yield _Spot("cables", node)
        if reason.role is Role.POWER:
            yield _Spot("feeds", reason.thing)
        if (reason.role is Role.HOST or word == "node") and powered:
            hosts = things[reason.thing].at("now")
            for node in hosts[:NODES]:
                if not at.stands(node) and ThingId(node) in at.lab.things:
                    yield _Spot("feeds", node)
    for copy in copies_of(at.lab, service) if powered else ():
        if not at.stands(copy.host):
            yield _Spot("feeds", copy.host)


def _edits(at: Scene, spot: _Spot) -> Iterator[Edit]:
    if spot.sort == "copies":
        yield from copies(at, spot.name)
    elif spot.sort == "feeds":
        yield from feeds(at, spot.name)
    elif spot.sort == "addresses":
        yield from by_name(at.standing, spot.name, spot.where)
    elif spot.sort == "cables":
        yield from cables(at, spot.name)
    else:
        yield from room(at, spot.name)
