"""Which part most likely broke, why is that thought, and what is to be looked at next?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from falsework import units
from falsework.analyses.diagnosis import diagnose
from falsework.analyses.diagnosis.recorded import Known, newest
from falsework.analyses.diagnosis.result import Cause, Diagnosis
from falsework.analyses.verdicts import lose
from falsework.errors import QuestionError, few, listed, sentence
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.words import without
from falsework.faces.diagnosis_words import (
    FEW_NEXT,
    cause,
    chains,
    clauses,
    headline,
    itself_says,
    left,
    minutes,
    odds,
    offered,
    rest,
    share,
    shown,
    which,
    worth,
)
from falsework.support.probing import questions
from falsework.support.standing import Standing
from falsework.units import Dimension

FEW_CAUSES, MANY = 5, 25
CAUTION = (
    "Before you pull or open anything: power only as local electrical codes and makers' instructions allow; before "
    "you touch drives, make sure that a copy you have restored from exists elsewhere."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    failing: tuple[str, ...] = ()
    answered: tuple[str, ...] = ()
    looked: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    since: str | None = None
    from_record: bool = False
    record: Path | None = None
    plan: bool = False
    diff: bool = False
    write: bool = False
    picture: Path | None = None
    json: bool = False
    all: bool = False


def answer(asked: Asked) -> int:
    """Diagnose, print the answer, return the exit status.

    Raises:
        FalseworkError: the file, the question, the record, or the place for the picture.
    """
    if asked.plan:
        return _planned(asked)
    if asked.diff or asked.write:
        raise QuestionError("--diff and --write go with --plan", "Say --plan too, or leave them out.")
    since_s = None if asked.since is None else units.asked(asked.since, Dimension.TIME, by="--since")
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        known = _recorded(asked, standing)
        if known is not None:
            since_s = known.since_s if since_s is None else since_s
        tell("weighing what may have failed", 0, 1)
        found = diagnose(
            standing,
            (*asked.failing, *(known.failing if known else ())),
            (*asked.answered, *(known.answered if known else ())),
            looked=asked.looked,
            since_s=since_s,
            most=MANY if asked.all else FEW_CAUSES,
        )
        if asked.picture is not None:
            write(asked.picture, f"{_picture(standing, found)}\n", over=True)
    status = MET if found.stands_out else BROKEN
    if asked.json:
        # Only here: who reads it as text needs none of it.
        from falsework.faces.plain_diagnosis import diagnosis_answer

        text = json.dumps(diagnosis_answer(standing, found, known, status), indent=2, allow_nan=False)
        put_text(f"{text}\n")
    else:
        put(_lines(standing, found, known, asked))
    return status


def _planned(asked: Asked) -> int:
    """Which probes to add: nothing has failed yet, so nothing is said of what does."""
    if asked.failing or asked.answered or asked.looked or asked.since or asked.from_record or asked.picture:
        raise QuestionError("--plan is about a lab in which nothing has failed", "Leave out what fails.")
    # Only here: it loads what no diagnosis needs.
    from falsework.faces.cli.diagnose_plan import plan

    return plan(
        asked.lab, out=asked.out, diff=asked.diff, write=asked.write, as_json=asked.json, every=asked.all
    )


def _recorded(asked: Asked, standing: Standing) -> Known | None:
    """How the probes stand by the record, if it was asked for, or nothing else was said and there is one.

    Raises:
        QuestionError: it was asked for and there is none, or nothing was said at all.
    """
    # Only here: who says what fails needs no record.
    from falsework.record.keeping import record_of

    said = asked.failing or asked.answered or asked.looked
    path = asked.record or record_of(asked.lab)
    if not asked.from_record and asked.record is None and (said or not path.exists()):
        if said:
            return None
        raise QuestionError(
            "nothing was said of what fails, and there is no record of the stopwatch",
            "Name what fails and what is answered, such as --failing mail --answered names; or begin a record with "
            f"`falsework stopwatch {asked.lab}`.",
        )
    known = newest(path, standing.lab)
    if known is None:
        raise QuestionError(f"the record '{path}' has no run yet", "Name what fails with --failing.")
    again = {*asked.failing, *asked.answered}
    known = replace(
        known,
        failing=tuple(name for name in known.failing if name not in again),
        answered=tuple(name for name in known.answered if name not in again),
    )
    if not (known.failing or known.answered or said):
        raise QuestionError(
            f"run {known.run} of the record '{path}' has no probe that this lab file knows what it sees",
            "Name what fails with --failing.",
        )
    return known


def _picture(standing: Standing, found: Diagnosis) -> str:
    # Only here: the drawing loads what no other answer needs.
    from falsework.faces.report.elevation import elevation

    first = found.causes[0]
    loss = lose(standing, first.out, thin=False) if first.out else None
    return elevation(standing, loss, why=_shown(standing, found, first))


def _shown(standing: Standing, found: Diagnosis, first: Cause) -> str:
    """The service whose chain is drawn: of the first failing report that the cause explains."""
    sees = {each.name: each.sees for each in questions(standing.lab) if each.sees}
    for report in found.failing:
        if report.name in first.chains:
            thing = sees.get(report.thing, report.name)
            if thing in standing.support.things:
                return thing
    return ""


def _lines(standing: Standing, found: Diagnosis, known: Known | None, asked: Asked) -> Iterator[Line]:
    yield Line(f"{headline(found)}{without(standing.out)}", style="head")
    if known is not None:
        yield labelled("record", _known(known), style="quiet")
    yield Line()
    yield from _next(found, MANY if asked.all else FEW_NEXT)
    for number, each in enumerate(shown(found)):
        yield Line()
        yield from _cause(each, first=number == 0)
    yield Line()
    if rest(found):
        yield labelled("rest", rest(found), style="quiet")
    if left(found):
        yield labelled("bound", sentence(left(found)), style="quiet")
    for words in found.assumed:
        yield labelled("assumed", words, style="quiet")
    yield labelled("mind", CAUTION, style="quiet")
    if asked.picture is not None:
        yield Line()
        yield Line(f"The picture is in {asked.picture}.")


def _known(known: Known) -> str:
    began = (
        f", since {units.format(round(known.since_s), Dimension.TIME)}" if known.since_s is not None else ""
    )
    fail = "fails" if len(known.failing) == 1 else "fail"
    lost = f"; not known: {few(known.unknown)}" if known.unknown else ""
    return f"run {known.run}: {len(known.failing)} {fail}{began}, {len(known.answered)} are answered{lost}"


def _next(found: Diagnosis, most: int) -> Iterator[Line]:
    if not found.next:
        yield labelled("next", "nothing that could be asked tells more", style="remark")
        return
    for number, (each, others) in enumerate(offered(found, most)):
        same = f" (or {few(others, 3)})" if others else ""
        said = (
            f"{each.says}{same}: {minutes(each.minutes)}, {worth(found, each)}; then {each.option[0]} "
            f"or {each.option[1]}"
        )
        yield labelled("or" if number else "next", said, style="quiet" if number else "remark")


def _cause(each: Cause, *, first: bool) -> Iterator[Line]:
    against = f", {odds(each.against)}" if first or each.against >= 1.05 else ""
    label = f"{share(each.posterior):>12}  "
    yield Line(f"{cause(each)}{against}", label, "head" if first else "remark")
    width, indent = 9, 6
    if which(each):
        yield labelled("of these", which(each), style="quiet", indent=indent, width=width)
    for says in chains(each)[: (3 if first else 1)]:
        yield labelled("why", says, style="quiet", indent=indent, width=width)
    if itself_says(each):
        said = itself_says(each)
        yield labelled("look", said, style="quiet", indent=indent, width=width)
    if each.speaks_against and not each.nothing:
        yield labelled("but", clauses(each.speaks_against), style="quiet", indent=indent, width=width)
    if each.brings_down:
        said = f"{listed(each.brings_down, 6)}: down too, if it is this"
        yield labelled("also", said, style="quiet", indent=indent, width=width)
