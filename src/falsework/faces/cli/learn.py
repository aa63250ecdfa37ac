"""What have drills taught, and shall it be written into the lab file?"""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.learning import Ask, Counted, Counts, Learnt, Proof, Update, said
from falsework.analyses.learning import learn as learn_from
from falsework.errors import counted, few
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import MET
from falsework.faces.plain_learn import learn_answer
from falsework.findings.learning import seen_words, stumbled_words, taught, timing_words
from falsework.lab.save import Changes
from falsework.model.stumbling import guess_words
from falsework.model.timed import as_range
from falsework.record.keeping import record_of
from falsework.record.reading import all_observed
from falsework.units import Dimension, Quantity, format_time

MOST_ASKS = 5
"""So many of the newest outages are asked about; more at once nobody answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    diff: bool = False
    write: bool = False
    all: bool = False
    took: tuple[str, ...] = ()
    record: Path | None = None
    json: bool = False


def learn(asked: Asked) -> int:
    """Print what drills teach, write it if that was asked, return the exit status.

    Raises:
        FalseworkError: the lab, the record, or the writing.
    """
    file = asked.record or record_of(asked.lab)
    standing = opened(asked.lab, ())
    with Told() as tell:
        tell("reading the record", 0, 1)
        told = [said(standing.lab, each) for each in asked.took]
        # What somebody tells needs no record.
        kept = () if told and asked.record is None and not file.exists() else all_observed(file)
        learnt = learn_from(standing, kept, told)
        changes = taught(standing.lab, learnt)
    if asked.write:
        write_changes(standing.lab, changes)
    if asked.json:
        written = tuple(changes.files) if asked.write else ()
        answer = learn_answer(standing, learnt, changes, written, MET)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return MET
    put(_lines(standing.lab.name, learnt, changes, asked))
    if asked.diff or asked.write:
        put(change_lines(changes, nothing="There is nothing to change in the lab file."))
    if asked.write:
        put(written_lines(changes))
    return MET


def _lines(lab: str, learnt: Learnt, changes: Changes, asked: Asked) -> Iterator[Line]:
    told = "what you told" if asked.took else ""
    if learnt.empty:
        said = f"{counted(learnt.runs, 'run')} in the record{' and ' if told else ''}{told}, and nothing new"
    elif told and not learnt.runs:
        said = f"{told} teaches {_what(learnt)}"
    else:
        teach = "teaches" if learnt.runs == 1 and not told else "teach"
        said = f"{counted(learnt.runs, 'run')}{' and ' if told else ''}{told} {teach} {_what(learnt)}"
    yield Line(f"{lab}: {said}", style="head")
    for update in learnt.updates:
        yield Line()
        yield from _update(update)
    if learnt.proofs:
        yield Line()
    for (key, day, run), names in _together(learnt.proofs).items():
        yield labelled(key, f"{few(names, 6)}: {day}, run {run}", style="stands", width=10)
    for count in learnt.counts:
        yield Line()
        yield from _count(count)
    for each in learnt.stumbles:
        yield Line()
        yield from _stumbles(each)
    if learnt.asks:
        yield Line()
    shown = learnt.asks if asked.all else learnt.asks[-MOST_ASKS:]
    for ask in shown:
        yield from _ask(ask, asked)
    if len(shown) < len(learnt.asks):
        yield Line(f"{len(learnt.asks) - len(shown)} more to ask; --all shows them.", style="quiet")
    if asked.all:
        yield Line()
        for run, thing, why in learnt.passed:
            yield labelled(
                "passed",
                f"{f'run {run}' if run else 'told'}{f', {thing}' if thing else ''}: {why}",
                style="quiet",
                width=10,
            )
    elif learnt.passed:
        yield Line()
        yield Line(
            f"{counted(len(learnt.passed), 'thing')} seen {'teaches' if len(learnt.passed) == 1 else 'teach'} nothing; --all says why.",
            style="quiet",
        )
    if not (asked.diff or asked.write):
        for of, reason in changes.left:
            yield labelled("by hand", f"{of}: {reason}", style="quiet", width=10)
    if changes.files and not asked.write:
        yield Line()
        yield labelled("write", f"{_again(asked, asked.took)} --write", style="quiet", width=10)


def _stumbles(counts: Counts) -> Iterator[Line]:
    before = units.format_range(counts.share_before, Dimension.SHARE) if counts.share_before else "nothing"
    after = units.format_range(counts.share_after, Dimension.SHARE)
    yield labelled(
        "share",
        f"{counts.thing}, stumbles: {before} {counts.source} becomes {after}; `stumbled: {stumbled_words(counts.after)}`",
        style="remark",
        width=10,
    )
    runs = few([str(each) for each in counts.runs], 6)
    yield labelled(
        "counted",
        f"{counts.failed} of {counted(counts.of, 'take-over or restart', 'take-overs or restarts')} did not happen"
        f" ({'run' if len(counts.runs) == 1 else 'runs'} {runs})",
        style="quiet",
        indent=10,
        width=10,
    )
    if counts.failed:
        yield labelled(
            "mind",
            "look into each that did not: if the plan was wrong there, take it out of `stumbled` again",
            style="thin",
            indent=10,
            width=10,
        )
    yield labelled(
        "weight",
        f"rests on {counts.after.of} that were counted, and what was {counts.source} counts as {guess_words(counts.guess)};"
        f" the next does not happen with a chance of {units.format(counts.posterior.mean, Dimension.SHARE)}",
        style="quiet",
        indent=10,
        width=10,
    )


def _ask(ask: Ask, asked: Asked) -> Iterator[Line]:
    yield labelled(
        "ask",
        f"{ask.thing}, {ask.key}: {format_time(ask.at_most_s)} at most, by run {ask.run}; how long did it take once begun?",
        style="remark",
        width=10,
    )
    took = f"{ask.thing}: {ask.key} TIME on {ask.on}"
    yield labelled("tell", _again(asked, (took,)), style="quiet", indent=10, width=10)


def _again(asked: Asked, took: tuple[str, ...]) -> str:
    """The same command with these times told."""
    more = "".join(f" --took {shlex.quote(each)}" for each in took)
    record = f" --record {shlex.quote(str(asked.record))}" if asked.record else ""
    return f"falsework learn {shlex.quote(str(asked.lab))}{more}{record}"


def _what(learnt: Learnt) -> str:
    said = (
        counted(len(learnt.updates), "figure") if learnt.updates else "",
        counted(len(learnt.proofs), "day of proof", "days of proof") if learnt.proofs else "",
        counted(len(learnt.counts), "count of failures", "counts of failures") if learnt.counts else "",
        counted(len(learnt.stumbles), "share of stumbles", "shares of stumbles") if learnt.stumbles else "",
    )
    return few([each for each in said if each])


def _update(update: Update) -> Iterator[Line]:
    yield labelled(
        "time",
        f"{update.thing}, {update.key}: {_said(update.before)} {update.source} becomes {_said(update.after)}",
        style="remark",
        width=10,
    )
    times = [
        f"{timing_words(each)} ({f'run {run}' if run else 'told'})"
        for each, run in zip(update.new, update.runs, strict=True)
    ]
    yield labelled("measured", ", ".join(times), style="quiet", indent=10, width=10)
    if update.known:
        known = [timing_words(each) for each in update.known]
        yield labelled(
            "before",
            f"{', '.join(known)} {'is' if len(known) == 1 else 'are'} in the file already",
            style="quiet",
            indent=10,
            width=10,
        )
    low, high = update.posterior.next
    rests = f"rests on {counted(round(update.posterior.weight - update.guessed), 'measured time')}"
    guess = f", and what was {update.source} counts as {update.guessed:g}" if update.guessed else ""
    yield labelled(
        "weight",
        f"{rests}{guess}; the next time lies between {format_time(low)} and {format_time(high)}, nine times in ten",
        style="quiet",
        indent=10,
        width=10,
    )


def _said(figure: Quantity | float | None) -> str:
    return "nothing" if figure is None else units.format_range(as_range(figure), Dimension.TIME)


def _together(proofs: tuple[Proof, ...]) -> dict[tuple[str, str, int], list[str]]:
    found: dict[tuple[str, str, int], list[str]] = {}
    for proof in proofs:
        found.setdefault((proof.key, proof.on.isoformat(), proof.run), []).append(proof.thing)
    return found


def _count(count: Counted) -> Iterator[Line]:
    watched = units.format(count.watched_s, Dimension.TIME)
    yield labelled(
        "count",
        f"{count.thing} failed {counted(count.failures, 'time')} in {watched} that it was watched; `seen: {seen_words(count.after)}`",
        style="remark",
        width=10,
    )
