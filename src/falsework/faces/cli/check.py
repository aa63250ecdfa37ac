"""Which aims are met, what breaks the others, and what else is worth knowing?"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.errors import QuestionError, counted, listed
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import write
from falsework.faces.cli.words import without
from falsework.faces.plain import check_answer
from falsework.faces.sarif import sarif
from falsework.findings.finding import Finding, Level
from falsework.study import Study, study
from falsework.where import Where

MOST_REMARKS = 8
"""Remarks shown where --all is not asked for: the most hurting one of each sort, then what hurts most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    report: Path | None = None
    years: int | None = None
    no_odds: bool = False
    json: bool = False
    sarif: bool = False
    assumed: bool = False
    all: bool = False


def check(asked: Asked) -> int:
    """Check a lab, print the answer, return the exit status.

    Raises:
        FalseworkError: the file, the question, or the place for the report.
    """
    if asked.json and asked.sarif:
        raise QuestionError("--json and --sarif both want the output", "Ask for one of them.")
    if asked.years is not None and asked.report is None:
        raise QuestionError(
            "--years are drawn for the report, and none is asked for",
            "Add --report FILE, or ask `falsework years`.",
        )
    with Told() as told:
        reported = asked.report is not None
        found = study(
            asked.lab,
            out=asked.out,
            odds=reported and not asked.no_odds,
            causes=reported,
            progress=told,
        )
        if asked.report is not None:
            # Only here: the drawings and templates load slowly, and most checks need none.
            from falsework.faces.report.html import report
            from falsework.faces.report.physical import physical
            from falsework.faces.report.raised import asks_for_it

            drawn = None
            if asked.years is not None:
                from falsework.analyses.years import years

                drawn = years(found.standing, count=asked.years, progress=told)
            order = None
            if asks_for_it(found.lab):
                from falsework.analyses.raising.whole import raised

                order = raised(found.standing, seconds=1.0, progress=told)
            pieces = physical(found.standing, progress=told)
            told("drawing the report", 0, 1)
            write(asked.report, report(found, drawn, raised=order, pieces=pieces), over=True)
    if asked.json:
        put_text(json.dumps(check_answer(found), indent=2, allow_nan=False) + "\n")
    elif asked.sarif:
        put_text(json.dumps(sarif(found), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(found, asked))
    return found.status


def lines(found: Study, asked: Asked) -> Iterator[Line]:
    """The answer for people: short first, then worst first."""
    yield Line(headline(found), style="head")
    for finding in found.findings:
        if finding.level is Level.BROKEN:
            yield Line()
            yield from _finding(finding)
    for aim in found.aims:
        if aim.met is None:
            yield Line()
            yield labelled("OPEN", f"{aim.name}: {aim.says}", style="open")
            yield from _details(where=aim.where)
    yield from _remarks([each for each in found.findings if each.level is Level.REMARK], whole=asked.all)
    yield Line()
    yield from _assumed(found, whole=asked.assumed)
    if asked.report is not None:
        yield Line(f"The report is in {asked.report}.")


def headline(found: Study) -> str:
    """One line: how many aims are met, and what else is broken."""
    met = sum(1 for aim in found.aims if aim.met)
    broken = len(found.broken)
    open_ = sum(1 for aim in found.aims if aim.met is None)
    others = sum(1 for each in found.findings if each.level is Level.BROKEN) - broken
    if not found.aims:
        said = "no aims yet; write under aims what must hold"
    else:
        said = f"{met} of {counted(len(found.aims), 'aim')} met"
        said += f", {broken} broken" if broken else ""
        said += f", {open_} open" if open_ else ""
    if others > 0:
        said += f"; {counted(others, 'thing')} {'does' if others == 1 else 'do'} not stand although nothing is lost"
    return f"{found.lab.name}: {said}{without(found.standing.out)}"


def _finding(finding: Finding, *, brief: bool = False) -> Iterator[Line]:
    word = finding.level.word
    yield labelled(word.upper() if finding.level is Level.BROKEN else word, finding.says, style=word)
    yield from _details(
        where=finding.where,
        why=() if brief else finding.why,
        mend=finding.mend,
        caution="" if brief else finding.caution,
    )


def _details(
    *, where: Where | None, why: Sequence[str] = (), mend: str = "", caution: str = ""
) -> Iterator[Line]:
    for label, text in (
        *(("why", each) for each in why),
        ("mend", mend),
        ("mind", caution),
        ("at", str(where) if where else ""),
    ):
        if text:
            yield labelled(label, text, style="quiet", indent=8, width=6)


def _remarks(remarks: Sequence[Finding], *, whole: bool) -> Iterator[Line]:
    shown = list(remarks) if whole else _loudest(remarks)
    for remark in shown:
        yield Line()
        yield from _finding(remark, brief=False)
    left = [each for each in remarks if each not in shown]
    if left:
        sorts = Counter(each.code for each in left)
        said = ", ".join(f"{code} ({count})" for code, count in sorts.items())
        yield Line()
        yield Line(f"{counted(len(left), 'more remark')}: {said}; --all shows them.")


def _loudest(remarks: Sequence[Finding]) -> list[Finding]:
    """The first of each sort, then what hurts most services, up to the most that are shown; in their order."""
    firsts = {each.code: each for each in reversed(remarks)}.values()
    rest = sorted((each for each in remarks if each not in firsts), key=lambda each: -len(each.services))
    chosen = [*sorted(firsts, key=remarks.index), *rest][:MOST_REMARKS]
    return [each for each in remarks if each in chosen]


def _assumed(found: Study, *, whole: bool) -> Iterator[Line]:
    figures = found.lab.assumptions
    if not figures:
        yield Line("No figure was assumed: the lab file gives them all.")
        return
    if not whole:
        yield Line(
            f"{counted(len(figures), 'figure')} assumed; --assumed lists {'it' if len(figures) == 1 else 'them'}."
        )
        return
    yield Line(
        f"{counted(len(figures), 'figure')} assumed; write the key in the lab file to replace one:",
        style="head",
    )
    for each in figures:
        yield labelled("", f"{each.key}: {each.value}, for {listed(each.things, 4)} ({each.source})", width=2)
