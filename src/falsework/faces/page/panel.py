"""What stands beside the drawing: what is out, what that does to each service, and where each reason is written?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from falsework.analyses.explain import Reason, explain
from falsework.analyses.leaning import leans_told
from falsework.analyses.moment import Stop
from falsework.analyses.verdicts import Loss, Verdict
from falsework.errors import few
from falsework.faces.page.lines import address_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.report.states import States, time
from falsework.model.parts import ThingId
from falsework.support.standing import Standing
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One service.

    Attributes:
        name: its id.
        sign: how it is, as the drawing hatches it.
        says: the same in words, with its time.
        address: the page with the reasons for it drawn, or without them where they are.
        asked: whether they are.
    """

    name: str
    sign: str
    says: str
    address: str
    asked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Services in a row that are the same in words."""

    sign: str
    says: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a chain.

    Attributes:
        says: a clause.
        where: its place in the lab file, the file by the last part of its name.
        address: that place on the page.
    """

    says: str
    where: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plug:
    """A part that is out.

    Attributes:
        name: its id.
        word: what it is.
        address: the page with it plugged in again; empty where the file says that it is out.
        where: the place in the lab file.
    """

    name: str
    word: str
    address: str
    where: Step | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """One stop of the time axis.

    Attributes:
        at_s: seconds after the plugs are pulled; None for what comes of it in the end.
        label: the time in words.
        says: what happens there; empty where nothing does.
        address: the page at that moment.
        always: it is one of the moments that everybody asks about.
        left: how far along the axis it is, percent.
    """

    at_s: float | None
    label: str
    says: str
    address: str
    always: bool
    left: float


def rows(states: States, pulled: Pulled) -> tuple[tuple[Row, ...], tuple[str, ...], tuple[str, ...]]:
    """Services that are interrupted, worst and earliest first; those with nothing to spare; the others that stand.

    What is down as the lab stands comes with the first.
    """
    loss = states.loss
    if loss is None:
        down = [name for name in states.standing.support.services if not states.standing.baseline.back(name)]
        return tuple(_row(name, "falls", "is down as the lab stands", pulled) for name in down), (), ()
    ranked = sorted(loss.effects, key=lambda each: (-each.verdict, each.falls_s))
    hurt = []
    for effect in ranked:
        if effect.verdict >= Verdict.BLINKS:
            sign, says = states.verdict(effect)
            hurt.append(_row(effect.service, sign, says, pulled))
    thin = tuple(each.service for each in loss.effects if each.verdict is Verdict.THIN)
    stands = tuple(each.service for each in loss.effects if each.verdict is Verdict.STANDS)
    return tuple(hurt), thin, stands


def alike(found: Sequence[Row]) -> tuple[Alike, ...]:
    """Services told together where those that follow each other are the same in words."""
    return tuple(
        Alike(sign=sign, says=says, rows=tuple(some))
        for (sign, says), some in groupby(found, key=lambda each: (each.sign, each.says))
    )


def _row(name: str, sign: str, says: str, pulled: Pulled) -> Row:
    asked = pulled.why == name
    return Row(
        name=name,
        sign=sign,
        says=says,
        address=pulled.with_(why="" if asked else name).address(),
        asked=asked,
    )


def chain(standing: Standing, loss: Loss | None, thing: str) -> tuple[Step, ...]:
    """Why a thing is down; empty where it stands or is not known."""
    if thing not in standing.support.things:
        return ()
    return steps(loss.why(thing) if loss is not None else explain(standing.baseline, thing))


def falls(standing: Standing, loss: Loss | None, thing: str) -> str:
    """What the chain of a thing explains, as the end of its heading."""
    if thing not in standing.support.things:
        return ""
    if loss is None:
        return "is down"
    return "is interrupted" if loss.view.back(thing) else "falls"


def steps(reasons: Sequence[Reason]) -> tuple[Step, ...]:
    """A chain of reasons with their places."""
    return tuple(step(reason.says, reason.where) for reason in reasons)


def leans(standing: Standing, thing: str) -> tuple[Step, ...]:
    """What a thing leans on; empty where it leans on nothing or is not known."""
    found = standing.support.things.get(thing)
    return (
        () if found is None else tuple(step(says, lean.where) for lean, says in leans_told(standing, found))
    )


def step(says: str, where: Where | None) -> Step:
    """A clause with its place on the page."""
    if where is None:
        return Step(says=says, where="", address="")
    return Step(
        says=says,
        where=f"{where.file.rpartition('/')[2]}:{where.line}:{where.column}",
        address=address_of(where),
    )


def plugs(standing: Standing, pulled: Pulled) -> tuple[Plug, ...]:
    """What is pulled, in the order in which it was."""
    return tuple(
        Plug(name=name, word=word_of(standing, name), address=pulled.toggled(name).address())
        for name in pulled.out
    )


def beforehand(standing: Standing) -> tuple[Plug, ...]:
    """What is out as the lab stands, with the place that says so."""
    today = standing.lab.today.out if standing.lab.today else ()
    said = {name: each.where for each in today for name in each.part.ids}
    return tuple(
        Plug(
            name=name,
            word=word_of(standing, name),
            address="",
            where=step("", said[name]) if name in said else None,
        )
        for name in standing.support.parts
        if name in standing.out
    )


def word_of(standing: Standing, name: str) -> str:
    """What a thing is: node, strip, store."""
    if name in standing.support.things:
        return standing.support.things[name].word
    thing = standing.lab.things.get(ThingId(name))
    return "" if thing is None else thing.IS


def axis(standing: Standing, stops: Sequence[Stop], pulled: Pulled) -> tuple[Notch, ...]:
    """The stops of the time axis at equal steps, what comes of it in the end as the last."""
    services = frozenset(standing.support.services)
    count = len(stops)
    found = [
        Notch(
            at_s=stop.at_s,
            label=time(stop.at_s) if stop.at_s > 0 else "now",
            says=_happens(stop, services),
            address=pulled.with_(at_s=stop.at_s).address(),
            always=stop.always,
            left=100.0 * number / count,
        )
        for number, stop in enumerate(stops)
    ]
    end = Notch(
        at_s=None,
        label="in the end",
        says="",
        address=pulled.with_(at_s=None).address(),
        always=True,
        left=100.0,
    )
    return (*found, end)


def _happens(stop: Stop, services: frozenset[str]) -> str:
    """What falls and comes back at a stop: services by name, else how many things."""
    said = []
    for names, one, many in (
        (stop.fallen, "falls", "fall"),
        (stop.returned, "is back", "are back"),
    ):
        whom = [name for name in names if name in services]
        if whom:
            said.append(f"{few(whom, 3)} {one if len(whom) == 1 else many}")
        elif names:
            said.append(f"{few(names, 3)} {one if len(names) == 1 else many}")
    return ", ".join(said)


def at_of(notches: Sequence[Notch], at_s: float | None) -> int:
    """Which stop a moment is shown at: the last that is not after it."""
    if at_s is None:
        return len(notches) - 1
    found = 0
    for number, notch in enumerate(notches):
        if notch.at_s is not None and notch.at_s <= at_s:
            found = number
    return found
