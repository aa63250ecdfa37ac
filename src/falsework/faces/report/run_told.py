"""What is told of one run, before it is set: at the terminal, on a page, or on paper?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from falsework.analyses.comparing import Foretold, Line, Sort
from falsework.analyses.history import Past
from falsework.analyses.history.summary import ended_said, judged_said, outage_said, seconds_said, seen_said
from falsework.analyses.verdicts import Verdict
from falsework.errors import few, sentence
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.lab.digest import digest_of
from falsework.model.parts import ThingId
from falsework.record.observed import Outage, ProbeSeen, Run
from falsework.record.seen import Mark
from falsework.support.standing import Standing

_WORST_FIRST = (Sort.WRONG, Sort.SLOWER, Sort.FASTER, Sort.AS_FORETOLD, Sort.NOT_SEEN)
_POWER = frozenset(("circuit", "strip", "ups", "supply", "outside"))
_DATA = frozenset(("drive", "enclosure", "node"))
_DONE = {Mark.DONE: "done", Mark.PUT_BACK: "put back", Mark.SAID: ""}
ONE_RUN = "One run is one sample: what came back once may stay out the next time. It proves nothing of what was not tried."


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingTold:
    """One thing, foretold and seen.

    Attributes:
        thing: its id.
        sort: how both agree, in a word or two.
        bad: whether it was wrong.
        foretold: in a few words.
        seen: in a few words.
        says: both, in a sentence without its full stop.
    """

    thing: str
    sort: str
    bad: bool
    foretold: str
    seen: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutageTold:
    """One outage of one probe, in words."""

    probe: str
    sees: str
    at: str
    lasted: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTold:
    """A run, in finished words; sentences end with a full stop, cells do not.

    Attributes:
        title: which run.
        bad: whether something was not as foretold.
        lead: the short answer.
        facts: what was tried, and how far the run goes.
        things: foretold and seen, the worst first; what stood as foretold comes in `stood`.
        stood: what stood, as it was foretold to.
        unseen: what nobody could see, or was not foretold of.
        outages: of every probe, in order of time.
        moments: what was done, missed and set: when, and what.
        answers: a probe, what it asks, answered well of asked, usual time, longest time, warning.
        cautions: sentences.
    """

    title: str
    bad: bool
    lead: str
    facts: tuple[str, ...]
    things: tuple[ThingTold, ...]
    stood: tuple[str, ...]
    unseen: tuple[str, ...]
    outages: tuple[OutageTold, ...]
    moments: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, ...], ...]
    cautions: tuple[str, ...]


def run_told(standing: Standing, past: Past, *, runs: bool = False) -> RunTold:
    """A run in words.

    Args:
        standing: the lab as it is now.
        past: the run beside what the lab foretells of it.
        runs: whether its stopwatch still runs.
    """
    observed, found = past.observed, past.comparison
    run = observed.run
    lines = sorted(found.lines, key=lambda line: _WORST_FIRST.index(line.sort)) if found else []
    quiet = tuple(line.thing for line in lines if _stood(line))
    unseen = tuple(line.thing for line in lines if line.sort is Sort.NOT_SEEN)
    judged = judged_said(past)
    return RunTold(
        title=f"Run {run.number}{f', drill {run.drill}' if run.drill else ''}",
        bad=found is not None and not found.right,
        lead=sentence(f"{seen_said(observed)}{f'; {judged}' if judged else ''}"),
        facts=tuple(_facts(run, runs=runs, changed=found is not None and _changed(standing, run))),
        things=tuple(_thing(line) for line in lines if not _stood(line) and line.sort is not Sort.NOT_SEEN),
        stood=quiet,
        unseen=unseen,
        outages=tuple(
            _outage(run, probe, outage)
            for outage, probe in sorted(
                ((outage, probe) for probe in observed.probes for outage in probe.outages),
                key=lambda pair: pair[0].from_s,
            )
        ),
        moments=_moments(run),
        answers=tuple(_answers(each) for each in observed.probes),
        cautions=tuple(_cautions(standing, run)),
    )


def when_said(run: Run, at_s: float) -> str:
    """A moment: from the action on where there was one, else from the beginning."""
    if run.done_s is None:
        return f"at {seconds_said(at_s)}"
    from_s = at_s - run.done_s
    return f"{seconds_said(-from_s)} before" if from_s < -0.05 else f"+{seconds_said(max(from_s, 0.0))}"


def foretold_said(foretold: Foretold) -> str:
    """What was foretold, in a few words: `stands`, `out for 40 s after 5 min`, `falls at once`."""
    if foretold.verdict < Verdict.BLINKS:
        return "stands"
    late = f" after {seconds_said(foretold.falls_s)}" if foretold.falls_s >= 1.0 else " at once"
    if foretold.verdict is Verdict.BLINKS:
        return f"out for {seconds_said(foretold.lasts_s)}{late if foretold.falls_s >= 1.0 else ''}"
    return f"falls{late}"


def _changed(standing: Standing, run: Run) -> bool:
    """Whether the lab file is another one than at the run: what is foretold is what it says now."""
    return run.digest not in ("", digest_of(standing.lab.files))


def _facts(run: Run, *, runs: bool, changed: bool) -> list[str]:
    said = [
        f"{run.began:%Y-%m-%d %H:%M:%S} UTC on {run.machine or 'this machine'}, {ended_said(run, runs=runs)}."
    ]
    if run.lost:
        tried = f"Taken out: {few(run.lost, 8)}"
    elif run.tries:
        tried = f"Tried: {run.tries}"
    else:
        tried = "Nothing was tried, only watched"
    if run.done_s is not None:
        tried += f", done after {seconds_said(run.done_s)}"
        if run.put_back_s is not None:
            tried += f", put back {seconds_said(run.put_back_s - run.done_s)} later"
        else:
            tried += ", and not put back in this run"
    said.append(f"{tried}.")
    if changed:
        said.append("The lab file has changed since: what is foretold here is what it says now.")
    if run.out:
        said.append(f"Out beforehand: {few(run.out, 8)}.")
    if not run.ended and not runs:
        said.append(
            f"The record stops {seconds_said(run.until_s)} after the beginning: the stopwatch was killed, or lost its power. "
            "All changes until then are in it."
        )
    if run.gaps:
        lost_s = sum(gap.until_s - gap.from_s for gap in run.gaps)
        said.append(
            f"The stopwatch itself did not run for {seconds_said(lost_s)}{_times(len(run.gaps))}; nobody knows what was answered then."
        )
    return said


def _times(number: int) -> str:
    return f" in all, {number:,} times" if number > 1 else ""


def _stood(line: Line) -> bool:
    return (
        line.sort is Sort.AS_FORETOLD and line.foretold.verdict < Verdict.BLINKS and math.isinf(line.falls_s)
    )


def _thing(line: Line) -> ThingTold:
    return ThingTold(
        thing=line.thing,
        sort=str(line.sort),
        bad=line.sort is Sort.WRONG,
        foretold=foretold_said(line.foretold),
        seen=_seen(line),
        says=line.says,
    )


def _seen(line: Line) -> str:
    if math.isinf(line.falls_s):
        return "stood"
    late = f" after {seconds_said(line.falls_s)}" if line.falls_s >= 1.0 else ""
    if not line.ended:
        return f"fell{late or ' at once'}, not back"
    unsure = "" if math.isinf(line.within_s) else f" ± {seconds_said(line.within_s)}"
    return f"out for {seconds_said(line.lasts_s)}{unsure}{late}"


def _outage(run: Run, probe: ProbeSeen, outage: Outage) -> OutageTold:
    said = [
        each for each in (outage.says, "a gap of the stopwatch touches it" if outage.unsure else "") if each
    ]
    return OutageTold(
        probe=probe.probe,
        sees=probe.sees,
        at="from the start" if math.isinf(outage.good_s) else when_said(run, outage.from_s),
        lasted=outage_said(outage, run.until_s),
        says="; ".join(said),
    )


def _moments(run: Run) -> tuple[tuple[str, str], ...]:
    found = [
        (each.at_s, ": ".join(word for word in (_DONE[each.mark], each.says) if word)) for each in run.marks
    ]
    found += [
        (
            each.from_s,
            f"the stopwatch did not run for {seconds_said(each.until_s - each.from_s)} ({each.why})",
        )
        for each in run.gaps
    ]
    found += [
        (
            each.at_s,
            f"the clock on the wall was set {'forward' if each.by_s > 0 else 'back'} by {seconds_said(abs(each.by_s))}; no time here hangs on it",
        )
        for each in run.jumps
    ]
    return tuple((when_said(run, at_s), says) for at_s, says in sorted(found, key=lambda pair: pair[0]))


def _answers(probe: ProbeSeen) -> tuple[str, ...]:
    usual, worst = (
        "" if math.isnan(each) else f"{each * 1000:.1f} ms" if each < 1 else seconds_said(each)
        for each in (probe.usual_s, probe.worst_s)
    )
    return (probe.probe, probe.asks, f"{probe.yes:,} of {probe.asked:,}", usual, worst, probe.warning)


def _cautions(standing: Standing, run: Run) -> list[str]:
    words = {
        standing.lab.things[ThingId(name)].IS for name in run.lost if ThingId(name) in standing.lab.things
    }
    said = [ONE_RUN] if run.lost or run.tries else []
    if words & _POWER or run.tries == "cold start":
        said.append(POWER_CAUTION)
    if words & _DATA or run.tries in ("restore", "full disk"):
        said.append(DATA_CAUTION)
    return said
