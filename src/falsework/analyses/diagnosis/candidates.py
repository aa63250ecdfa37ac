"""What could be asked or looked at next, and what does each take?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.diagnosis.reports import SEEN_DARK, SEEN_LIT, shares
from falsework.analyses.diagnosis.result import Report
from falsework.analyses.diagnosis.watched import PING, Watched
from falsework.model.parts import Controller, Node, ThingId
from falsework.model.people import Person
from falsework.model.services import Copy, Service

PROBE_MIN, TRY_MIN, LOG_IN_MIN, LOOK_MIN, SWAP_MIN = 0.5, 1.0, 3.0, 1.0, 5.0
"""Assumed minutes: to ask a probe or a ping once more, to try a service by hand, to log in and look at a program, to
look at a lamp once one is there, to try another cable."""
LEAST_CHANCE = 1e-5
"""Parts less likely to be out than this are not looked at."""
MOST_LOOKED = 300
LAMPS = ("node", "switch", "ups", "strip", "circuit", "enclosure", "supply", "drive")
"""What has a lamp, or a switch, by which one sees whether it runs or has power."""
SWAPPED = ("cable", "card")
"""What has none, and is tried by putting another in its place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A question that was not put yet; `falsework.analyses.diagnosis.result.Next` says what the fields are."""

    how: str
    name: str
    thing: str
    says: str
    option: tuple[str, str]
    minutes: float
    hands: bool
    false_alarms: float
    misses: float


def candidates_of(
    lab: Watched, reports: Sequence[Report], chance_of: Mapping[str, float]
) -> tuple[Candidate, ...]:
    """Everything that could be asked next.

    Args:
        lab: the lab with its probes.
        reports: what is known already.
        chance_of: of each part that can matter the chance that it is out.
    """
    known = {(report.thing, report.looked) for report in reports}
    found = [
        *_probes(lab),
        *_services(lab),
        *_pings(lab),
        *_looks(lab, chance_of),
        *_runs(lab, chance_of),
    ]
    return tuple(each for each in found if (each.thing, each.how in ("lamp", "swap", "program")) not in known)


def coming_min(lab: Watched) -> float:
    """How long until someone is there, minutes; 0 where nobody is named."""
    ways = [person.comes_in or 0.0 for person in lab.lab.of(Person)]
    return min(ways, default=0.0) / 60.0


def _probes(lab: Watched) -> Iterator[Candidate]:
    for name, question in lab.questions.items():
        place = f" from {question.from_}" if question.from_ else ""
        yield _asked(lab, "probe", name, name, f"see whether {name} is answered{place}", PROBE_MIN)


def _services(lab: Watched) -> Iterator[Candidate]:
    """Services that no probe sees are tried by hand."""
    seen = {question.sees for question in lab.questions.values()}
    for service in lab.lab.of(Service):
        if service.id not in seen:
            yield _asked(lab, "service", service.id, service.id, f"try whether {service.id} serves", TRY_MIN)


def _pings(lab: Watched) -> Iterator[Candidate]:
    for thing in lab.support.things:
        if thing.startswith(PING):
            name = thing.removeprefix(PING)
            part = lab.lab.things[ThingId(name)]
            if isinstance(part, Controller):
                says = f"ask {name} whether {part.holder} runs"
                yield _asked(lab, "controller", name, thing, says, TRY_MIN)
            elif isinstance(part, Node):
                yield _asked(lab, "ping", name, thing, f"ping {name}", PROBE_MIN)


def _asked(lab: Watched, how: str, name: str, thing: str, says: str, minutes: float) -> Candidate:
    false_alarms, misses, _ = shares(lab, name)
    return Candidate(
        how=how,
        name=name,
        thing=thing,
        says=says,
        option=(f"--answered {_quoted(name)}", f"--failing {_quoted(name)}"),
        minutes=minutes,
        hands=False,
        false_alarms=false_alarms,
        misses=misses,
    )


def _looked(name: str, yes: str, no: str) -> tuple[str, str]:
    return f"--looked {_quoted(f'{name}: {yes}')}", f"--looked {_quoted(f'{name}: {no}')}"


def _quoted(text: str) -> str:
    """A text as one word of a command that is pasted, whatever signs it has."""
    return "'" + text.replace("'", "'\\''") + "'"


def _runs(lab: Watched, chance_of: Mapping[str, float]) -> Iterator[Candidate]:
    """The likeliest copies, on their machines."""
    likely = sorted(
        (copy for copy in lab.lab.of(Copy) if chance_of.get(copy.id, 0.0) >= LEAST_CHANCE),
        key=lambda each: -chance_of[each.id],
    )
    for copy in likely[:MOST_LOOKED]:
        on = f" on {copy.host}" if not copy.pool else ""
        yield Candidate(
            how="program",
            name=copy.id,
            thing=copy.id,
            says=f"log in{on} and look whether {copy.id} runs",
            option=_looked(copy.id, "good", "bad"),
            minutes=LOG_IN_MIN,
            hands=False,
            false_alarms=SEEN_DARK,
            misses=SEEN_LIT,
        )


def _looks(lab: Watched, chance_of: Mapping[str, float]) -> Iterator[Candidate]:
    """The likeliest parts, by eye."""
    coming = coming_min(lab)
    likely = sorted(
        (name for name in chance_of if chance_of[name] >= LEAST_CHANCE), key=lambda each: -chance_of[each]
    )
    for name in likely[:MOST_LOOKED]:
        word = lab.support.things[name].word
        if word not in (*LAMPS, *SWAPPED):
            continue
        lamp = word in LAMPS
        yes, no = ("lit", "dark") if lamp else ("good", "bad")
        yield Candidate(
            how="lamp" if lamp else "swap",
            name=name,
            thing=name,
            says=f"look whether {name} has power and runs" if lamp else f"try another in place of {name}",
            option=_looked(name, yes, no),
            minutes=coming + (LOOK_MIN if lamp else SWAP_MIN),
            hands=True,
            false_alarms=SEEN_DARK,
            misses=SEEN_LIT,
        )
