"""What would years of this lab look like: a middle one, a bad one, and one to be told?"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.years.result import DataYears, Years
from falsework.analyses.years.words import headline, told
from falsework.analyses.years.years import years
from falsework.errors import QuestionError, counted
from falsework.faces.amounts import minutes_said
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.odds import known_services
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import MET, STOPPED, write
from falsework.faces.cli.table import table
from falsework.faces.cli.words import without
from falsework.faces.plain_years import years_answer
from falsework.faces.years_words import DRAWN, HEAD, HEAD_SAYS, data_said, row
from falsework.findings.finding import DATA_CAUTION
from falsework.support.standing import Standing
from falsework.units import Dimension

MOST_SERVICES = 12
MOST_DATA = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    service: str = ""
    years: int = 10_000
    seed: int = 1
    within: str = ""
    workers: int = 1
    all: bool = False
    out: tuple[str, ...] = ()
    picture: Path | None = None
    json: bool = False


def years_of(asked: Asked) -> int:
    """Draw years, print the answer, return the exit status: 130 where it was stopped, with what was drawn by then.

    Raises:
        FalseworkError: the file, the question, or the place for the picture.
    """
    within = _within(asked.within)
    if asked.seed < 0:
        raise QuestionError(f"--seed {asked.seed} is below nought", "Give a whole number from 0 up.")
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        of = known_services(standing, (asked.service,))[0] if asked.service else ""
        found = years(
            standing,
            count=asked.years,
            seed=asked.seed,
            of=of,
            within=within,
            workers=asked.workers,
            progress=tell,
        )
        if asked.picture is not None and found.years:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.spread import years_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{years_sheet(found)}\n", over=True)
    status = STOPPED if found.stopped else MET
    if asked.json:
        put_text(json.dumps(years_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, found, asked))
    if found.stopped:
        put_text(
            f"\nStopped after {found.years:,} of {found.asked:,} years; the answer is of these.\n", sys.stderr
        )
    return status


def lines(standing: Standing, found: Years, asked: Asked) -> Iterator[Line]:
    """The answer for people: how sure, then each service, then data, then a year told."""
    out = without(standing.out)
    yield Line(f"{found.lab}{out}: {headline(found)}", style="head")
    if not found.years:
        return
    yield Line()
    yield from _services(found, whole=asked.all)
    yield from _data(found.data, whole=asked.all)
    if found.story is not None:
        first, *rest = told(found.story)
        yield Line()
        yield Line(first, style="head")
        for each in rest:
            yield labelled("", each, width=2)
    yield Line()
    for each in found.assumed:
        yield labelled("assumed", f"{each}.", style="quiet", width=9)
    figures = len(standing.lab.assumptions)
    if figures:
        lists = "it" if figures == 1 else "them"
        yield Line(f"{counted(figures, 'figure')} assumed; `falsework check --assumed` lists {lists}.")
    yield Line(DRAWN, style="quiet")
    if asked.picture is not None:
        yield Line(f"The picture is in {asked.picture}.")


def _services(found: Years, *, whole: bool) -> Iterator[Line]:
    ranked = sorted(found.services, key=lambda each: -each.mean_min)
    if found.of:
        ranked = [each for each in ranked if each.service == found.of]
    shown = ranked if whole else ranked[:MOST_SERVICES]
    yield from table(
        HEAD,
        [row(each) for each in shown],
        right=range(1, 7),
    )
    yield Line(HEAD_SAYS, style="quiet")
    left = ranked[len(shown) :]
    if left:
        yield Line(
            f"{counted(len(left), 'more service')}, none above {minutes_said(left[0].mean_min)} on average; "
            f"--all shows {'it' if len(left) == 1 else 'them'}."
        )


def _data(data: Sequence[DataYears], *, whole: bool) -> Iterator[Line]:
    if not data:
        return
    yield Line()
    ranked = sorted(data, key=lambda each: (-each.gone, -each.restores))
    shown = ranked if whole else ranked[:MOST_DATA]
    for each in shown:
        yield labelled("data", f"{each.data}: {data_said(each)}", style="remark")
    if len(ranked) > len(shown):
        yield labelled("", f"and {counted(len(ranked) - len(shown), 'set')} more of data; --all shows them")
    yield labelled("mind", DATA_CAUTION, style="quiet")


def _within(text: str) -> float | None:
    """A precision, `5 %` or `0.05`."""
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        pass
    return units.asked(text, Dimension.SHARE, by="--within")
