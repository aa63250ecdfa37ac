"""Which cable would give a machine another way onto the wire?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from falsework.errors import QuestionError
from falsework.findings.edits.scene import Scene
from falsework.findings.edits.writing import Edit, list_around, listed_at, longer, put_in_section, text_at
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Node, Switch, ThingId
from falsework.where import Where

SWITCHES = 3
"""Other switches that are thought of for each machine."""
APART = 8
"""Machines of one line of cables that are written apart at most when one of them is plugged in elsewhere."""


def cables(at: Scene, node: str) -> Iterator[Edit]:
    """A second cable from a free port, else the one there is plugged into another switch."""
    thing = at.lab.things.get(ThingId(node))
    if not isinstance(thing, Node):
        return
    mine = [cable for cable in at.lab.of(Cable) if any(end[0] == node for end in cable.ends)]
    switches = list(islice(_others(at, mine, node), SWITCHES))
    free = _free(thing, mine)
    for switch in switches if free is not None else ():
        run = f"{node}.{free} -- {switch}" if free else f"{node} -- {switch}"
        try:
            texts = longer(at.texts, _list_of(at, mine), (run,)) if mine else put_cables(at, run)
        except QuestionError:
            continue
        yield Edit(
            says=f"lay a cable from {node} to {switch}",
            texts=texts,
            assumes=("a cable, and a free port at both ends",),
            sort=f"a cable more of {node}",
        )
    lost = [cable for cable in mine if not any(at.stands(end[0]) for end in cable.ends if end[0] != node)]
    for cable in lost[:1]:
        for switch in switches:
            yield from _moved(at, node, cable, switch)


def put_cables(at: Scene, run: str) -> dict[str, str]:
    """The texts with a first cable."""
    return dict(put_in_section(at.texts, "wire", "cables", [run]))


def _moved(at: Scene, node: str, cable: Cable, switch: str) -> Iterator[Edit]:
    """The line that says this cable says it otherwise; the others of that line stay as they are."""
    said = text_at(at.texts, cable.where)
    if said is None or cable.group:
        return
    row = [each for each in at.lab.of(Cable) if each.where == cable.where]
    port = next(port for end, port in cable.ends if end == node)
    run = f"{node}.{port} -- {switch}" if port else f"{node} -- {switch}"
    others = [_run(each) for each in row if each.id != cable.id]
    if len(others) >= APART:
        return
    try:
        texts = listed_at(at.texts, cable.where, (run,))
        if others:
            texts = longer(texts, _list_of(at, [cable]), others)
    except QuestionError:
        return
    yield Edit(
        says=f"plug {node} into {switch} instead of {_end(cable, node)}",
        texts=texts,
        assumes=(f"the cable reaches {switch}, which has a free port",),
        sort=f"a cable of {node} moved",
    )


def _run(cable: Cable) -> str:
    """A cable as a line of its own; at a switch the next free port will do."""
    (one, port), (other, _) = cable.ends
    return f"{one}.{port} -- {other}" if port else f"{one} -- {other}"


def _end(cable: Cable, node: str) -> str:
    return next(end for end, _ in cable.ends if end != node)


def _list_of(at: Scene, mine: list[Cable]) -> Where:
    """The place of the list of cables, found from one of them."""
    return list_around(at.texts, mine[0].where)


def _free(node: Node, mine: list[Cable]) -> str | None:
    """A port without a cable; `` where the machine names none of its ports; None where all are taken."""
    used = {port for cable in mine for end, port in cable.ends if end == node.id}
    if not node.ports:
        return ""
    return next((port for port in node.ports if port not in used and port != node.controller), None)


def _others(at: Scene, mine: list[Cable], node: str) -> Iterator[str]:
    """Switches that stand and it is not plugged into: those that carry what its own switch does first."""
    lab = at.lab
    has: set[str] = {end for cable in mine for end, _ in cable.ends if end != node}
    near = _joined(lab, has)
    found = [each.id for each in lab.of(Switch) if each.id not in has and at.stands(each.id)]
    yield from sorted(found, key=lambda each: each not in near)


def _joined(lab: Lab, switches: set[str]) -> set[str]:
    """Switches with a cable to these."""
    return {
        end for cable in lab.of(Cable) if {name for name, _ in cable.ends} & switches for end, _ in cable.ends
    }
