"""For each kind of finding: what of it is left in a lab, and which edits are worth a try?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from falsework.analyses.aims.leaving import room_left
from falsework.analyses.aims.losing import counts
from falsework.analyses.aims.result import about
from falsework.analyses.aims.starting import cold
from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.shutdown import shutdowns
from falsework.analyses.verdicts import Verdict, losses, verdict_rows
from falsework.errors import few
from falsework.findings.edits import (
    addressing,
    backing,
    batches,
    ending,
    knowing,
    room,
    sharing,
    telling,
    waiting,
)
from falsework.findings.edits.falling import falling
from falsework.findings.edits.writing import Edit
from falsework.findings.finding import Finding
from falsework.findings.rules import (
    addresses,
    inrush,
    keeping,
    power,
    power_returns,
    rebuilding,
    wiring,
)
from falsework.findings.rules import telling as telling_rules
from falsework.model.parts import ThingId
from falsework.model.people import Aim, Alarm
from falsework.model.services import Data
from falsework.support.standing import Standing

Rule = Callable[[Standing], Iterator[Finding]]
Writer = Callable[[Standing, Finding], Iterator[Edit]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """How one finding is looked for in an edited lab, and what may be tried.

    Attributes:
        left: how much of it is there, 0 for nothing; smaller is nearer.
        edits: what to try on a lab, the likest first.
        even: whether an edit takes away about as much as the next, so that it shows early when too much would be left.
        partly: whether it is worth something to take only a part of it away.
        remains: what is left, in a clause.
    """

    left: Callable[[Standing], int]
    edits: Callable[[Standing], Iterator[Edit]]
    partly: bool = False
    even: bool = True
    remains: Callable[[Standing], str] = lambda _: ""


def case_of(finding: Finding, standing: Standing) -> Case | None:
    """How to go about a finding of a lab; None for kinds that no edit mends."""
    if finding.code == "single point":
        return Case(
            left=lambda now: _fallen(now, finding.things[:1]),
            edits=lambda now: falling(now, finding.things[:1]),
            partly=True,
            remains=lambda now: _still(now, finding.things[:1]),
        )
    if finding.code == "aim broken":
        aim = next((each for each in standing.lab.aims if each.where == finding.where), None)
        return _of_aim(aim, finding) if aim is not None else None
    if finding.code == "stays down":
        return Case(left=waiting.blocks, edits=waiting.waiting, even=False)
    if finding.code not in _RULES:
        return None
    rule, writer = _RULES[finding.code]
    known = frozenset(map(_name, rule(standing)))
    return Case(
        left=lambda now: _left(rule(now), finding, known),
        edits=lambda now: writer(now, _now(rule(now), finding)),
    )


def thought_of(finding: Finding, standing: Standing) -> bool:
    """Whether there is anything to try for a finding; without trying it."""
    return finding.code in _RULES or case_of(finding, standing) is not None


def _of_aim(aim: Aim, finding: Finding) -> Case | None:
    """How to go about a broken aim: through the loss that breaks it, or what else does."""
    if finding.things and not aim.told:
        return Case(
            left=lambda now: _breaking(now, aim.name, finding.things),
            edits=lambda now: falling(now, finding.things, of=_spoken_of(now, aim.name), within_s=aim.within),
        )
    if aim.cold_start:
        return Case(left=lambda now: _stuck(now, aim.name), edits=waiting.waiting, even=False)
    if aim.room_without is not None:
        return Case(
            left=lambda now: _homeless(now, aim.name),
            edits=lambda now: room.roomier(now, _named(now, aim.name).room_without),
        )
    if aim.told and finding.things:
        return Case(
            left=lambda now: _silent(now, finding.things),
            edits=lambda now: telling.other_ways(now, finding.things),
        )
    return None


def _fallen(standing: Standing, lost: tuple[str, ...]) -> int:
    """How many services a loss brings down; none where the part is not there any more."""
    if any(name not in standing.leaf for name in lost):
        return 0
    return int((verdict_rows(standing, standing.service_rows([lost])) >= Verdict.FALLS).sum())


def _still(standing: Standing, lost: tuple[str, ...]) -> str:
    """What a loss brings down all the same."""
    fallen = [each.service for each in losses(standing, [lost])[0].effects if each.verdict >= Verdict.FALLS]
    return f"lose {' and '.join(lost)}: {few(fallen)} {'falls' if len(fallen) == 1 else 'fall'} all the same"


def _breaking(standing: Standing, name: str, lost: tuple[str, ...]) -> int:
    """How many services a loss hurts more than an aim allows."""
    aim = _named(standing, name)
    if any(each not in standing.leaf for each in lost):
        return 0
    loss = losses(standing, [lost], thin=aim.at_most == "stands")[0]
    services, data = about(aim, standing)
    gone = sum(standing.baseline.kept(f"kept:{each}") and not loss.view.kept(f"kept:{each}") for each in data)
    allowed = Verdict[aim.at_most.upper()]
    return gone + sum(counts(aim, loss.of(service), allowed) for service in services)


def _silent(standing: Standing, lost: tuple[str, ...]) -> int:
    """How many steps of alarms are gone with a loss that brings services down; none where some alarm leaves."""
    bells = standing.lab.of(Alarm)
    loss = losses(standing, [lost])[0]
    fallen = [each for each in loss.effects if each.verdict >= Verdict.FALLS]
    if any(loss.of(bell.id).verdict < Verdict.FALLS for bell in bells) or len(fallen) <= len(bells):
        return 0
    return 1 + min(
        sum(
            not loss.view.back(step) for said in (bell.raised_by, bell.leaves_by) if said for step in said.ids
        )
        for bell in bells
    )


def _spoken_of(standing: Standing, name: str) -> frozenset[str]:
    """The services that an aim is about, and those of the data that it is about."""
    services, data = about(_named(standing, name), standing)
    owners = [
        service
        for each in data
        if isinstance(thing := standing.lab.things[ThingId(each)], Data) and thing.of
        for service in thing.of.ids
    ]
    return frozenset((*services, *owners))


def _stuck(standing: Standing, name: str) -> int:
    """How much does not come back as an aim wants it."""
    result = cold(_named(standing, name), standing)
    return 0 if result.met else 1 + waiting.blocks(standing)


def _homeless(standing: Standing, name: str) -> int:
    """How many copies find no room, counted for each part that an aim wants to be without."""
    aim = _named(standing, name)
    if room_left(aim, standing).met:
        return 0
    return 1 + len(room.homeless(standing, aim.room_without))


def _named(standing: Standing, name: str) -> Aim:
    return next(aim for aim in standing.lab.aims if aim.name == name)


def _same(one: Finding, other: Finding) -> bool:
    """Whether two findings are the same, of a lab before and after an edit: what is hurt besides may differ."""
    whole = one.code in ("nobody is told", "too much at once")
    return one.code == other.code and (whole or one.things[:1] == other.things[:1])


def _left(found: Iterator[Finding], finding: Finding, known: frozenset[object]) -> int:
    """How much is told of a finding: one, and one more for each thing that it is about.

    And one for each that the same rule tells instead, and did not before.
    """
    told = tuple(found)
    own = sum(len(each.things) + 1 for each in told if _same(each, finding))
    return own + sum(_name(each) not in known for each in told if not _same(each, finding))


def _name(finding: Finding) -> object:
    return finding.code, finding.things[:1]


def told_besides(standing: Standing) -> Mapping[object, str]:
    """What the quick rules tell of a lab, by kind and first thing: to see what an edit brings."""
    rules = {id(rule): rule for rule, _ in _RULES.values() if rule is not _alone}
    return {_name(each): each.says for rule in rules.values() for each in rule(standing)}


def _now(found: Iterator[Finding], finding: Finding) -> Finding:
    """The finding as it is told of this lab; as it was if it is not told any more."""
    return next((each for each in found if _same(each, finding)), finding)


def _alone(standing: Standing) -> Iterator[Finding]:
    return telling_rules.alarms(standing, singles(standing, all_pairs(standing)))


def _stopping(standing: Standing) -> Iterator[Finding]:
    return power.shutdown(shutdowns(standing), standing)


def _given(standing: Standing) -> Iterator[Finding]:
    return addresses.given(standing.lab)


def _of_data(standing: Standing, finding: Finding) -> Data:
    thing = standing.lab.things[ThingId(finding.things[0])]
    assert isinstance(thing, Data)
    return thing


def _keys(standing: Standing, finding: Finding) -> Iterator[Edit]:
    for name in finding.things[1:]:
        yield from backing.kept_elsewhere(standing, name)


_RULES: Mapping[str, tuple[Rule, Writer]] = {
    "battery too short": (
        _stopping,
        lambda standing, finding: ending.signalled_sooner(standing, finding.things[0]),
    ),
    "message not delivered": (
        _stopping,
        lambda standing, finding: ending.fed_from_battery(standing, finding.things[0]),
    ),
    "switched off too soon": (
        lambda standing: power_returns.too_soon(shutdowns(standing), standing),
        lambda standing, finding: ending.switched_off_later(standing, finding.things[0]),
    ),
    "off until a hand comes": (
        lambda standing: power_returns.half_way(shutdowns(standing), standing),
        lambda standing, finding: ending.switched_off_later(standing, finding.things[0]),
    ),
    "trips": (power.carried, lambda standing, finding: sharing.unloaded(standing, finding.things[0])),
    "too many volt-amperes": (
        power.carried,
        lambda standing, finding: sharing.unloaded(standing, finding.things[0]),
    ),
    "close to the limit": (
        power.carried,
        lambda standing, finding: sharing.unloaded(standing, finding.things[0]),
    ),
    "too much at once": (inrush.at_once, lambda standing, finding: sharing.one_after_another(standing)),
    "one cause takes both": (
        keeping.batches,
        lambda standing, finding: batches.mixed_batches(standing, finding.things[1:]),
    ),
    "backup on its source": (
        keeping.backups,
        lambda standing, finding: backing.moved_backups(standing, _of_data(standing, finding)),
    ),
    "backup too rare": (
        keeping.backups,
        lambda standing, finding: backing.oftener(standing, _of_data(standing, finding)),
    ),
    "exists only here": (
        rebuilding.rebuilding,
        lambda standing, finding: backing.first_backups(standing, _of_data(standing, finding)),
    ),
    "key lost with its backup": (rebuilding.rebuilding, _keys),
    "nobody is told": (_alone, lambda standing, finding: telling.other_ways(standing, finding.things)),
    "silence goes unseen": (_alone, lambda standing, finding: telling.missed(standing, finding.things[0])),
    "one address known": (
        wiring.wiring,
        lambda standing, finding: knowing.by_name(standing, finding.things[0], finding.where),
    ),
    "address in the pool": (_given, addressing.out_of_the_pool),
    "addresses run out": (_given, addressing.widened),
    "address not kept": (_given, addressing.kept_addresses),
}
"""By kind of finding: what tells of it, and what may be tried."""
