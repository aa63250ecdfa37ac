"""Which questions show that a service serves, and what does each of them see?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from falsework.model.asks import Ask, Sort
from falsework.model.drilling import Probe
from falsework.model.lab import Lab
from falsework.model.services import Service
from falsework.where import Where

EVERY_S, DRILL_S, PATIENCE_S = 1.0, 0.1, 1.0
"""How often a probe asks, how often during a drill, and how long it waits, where the owner says nothing; seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A probe with everything settled that its owner left open.

    Attributes:
        name: the probe's id.
        sees: the thing that stands if it is answered; empty where nobody can know.
        whole: the store that is whole if it is answered; empty for none.
        ask: what it asks.
        expects: what a good answer has in it; empty for any.
        from_: the thing it asks from; empty for the machine that the stopwatch runs on.
        every_s: from one asking to the next, seconds.
        patience_s: how long it waits for an answer, seconds.
        where: its place in the lab file.
    """

    name: str
    sees: str
    ask: Ask
    expects: str
    from_: str
    every_s: float
    patience_s: float
    where: Where
    whole: str = ""


def questions(lab: Lab, *, usual_s: float = EVERY_S) -> tuple[Question, ...]:
    """The probes of a lab, in its order.

    Args:
        lab: the lab.
        usual_s: how often those ask whose owner does not say, seconds; `DRILL_S` in a drill.
    """
    homes = _homes(lab)
    return tuple(
        Question(
            name=probe.id,
            sees=probe.sees.ids[0] if probe.sees else "" if probe.whole else _seen(probe.asks, homes),
            ask=probe.asks,
            expects=probe.expects,
            from_=probe.from_.ids[0] if probe.from_ else "",
            every_s=usual_s if probe.every is None else probe.every,
            patience_s=PATIENCE_S if probe.patience is None else probe.patience,
            where=probe.where,
            whole=probe.whole.ids[0] if probe.whole else "",
        )
        for probe in lab.of(Probe)
    )


def _seen(ask: Ask, homes: Mapping[str, str]) -> str:
    """The service that has the address, or the name, that is asked."""
    return homes.get(ask.host, "") or (homes.get(ask.about, "") if ask.sort is Sort.DNS else "")


def _homes(lab: Lab) -> dict[str, str]:
    found: dict[str, str] = {}
    for service in lab.of(Service):
        for each in _addresses(service):
            found.setdefault(each, service.id)
    return found


def _addresses(service: Service) -> Iterator[str]:
    yield from service.reached_at
    if service.floats:
        yield from service.floats.address
    if service.named:
        yield service.named.name
