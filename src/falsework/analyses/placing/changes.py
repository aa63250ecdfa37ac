"""Which few changes to the lab would let a placement meet what is asked?

The weights are no money: they say what people would rather do. A key in the lab file costs least, a smaller copy
more, another machine most.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from falsework.analyses.placing.why import amount
from falsework.engines.placing.problem import NOWHERE, Apart, Problem
from falsework.engines.placing.why_not import Change, Contradiction, Kind, loosened
from falsework.errors import few
from falsework.model.services import LEVELS
from falsework.support.placing.amounts import MEMORY, UNBOUND
from falsework.support.placing.whole import Placeable

SHED, NEARER, SMALLER, SECOND, LARGER, ANOTHER = 1.0, 2.0, 3.0, 4.0, 5.0, 8.0
"""Assumed: what each kind of change weighs."""
MOST = 16
"""Changes that are looked at; every three of them may be tried."""
MOST_SECOND = 3
"""Hosts, for each loss, that a second cord or port is thought of for."""
CORD, PORT = ("circuit", "strip", "ups", "outside"), ("switch", "cable")
"""What a second cord, or a second port, lets a host outlive."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """What would help.

    Attributes:
        says: the changes, each in a clause; empty where none of what was tried helps.
        complete: whether no lighter set of the changes that were looked at helps, or none at all.
    """

    says: tuple[str, ...]
    complete: bool


def mended(asked: Placeable, problem: Problem, found: Contradiction, *, seconds: float = 20.0) -> Mended:
    """The lightest set of at most three changes after which there is a placement.

    Args:
        asked: the lab's problem, for names.
        problem: what can't be met.
        found: why not; only what it speaks of is changed.
        seconds: about how long to look.
    """
    changes = sorted(_changes(asked, problem, found), key=lambda change: change.price)[:MOST]
    answer = loosened(problem, changes, seconds=seconds)
    return Mended(says=tuple(each.name for each in answer.changes or ()), complete=answer.complete)


def _changes(asked: Placeable, problem: Problem, found: Contradiction) -> Iterator[Change]:
    services = dict.fromkeys(
        asked.scene.copies[each.numbers[0]].service for each in found.reasons if each.kind is Kind.SIZE
    )
    lost = any(each.kind is Kind.LOSS for each in found.reasons)
    for service in services:
        if lost and not asked.scene.services[service].sheds:
            yield Change(
                name=f"let {service} be left out when room is short (`sheds: yes`)",
                price=SHED,
                made=_shedding(asked.scene.items[service]),
            )
        size = problem.size[asked.scene.items[service][0]]
        if size[MEMORY] > 1:
            yield Change(
                name=f"{service} with {amount(MEMORY, int(size[MEMORY]) // 2)} instead of {amount(MEMORY, int(size[MEMORY]))}",
                price=SMALLER,
                made=_smaller(asked.scene.items[service]),
            )
    for each in found.reasons:
        if each.kind is Kind.APART:
            yield from _nearer(asked, problem, each.numbers)
    losing = _losing(asked, problem, found)
    for number, part in losing.items():
        yield from _second(asked, problem, number, part)
    if problem.n_bins:
        most = int(np.argmax(np.where(problem.capacity < UNBOUND // 2, problem.capacity, 0)[:, MEMORY]))
        host = asked.scene.hosts[most]
        parts = tuple(dict.fromkeys(part for part, _ in losing.values()))
        elsewhere = f", that does not go with {few(parts)}" if parts else ""
        yield Change(
            name=f"one more host like {host}, in an enclosure of its own{elsewhere}",
            price=ANOTHER,
            made=_another(most, found),
        )
        has = int(problem.capacity[most, MEMORY])
        if (
            any(each.kind is Kind.RESOURCE and each.numbers[0] == MEMORY for each in found.reasons)
            and has < UNBOUND // 2
        ):
            yield Change(
                name=f"half as much memory again in every host, {amount(MEMORY, has // 2)} more in {host}",
                price=LARGER,
                made=_larger,
            )


def _losing(asked: Placeable, problem: Problem, found: Contradiction) -> dict[int, tuple[str, str]]:
    """Rules about a loss of what feeds hosts or connects them: the part and what a second of lets a host outlive it.

    Only where every part that aims name, and that takes just these hosts away, is of that kind.
    """
    lab, things = asked.scene.standing.lab, asked.scene.standing.support.things
    aimed = {part for aim in lab.aims for said in (aim.lose, aim.room_without) if said for part in said.ids}
    losing: dict[int, tuple[str, str]] = {}
    for number in (at for each in found.reasons if each.kind is Kind.AT_MOST for at in each.numbers):
        gone = frozenset(problem.at_most[number].bins)
        parts = [part for part in asked.losses.parts.get(gone, ()) if part in aimed]
        for kinds, second in ((CORD, "cord"), (PORT, "port")):
            if parts and all(things[part].word in kinds for part in parts):
                losing[number] = parts[0], second
    return losing


def _second(asked: Placeable, problem: Problem, number: int, losing: tuple[str, str]) -> Iterator[Change]:
    """A host stays where a loss would take it, by a second cord or port; alone of those that the loss takes."""
    rule, (part, second) = problem.at_most[number], losing
    able = [
        at for at in rule.bins if any(asked.scene.hosts[at] in asked.scene.may[item] for item in rule.items)
    ]
    for at in able[:MOST_SECOND]:
        yield Change(
            name=f"a second {second} for {asked.scene.hosts[at]}, so that it stays without {part}",
            price=SECOND,
            made=_outliving(at, frozenset(rule.bins)),
        )


def _outliving(host: int, gone: frozenset[int]) -> Callable[[Problem], Problem]:
    def made(problem: Problem) -> Problem:
        return replace(
            problem,
            at_most=tuple(
                replace(each, bins=tuple(at for at in each.bins if at != host))
                if frozenset(each.bins) == gone
                else each
                for each in problem.at_most
            ),
        )

    return made


def _shedding(items: tuple[int, ...]) -> Callable[[Problem], Problem]:
    def made(problem: Problem) -> Problem:
        sheds = problem.shedding.copy()
        sheds[list(items)] = True
        return replace(problem, sheds=sheds)

    return made


def _smaller(items: tuple[int, ...]) -> Callable[[Problem], Problem]:
    def made(problem: Problem) -> Problem:
        size = problem.size.copy()
        size[list(items), MEMORY] //= 2
        return replace(problem, size=size)

    return made


def _larger(problem: Problem) -> Problem:
    capacity = problem.capacity.copy()
    bound = capacity[:, MEMORY] < UNBOUND // 2
    capacity[bound, MEMORY] = capacity[bound, MEMORY] * 3 // 2
    return replace(problem, capacity=capacity)


def _nearer(asked: Placeable, problem: Problem, numbers: tuple[int, ...]) -> Iterator[Change]:
    """Copies of one service kept apart at the next nearer level only."""
    items = problem.apart[numbers[0]].items
    service = asked.scene.services[asked.scene.copies[items[0]].service]
    if tuple(items) != asked.scene.items[service.id] or service.apart == "node":
        return
    level = LEVELS[LEVELS.index(service.apart) - 1]
    rule = Apart(name=problem.apart[numbers[0]].name, items=items, domain=asked.scene.domains(level))

    def made(problem: Problem) -> Problem:
        apart = tuple(rule if number in numbers else each for number, each in enumerate(problem.apart))
        return replace(problem, apart=apart)

    yield Change(
        name=f"keep copies of {service.id} apart by {level} only (`apart: {level}`)", price=NEARER, made=made
    )


def _another(like: int, found: Contradiction) -> Callable[[Problem], Problem]:
    """One more bin like another, that shares no domain, and is lost alone: then what is asked of losses is kept too."""

    def longer(domain: tuple[int, ...]) -> tuple[int, ...]:
        return (*domain, max(domain, default=NOWHERE) + 1 if domain[like] != NOWHERE else NOWHERE)

    def made(problem: Problem) -> Problem:
        allowed, new = problem.allowed, problem.n_bins
        asking = [
            problem.at_most[at] for each in found.reasons if each.kind is Kind.AT_MOST for at in each.numbers
        ]
        room = [problem.losses[at] for each in found.reasons if each.kind is Kind.LOSS for at in each.numbers]
        return replace(
            problem,
            bin_names=(*problem.bin_names, "one more"),
            capacity=np.vstack([problem.capacity, problem.capacity[like]]),
            allowed=None if allowed is None else np.hstack([allowed, allowed[:, [like]]]),
            apart=tuple(replace(each, domain=longer(each.domain)) for each in problem.apart),
            together=tuple(replace(each, domain=longer(each.domain)) for each in problem.together),
            spread=tuple(replace(each, domain=longer(each.domain)) for each in problem.spread),
            near=tuple(replace(each, domain=longer(each.domain)) for each in problem.near),
            at_most=(*problem.at_most, *(replace(each, bins=(new,)) for each in asking)),
            losses=(*problem.losses, *(replace(each, bins=(new,)) for each in room[:1])),
            comfort=(),
            balance=(),
            moves=(),
        )

    return made
