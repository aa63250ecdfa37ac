"""What do users see of the lab, from now until somebody says that it is enough?"""

from __future__ import annotations

import json
import math
import socket
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.errors import Fault, QuestionError, counted, few, nearest
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.stopwatch_shown import shown, wants_plain_signs
from falsework.faces.cli.stopwatch_stops import Stops
from falsework.faces.cli.stopwatch_strip import Strips
from falsework.faces.cli.stopwatch_view import Sight
from falsework.faces.stopwatch_words import spell
from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.model.lab import Lab
from falsework.record.keeping import NewRun, observed, record_of
from falsework.record.observed import Observed
from falsework.stopwatch.handle import Stopwatch
from falsework.support.probing import DRILL_S, EVERY_S, Question, questions
from falsework.units import Dimension

LOOK_S, SELDOM_S, MANY = 0.05, 0.25, 300
"""How often it is looked at how things stand, and how often where there are more probes than that."""
MOST_OUTAGES = 20
EXAMPLE = (
    "probes:\n  front page: http://10.20.10.2/\n  mail box: {asks: tcp 10.20.10.7 port 25, sees: mail}\n"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    probes: tuple[str, ...] = ()
    for_: str | None = None
    often: bool = False
    record: Path | None = None
    plain: bool = False
    json: bool = False


def watch(asked: Asked) -> int:
    """Watch until Ctrl-C, print what was seen, return the exit status: 1 where something was not answered well.

    Raises:
        FalseworkError: the file, a probe that is not there, the record, or the stopwatch itself.
    """
    lasts_s = _time(asked.for_)
    lab = load(asked.lab)
    wanted, elsewhere = asked_here(lab, asked.probes, often=asked.often)
    record = asked.record or record_of(asked.lab)
    run = NewRun(
        lab=lab.name,
        digest=digest_of(lab.files),
        out=tuple(name for each in (lab.today.out if lab.today else ()) for name in each.part.ids),
        machine=socket.gethostname(),
    )
    show = shown(sys.stdout, plain=asked.plain, as_json=asked.json)
    show.note([Line(each) for each in _before(wanted, elsewhere)])
    with Stops() as stops, Stopwatch.begin(wanted, record, run, folder=folder_of(asked.lab)) as stopwatch:
        if asked.json:
            from falsework.faces.plain_drill import begun_line

            _put_json(begun_line(lab, wanted, record, stopwatch.number))
        strips = Strips(len(wanted))
        faults: tuple[Fault, ...] = ()
        while not stops.pending and stopwatch.now_s() < lasts_s:
            live = stopwatch.live()
            changes, faults = strips.look(live), live.faults
            sight = Sight(
                questions=wanted,
                live=live,
                strips=strips,
                head=(f"kept in {record}, run {stopwatch.number}",),
                foot=("Ctrl-C ends it.",),
                plain=wants_plain_signs(sys.stdout),
            )
            show.look(sight, changes)
            if live.ended:
                break
            stops.wait(min(LOOK_S if len(wanted) <= MANY else SELDOM_S, lasts_s - stopwatch.now_s()))
        show.pause()
        stopwatch.end()
        if stopwatch.error is not None and not stops.asked:
            raise stopwatch.error
    seen = observed(record, stopwatch.number)
    whole = seen.run.ended and all(each.yes and not each.outages for each in seen.probes)
    status = MET if whole else BROKEN
    if asked.json:
        from falsework.faces.plain_drill import ended_line

        _put_json(ended_line(lab, seen, record, status))
    else:
        put(summary(seen, record, asked, faults))
    return status


def asked_here(
    lab: Lab, names: Sequence[str] = (), *, often: bool = False
) -> tuple[tuple[Question, ...], tuple[Question, ...]]:
    """The probes that this machine asks, and those that the lab file has asked from elsewhere.

    Args:
        lab: the lab.
        names: probes, or what they see; all if none is named.
        often: as in a drill.

    Raises:
        QuestionError: the lab file has none, or none of that name.
    """
    every = questions(lab, usual_s=DRILL_S if often else EVERY_S)
    if not every:
        raise QuestionError(
            f"the lab file of {lab.name} names no probe, and nothing else is ever asked",
            f"Add what your users ask, for example:\n{EXAMPLE}",
        )
    unknown = [each for each in names if not any(each in (one.name, one.sees) for one in every)]
    if unknown:
        near = nearest(unknown[0], [*(one.name for one in every), *(one.sees for one in every if one.sees)])
        raise QuestionError(
            f"no probe is called '{unknown[0]}', and none sees such a thing",
            f"Did you mean '{near}'?" if near else f"There are {few([each.name for each in every], 8)}.",
        )
    wanted = tuple(each for each in every if not names or each.name in names or each.sees in names)
    own = socket.gethostname().partition(".")[0]
    here = tuple(each for each in wanted if each.from_ in ("", own))
    elsewhere = tuple(each for each in wanted if each not in here)
    if not here:
        raise QuestionError(
            f"{few([each.name for each in elsewhere])} {'is' if len(elsewhere) == 1 else 'are'} not asked from this machine ({own})",
            f"Run it on {elsewhere[0].from_}, or drop `from` in the lab file.",
        )
    return here, elsewhere


def folder_of(lab: Path) -> Path:
    """Where the owner's commands run: in the folder of the lab file, or of its files."""
    return (lab if lab.is_dir() else lab.parent).resolve()


def summary(seen: Observed, record: Path, asked: Asked, faults: Sequence[Fault] = ()) -> Iterator[Line]:
    """What was seen in all: outages in order of time, gaps of its own, where it is kept."""
    outages = sorted(
        ((outage, each) for each in seen.probes for outage in each.outages), key=lambda pair: pair[0].from_s
    )
    yield Line(
        f"Watched {counted(len(seen.probes), 'probe')} for {spell(seen.run.until_s)}: "
        f"{counted(len(outages), 'outage') if outages else 'everything was answered well' if all(e.yes for e in seen.probes) else 'no outage'}.",
        style="head",
    )
    for outage, probe in outages[:MOST_OUTAGES]:
        since = "from the beginning" if math.isinf(outage.good_s) else f"at {spell(outage.from_s)}"
        if math.isinf(outage.until_s):
            length = "until the end"
        else:
            length = f"for {_exact(outage.lasts_s)}"
            if not math.isinf(outage.within_s):
                length += f" ± {_exact(outage.within_s)}"
        unsure = "; a gap of the stopwatch itself touches it" if outage.unsure else ""
        says = f": {outage.says}" if outage.says else ""
        yield labelled(
            "out", f"{probe.probe} {since} {length}{says}{unsure}", style="falls", indent=2, width=7
        )
    if len(outages) > MOST_OUTAGES:
        yield labelled("", f"and {counted(len(outages) - MOST_OUTAGES, 'more outage')}", indent=2, width=7)
    for gap in seen.run.gaps[:MOST_OUTAGES]:
        said = f"the stopwatch itself did not run at {spell(gap.from_s)} for {_exact(gap.until_s - gap.from_s)} ({gap.why}): nobody knows what was answered then"
        yield labelled("gap", said, style="thin", indent=2, width=7)
    for jump in seen.run.jumps[:MOST_OUTAGES]:
        said = f"the clock of this machine was set by {_exact(jump.by_s)} at {spell(jump.at_s)}; no time here comes from it"
        yield labelled("clock", said, style="quiet", indent=2, width=7)
    for each in seen.probes:
        if each.warning:
            yield labelled("mind", f"{each.probe}: {each.warning}", style="thin", indent=2, width=7)
        elif not each.yes and not each.outages:
            yield labelled("mind", f"{each.probe} was never answered well", style="thin", indent=2, width=7)
    for fault in faults:
        yield labelled("mind", str(fault), style="thin", indent=2, width=7)
    if not seen.run.ended:
        said = f"the record is not whole: it stops at {spell(seen.run.until_s)} of the run"
        yield labelled("mind", said, style="falls", indent=2, width=7)
    there = f" --record {asked.record}" if asked.record else ""
    yield labelled("kept", f"{record}, run {seen.run.number}", style="quiet", indent=2, width=7)
    yield labelled(
        "next",
        f"falsework record {asked.lab} --run {seen.run.number}{there}",
        style="quiet",
        indent=2,
        width=7,
    )


def _before(wanted: Sequence[Question], elsewhere: Sequence[Question]) -> Iterator[str]:
    yield f"Asking what the lab file names and nothing else: {counted(len(wanted), 'probe')}."
    if elsewhere:
        yield (
            f"Not asked here, but from {few(sorted({each.from_ for each in elsewhere}))}: "
            f"{few([each.name for each in elsewhere])}."
        )


def _exact(seconds: float) -> str:
    """A length that was measured, to the hundredth where it is short."""
    return f"{seconds:.2f} s" if abs(seconds) < 10 else spell(seconds)


def _time(text: str | None) -> float:
    if text is None:
        return math.inf
    found = units.asked(text, Dimension.TIME, by="--for")
    if found <= 0:
        raise QuestionError(f"--for {text} is no time to watch", "Say how long, such as --for '10 min'.")
    return found


def _put_json(said: dict[str, object]) -> None:
    put_text(json.dumps(said, allow_nan=False) + "\n")
