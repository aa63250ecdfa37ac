"""May a copy be elsewhere than the file says, may more or fewer copies be needed, or may a plug be elsewhere?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from falsework.analyses.comparing import Wrong
from falsework.errors import QuestionError, few
from falsework.findings.edits.scene import machine_of
from falsework.findings.edits.writing import Edit, alike, listed_at, put
from falsework.findings.explaining.scene import Change, Seen
from falsework.findings.finding import POWER_CAUTION
from falsework.model.parts import Cable, Card, Circuit, Node, Powered, Strip, Switch, ThingId, Ups
from falsework.model.services import Service

PLACES = 6
"""Other nodes that are thought of for a copy, and other sources for a machine."""


def elsewhere(seen: Seen, *, rank: int) -> Iterator[Change]:
    """A copy that is on another node: one that was gone where more fell, one that stood where less did."""
    more = seen.line.wrong in (Wrong.FELL, Wrong.SOONER, Wrong.STAYED)
    nodes = [node.id for node in seen.lab.of(Node)]
    cut = any(
        isinstance(seen.lab.things.get(ThingId(name)), Cable | Card | Switch) for name in seen.comparison.lost
    )
    # Who is cut off stands all the same: then any node may be meant.
    gone = seen.gone_names if more else frozenset(seen.comparison.lost)
    for service in seen.services():
        hosts = [copy.host for copy in seen.copies(service)]
        targets = [
            node
            for node in nodes
            if (cut or (node in gone) == more) and (node not in hosts or service.apart == "not")
        ]
        for number, host in enumerate(hosts):
            if cut or (host in seen.gone_names) != more:
                for node in targets[:PLACES]:
                    yield from _moved(seen, service, hosts, number, node, rank)


def _moved(
    seen: Seen, service: Service, hosts: list[str], number: int, node: str, rank: int
) -> Iterator[Change]:
    new = [node if each == number else host for each, host in enumerate(hosts)]
    pooled = any(copy.pool for copy in seen.copies(service))
    try:
        if pooled or (service.on is not None and len(service.on.ids) != len(hosts)):
            texts = put(seen.lab.files, service, "placed", new)
        else:
            texts = listed_at(seen.lab.files, service.place("on"), new)
    except QuestionError:
        return
    says = f"a copy of {service.id} runs on {node} and not on {hosts[number]}"
    yield Change(edit=Edit(says=says, texts=texts), rank=rank)


def enough(seen: Seen, *, rank: int) -> Iterator[Change]:
    """More or fewer of its copies are needed."""
    stood = math.isinf(seen.line.falls_s) or seen.line.wrong is Wrong.CAME
    for number, service in enumerate(seen.services()):
        count = len(seen.copies(service))
        if count < 2 or (service.takes_over is not None and not stood):
            continue
        for serves in ("any",) if stood else ("majority", "all"):
            if serves == service.serves or (serves == "majority" and count == 2):
                continue
            try:
                texts = put(seen.lab.files, service, "serves", serves)
            except QuestionError:
                continue
            how = {"any": "any of its copies", "majority": "most of its copies", "all": "all its copies"}[
                serves
            ]
            yield Change(
                edit=Edit(says=f"{service.id} serves with {how}", texts=texts), rank=rank + min(number, 1)
            )


def plugged(seen: Seen, *, rank: int) -> Iterator[Change]:
    """A machine under it is fed otherwise."""
    fell = seen.line.wrong in (Wrong.FELL, Wrong.SOONER, Wrong.STAYED)
    machines = {}
    for thing in seen.under:
        machine = machine_of(seen.lab, thing.id) if isinstance(thing, Node) else None
        if (
            machine is not None
            and machine.fed_by is not None
            and not isinstance(machine, Circuit | Strip | Ups)
        ):
            machines[machine.id] = machine
    sources = [each.id for kind in (Strip, Circuit, Ups) for each in seen.lab.of(kind)]
    for machine in machines.values():
        assert machine.fed_by is not None
        has = tuple(dict.fromkeys(machine.fed_by.ids))
        words = {seen.lab.things[ThingId(name)].IS for name in has}
        others = [
            name
            for name in sources
            if name not in has
            and (name in seen.gone_names) == fell
            and seen.lab.things[ThingId(name)].IS in words
        ]
        gone = [name for name in has if (name in seen.gone_names) == fell]
        wanted = [gone] if gone and len(gone) < len(has) else []
        if fell and len(gone) == len(has) > 1:  # all of them fall, and one of them sooner
            wanted = [[name] for name in has]
        wanted += [[name] if fell else [*has, name] for name in others[:PLACES]]
        for value in wanted:
            yield from _fed(seen, machine, value, rank, only=fell)
    if not fell:
        yield from _unloaded(seen, rank)


def _unloaded(seen: Seen, rank: int) -> Iterator[Change]:
    """A machine that does not load a source that would trip: what stood had less to carry."""
    tripped = {load.source for load in seen.standing.support.loads} & seen.gone_names - set(
        seen.comparison.lost
    )
    for machine in seen.lab.of(Powered) if tripped else ():
        has = tuple(dict.fromkeys(machine.fed_by.ids)) if machine.fed_by is not None else ()
        left = [name for name in has if name not in tripped]
        if left and len(left) < len(has) and not isinstance(machine, Circuit | Strip | Ups):
            yield from _fed(seen, machine, left, rank, only=True)


def _fed(seen: Seen, machine: Powered, value: list[str], rank: int, *, only: bool) -> Iterator[Change]:
    try:
        texts = put(seen.lab.files, machine, "fed by", value if len(value) > 1 else value[0])
    except QuestionError:
        return
    names = alike(seen.lab, machine)
    says = f"{few(names)} {'is' if len(names) == 1 else 'are'} fed {'only ' if only else ''}from {few(value)}"
    yield Change(edit=Edit(says=says, texts=texts, caution=POWER_CAUTION), rank=rank)
