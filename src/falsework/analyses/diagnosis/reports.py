"""What was said of probes, services and lamps, and how far is it to be trusted?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from falsework.analyses.diagnosis.result import Report
from falsework.analyses.diagnosis.watched import PING, Watched
from falsework.errors import QuestionError, listed, nearest, shortened
from falsework.model.drilling import Probe
from falsework.model.parts import ThingId

FALSE_ALARMS = 1e-5
"""Assumed of all that is asked: that it is not answered although what it sees stands and is seen."""
MISSES, MISTAKES = 1e-6, 1e-5
"""Assumed: that a probe is answered although what it sees is down, which an answer over the network hardly ever is,
and that a person says so."""
SEEN_DARK, SEEN_LIT = 1e-5, 1e-3
"""Assumed of who looks: that a lamp is said to be dark that is lit, and that one is said to be lit that is dark, which
is easier: the wrong one, or one that shows less than it seems to."""
ASKED = ("service", "alarm", "copy", "store")
"""What can be said to fail besides probes and parts."""
SEEN = (("lit", "dark"), ("on", "off"), ("good", "bad"))
"""What can be said of what was looked at, well and ill: of a lamp, a machine, a cable or a program."""


def reports_of(
    standing: Watched, failing: Sequence[str], answered: Sequence[str], looked: Sequence[str]
) -> tuple[Report, ...]:
    """All that is known.

    Args:
        standing: the lab with its probes.
        failing: probes, services or machines that are not answered.
        answered: those that are.
        looked: what was seen by eye, such as "desk-3: dark".

    Raises:
        QuestionError: a name is none of them, nothing was said, or two sayings contradict each other.
    """
    found: dict[tuple[str, bool], Report] = {}
    said = [(name, False) for name in failing] + [(name, True) for name in answered]
    for report in [*(_asked(standing, *each) for each in said), *_looked(standing, looked)]:
        known = found.setdefault((report.thing, report.looked), report)
        if known.yes is not report.yes:
            raise QuestionError(
                f"{report.name!r} is said both to be {report.seen[0] if report.looked else 'answered'} and not to be",
                "Leave one of the two out.",
            )
    if not found:
        raise QuestionError(
            "nothing was said of what fails and what does not",
            "Say what fails and what is answered; the command takes them as --failing mail --answered names.",
        )
    return tuple(found.values())


def _asked(standing: Watched, name: str, yes: bool) -> Report:
    thing = thing_of(standing, name)
    false_alarms, misses, given = shares(standing, name)
    return Report(
        name=name,
        thing=thing,
        yes=yes,
        looked=False,
        false_alarms=false_alarms,
        misses=misses,
        assumed=not given,
    )


def shares(standing: Watched, name: str) -> tuple[float, float, bool]:
    """False alarms and misses of a probe, or of anything else that is asked, and whether the owner gave both."""
    probe = standing.lab.things.get(ThingId(name))
    given = probe if isinstance(probe, Probe) else None
    said = [given.false_alarms, given.misses] if given else [None, None]
    machine = PING + name in standing.support.things
    probed = given is not None
    usual = (FALSE_ALARMS, MISSES if probed or machine else MISTAKES)
    false_alarms, misses = (
        default if share is None else min(max((share.low + share.high) / 2, 1e-9), 0.5)
        for share, default in zip(said, usual, strict=True)
    )
    return false_alarms, misses, None not in said


def thing_of(standing: Watched, name: str) -> str:
    """The thing that stands while something is answered: of a machine on a wire, that it is reached.

    Raises:
        QuestionError: nothing that can be asked has this name.
    """
    things = standing.support.things
    if name in standing.questions:
        return name
    if PING + name in things:
        return PING + name
    if name in things and (things[name].part or things[name].word in ASKED):
        return name
    known = [*standing.questions, *standing.support.services, *standing.support.parts]
    near = nearest(name, known)
    if ThingId(name) in standing.lab.things and isinstance(standing.lab.things[ThingId(name)], Probe):
        raise QuestionError(
            f"nobody can know what {shortened(name)!r} sees",
            "Say in the lab file what it `sees`.",
        )
    few = f"Probes and services: {listed(known)}" if known else "The lab has none."
    raise QuestionError(
        f"no probe, service or part is called {shortened(name)!r}", f"Did you mean {near!r}?" if near else few
    )


def _looked(standing: Watched, looked: Iterable[str]) -> Iterator[Report]:
    parts = set(standing.support.parts)
    for text in looked:
        name, colon, seen = (piece.strip() for piece in text.rpartition(":"))
        words = next((each for each in SEEN if seen.lower() in each), None)
        if not colon or words is None:
            raise QuestionError(
                f"{shortened(text)!r} does not say what was seen",
                "Write the part and what it was, such as 'desk-3: dark' or 'desk-3: lit'.",
            )
        if name not in parts:
            near = nearest(name, list(parts))
            raise QuestionError(
                f"no part is called {shortened(name)!r}",
                f"Did you mean {near!r}?" if near else "Look at a part of the lab.",
            )
        yield Report(
            name=name,
            thing=name,
            yes=seen.lower() == words[0],
            looked=True,
            false_alarms=SEEN_DARK,
            misses=SEEN_LIT,
            assumed=True,
            seen=words,
        )
