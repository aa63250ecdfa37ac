"""What would mend a fall: what to change at the end of its chain?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.verdicts import Loss, Verdict
from falsework.engines.ways import reach
from falsework.model.parts import ThingId
from falsework.model.rules import majority_of
from falsework.model.services import Copy, Service
from falsework.support.graph import Role
from falsework.support.standing import Standing

NO_ROOM = "give the pool another host, make copies smaller, or let some be left out with sheds: yes"


def mend(loss: Loss, service: str, standing: Standing) -> str:
    """One sentence on what to change so that this loss no longer hurts this service, or an empty one.

    It names the first link of the chain where a second way is missing: a copy, a feed, a cable, a place.
    """
    if loss.of(service).verdict is Verdict.LOST:
        return "keep a backup on drives that this loss leaves alone"
    reasons = loss.why(service)
    if not reasons:
        return ""
    lost = reasons[-1].thing
    word = standing.support.things[lost].word
    for reason in reasons:
        thing = standing.support.things[reason.thing]
        if reason.role is Role.ROOM:
            return NO_ROOM
        if reason.by_wire:
            return _wire(word, lost)
        if reason.role is Role.LOAD:
            return f"move machines off {thing.id}, or feed it from a stronger circuit"
        if reason.thing == lost:
            break
        if thing.word == "service":
            answer = _copies(thing.id, lost, word, standing)
            if answer:
                return answer
    return _part(lost, word, fed=any(reason.role is Role.POWER for reason in reasons))


def _wire(word: str, lost: str) -> str:
    if word in ("strip", "circuit", "ups", "outside", "supply"):
        return f"feed the switches from more than {lost}"
    if word == "card":
        return "put the second cable on another card"
    return f"give the hosts a second way past {lost}: another cable to another switch"


def _copies(name: str, lost: str, word: str, standing: Standing) -> str:
    """What to do about a service's copies, if they are where a second way is missing."""
    service = standing.lab.things[ThingId(name)]
    if not isinstance(service, Service):
        return ""
    copies = [copy for copy in standing.lab.of(Copy) if copy.service == name]
    needed = majority_of(service.serves, len(copies))
    fallen = [copy for copy in copies if lost in _under(standing, copy.host)]
    if len(copies) == 1 and not copies[0].pool:
        return f"give {name} a second copy, on a node that does not lean on {lost}"
    if fallen and len(copies) > 1 and len(copies) - len(fallen) < needed:
        spare = len(copies) - needed
        if spare <= 0:
            return f"give {name} more copies, so that it can spare one"
        return f"spread {name}: at most {spare} of its {len(copies)} copies may lean on {_one(word, lost)}"
    return ""


def _under(standing: Standing, host: str) -> set[str]:
    """Everything that a host can't run without."""
    things = standing.support.things

    def bears(name: str) -> Iterator[str]:
        for lean in things[name].leans:
            if lean.role in (Role.POWER, Role.HOUSING, Role.DRIVES) and lean.enough == len(lean.on):
                yield from lean.on

    return set(reach((host,), bears))


def _one(word: str, lost: str) -> str:
    """`one strip`, or the thing's own name where there is hardly a second of its kind."""
    levels = ("node", "enclosure", "strip", "circuit", "switch", "rack", "room")
    return f"one {word}" if word in levels else lost


def _part(lost: str, word: str, *, fed: bool) -> str:
    """What to do about a part by itself."""
    if fed:
        return f"give what leans on {lost} a second supply from another source"
    if word == "outside":
        return f"find a second way beside {lost}, or say how long it may be gone: add a hold with `for`"
    if word == "drive":
        return f"lay {lost} out with another drive, as a mirror or with parity"
    if word in ("switch", "cable", "card"):
        return f"give the hosts a second way past {lost}"
    return f"give what leans on {lost} a second copy elsewhere"
