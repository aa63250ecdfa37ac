"""Does the lab do what the plan says, when something is taken out on purpose?"""

from __future__ import annotations

import dataclasses
import json
import socket
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from falsework.analyses.comparing import Comparison, compare
from falsework.analyses.drilling import MayDrill, Plan, may_drill, plan_for
from falsework.analyses.verdicts import losses
from falsework.errors import FalseworkError, QuestionError, few, sentence
from falsework.faces.cli.compare_lines import comparison_lines, head_words
from falsework.faces.cli.drill_conduct import conduct
from falsework.faces.cli.drill_person import Person, at_terminal
from falsework.faces.cli.drill_scene import Back, Done, Scene, what_of
from falsework.faces.cli.drill_words import plan_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, FAILED, MET
from falsework.faces.cli.stopwatch import asked_here, folder_of
from falsework.faces.cli.stopwatch_shown import shown, wants_plain_signs
from falsework.faces.cli.stopwatch_stops import Stops
from falsework.faces.stopwatch_words import spell
from falsework.lab.digest import digest_of
from falsework.model.drilling import Probe
from falsework.record.keeping import NewRun, observed, record_of
from falsework.record.observed import Observed
from falsework.record.seen import Mark
from falsework.stopwatch.handle import Stopwatch
from falsework.support.probing import Question
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    names: tuple[str, ...]
    out: tuple[str, ...] = ()
    although: str = ""
    yes: bool = False
    do: str | None = None
    put_back: str | None = None
    tell: bool = False
    record: Path | None = None
    plain: bool = False
    json: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A drill that is told, and not yet begun."""

    standing: Standing
    plan: Plan
    may: MayDrill
    questions: tuple[Question, ...]
    elsewhere: tuple[Question, ...]
    record: Path


def drill(asked: Asked) -> int:
    """Do a drill, print what came of it, return the exit status: 1 where something was not as foretold, 2 if not done.

    Raises:
        FalseworkError: the file, no such drill, it may not be done now, nobody can be asked, nobody said yes where a
            program reads the answer, or the record.
    """
    if asked.tell and asked.json:
        raise QuestionError(
            "--tell says it in words only", "`falsework drills LAB NAME --json` tells the same to a program."
        )
    out = sys.stderr if asked.json else sys.stdout
    with Told() as tell:
        tell("reading the lab", 0, 1)
        ready = _ready(asked)
    put(_told(ready), out)
    if asked.tell:
        return MET if ready.may.yes else BROKEN
    _refuse(ready, asked)
    done, number = _do(ready, asked, out)
    if not done.begun:
        if asked.json:  # the words on why were for people
            raise QuestionError(
                f"drill {ready.plan.name} was not begun, since {done.given_up}; nothing was done",
                "Run it again, and type yes when you are asked, or say --yes.",
            )
        return FAILED
    seen = observed(ready.record, number)
    comparison, why_not = _compared(ready, seen)
    right = comparison.right if comparison is not None else seen.run.ended
    status = MET if not done.given_up and done.well and right else BROKEN
    put(_ended(ready, done, comparison, why_not, asked, number), out)
    if asked.json:
        # Only here: the shapes of answers are not needed for words.
        from falsework.faces.plain_drill import drill_answer

        answer = drill_answer(
            ready.standing.lab,
            ready.plan,
            ready.may,
            comparison,
            number=number,
            given_up=done.given_up,
            put_back=str(done.back),
            poorly=done.poorly,
            record=ready.record,
            status=status,
            out=ready.standing.out,
        )
        put_text(json.dumps(answer, allow_nan=False, indent=2) + "\n")
    return status


def _ready(asked: Asked) -> Ready:
    standing = opened(asked.lab, asked.out)
    plan = plan_for(standing, asked.names)
    plan = dataclasses.replace(
        plan,
        do=plan.do if asked.do is None else asked.do,
        put_back=plan.put_back if asked.put_back is None else asked.put_back,
    )
    questions, elsewhere = asked_here(standing.lab, often=True) if standing.lab.of(Probe) else ((), ())
    return Ready(
        standing=standing,
        plan=plan,
        may=may_drill(standing, plan),
        questions=questions,
        elsewhere=elsewhere,
        record=asked.record or record_of(asked.lab),
    )


def _told(ready: Ready) -> Iterator[Line]:
    yield from plan_lines(ready.plan, ready.questions)
    if ready.elsewhere:
        said = f"not asked from this machine: {few([each.name for each in ready.elsewhere])}"
        yield labelled("mind", said, style="thin", indent=2, width=11)
    yield Line()
    may = ready.may
    yield Line(sentence(may.says), "May it be done now: ", "stands" if may.yes else "falls")
    for number, why in enumerate(may.because):
        said = f"{why.says}{f', since {why.why}' if why.why else ''}"
        yield labelled("" if number else "against", sentence(said), style="falls", indent=2, width=11)
    for label, said_all in (("first", may.first), ("mind", may.mind)):
        for number, each in enumerate(said_all):
            yield labelled("" if number else label, sentence(each), style="quiet", indent=2, width=11)


def _refuse(ready: Ready, asked: Asked) -> None:
    """Refuse what may not be done, or cannot be done with nobody there.

    Raises:
        QuestionError: why.
    """
    plan = ready.plan
    if not ready.may.yes and not asked.although:
        raise QuestionError(
            f"drill {plan.name} may not be done now, {ready.may.says.removeprefix('no: ')}; nothing was done",
            f"{sentence(ready.may.first[0]) if ready.may.first else ''} "
            "If you know better, say why with --although; it is kept in the record.".strip(),
        )
    own = _own_machine(ready)
    if own and not asked.although:
        raise QuestionError(
            f"this machine ({own}) goes down in drill {plan.name}, and with it the stopwatch and the put-back; nothing was done",
            "Run it from a machine that does not lean on the lab, or say why it does not matter with --although.",
        )
    there = at_terminal(sys.stdin)
    if not there and not plan.do:
        raise QuestionError(
            f"drill {plan.name} needs hands, and nobody is at a terminal; nothing was done",
            "Run it in a terminal, or give it a command with `do` in the lab file or --do.",
        )
    if not there and not asked.yes:
        raise QuestionError(
            f"drill {plan.name} runs a command of yours, and nobody is at a terminal to say yes; nothing was done",
            "Run it in a terminal, or say --yes.",
        )
    if not there and not plan.put_back and plan.put_back_words:
        raise QuestionError(
            f"nobody is at a terminal, and drill {plan.name} has no command that puts it back; nothing was done",
            "Run it in a terminal, or give it one with `put back` in the lab file or --put-back.",
        )


def _own_machine(ready: Ready) -> str:
    """This machine, if it is one of the lab's and goes down in the drill; else nothing."""
    own = socket.gethostname().partition(".")[0]
    if own not in ready.standing.support.things:
        return ""
    if ready.plan.tries == "cold start":
        return own
    lost = ready.plan.lost
    return own if lost and not losses(ready.standing, [lost])[0].view.up(own) else ""


def _do(ready: Ready, asked: Asked, out: TextIO) -> tuple[Done, int]:
    plan, lab = ready.plan, ready.standing.lab
    run = NewRun(
        lab=lab.name,
        digest=digest_of(lab.files),
        drill=plan.name,
        tries=plan.tries,
        lost=(*plan.lost, *plan.stops),
        out=tuple(sorted(ready.standing.out)),
        machine=socket.gethostname(),
    )
    folder = folder_of(asked.lab)
    with Stops() as stops, Stopwatch.begin(ready.questions, ready.record, run, folder=folder) as stopwatch:
        scene = Scene(
            plan=plan,
            questions=ready.questions,
            watch=stopwatch,
            person=Person(stops, sys.stdin, out),
            shown=shown(out, plain=asked.plain),
            folder=folder,
            head=(f"drill {plan.name}, kept in {ready.record}, run {stopwatch.number}",),
            yes=asked.yes,
            although=asked.although,
            plain=wants_plain_signs(out),
        )
        scene.tell(Line())
        if asked.although:
            may_not = "" if ready.may.yes else f" it may not ({ready.may.says.removeprefix('no: ')})"
            scene.mark(Mark.SAID, f"although{may_not}: {asked.although}")
        done = conduct(scene)
        stopwatch.end()
    return done, stopwatch.number


def _compared(ready: Ready, seen: Observed) -> tuple[Comparison | None, str]:
    """What was seen beside what was foretold, or why nobody can lay them beside each other: the drill is done anyway."""
    if not seen.run.ended:
        # What is missing would read as "went on as if nothing had happened".
        return None, f"the record is not whole, it stops at {spell(seen.run.until_s)} of the run"
    try:
        return compare(ready.standing, seen), ""
    except FalseworkError as error:
        return None, what_of(error)


def _ended(
    ready: Ready, done: Done, comparison: Comparison | None, why_not: str, asked: Asked, number: int
) -> Iterator[Line]:
    """What came of it, and what to do next."""
    yield Line()
    if comparison is None:
        yield Line(f"Nothing is compared: {why_not}.")
    else:
        if not comparison.why_not:
            yield Line(sentence(head_words(comparison)), style="stands" if comparison.right else "falls")
        yield from comparison_lines(comparison)
    yield Line()
    if done.back in (Back.LEFT, Back.FAILED):
        yield labelled(
            "mind", f"{done.back}; see to it before anything else.", style="falls", indent=2, width=7
        )
    yield labelled("kept", f"{ready.record}, run {number}", style="quiet", indent=2, width=7)
    there = f" --record {asked.record}" if asked.record else ""
    words = ("compare", "learn") if comparison is not None and comparison.lines else ("record",)
    for index, each in enumerate(words):
        more = " --diff" if each == "learn" else f" --run {number}"
        said = f"falsework {each} {asked.lab}{more}{there}"
        yield labelled("" if index else "next", said, style="quiet", indent=2, width=7)
