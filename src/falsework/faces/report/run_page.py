"""How is a run told on one page that needs nothing else, or on paper?"""

from __future__ import annotations

import datetime
from pathlib import Path

from markupsafe import Markup

from falsework.analyses.history import Past
from falsework.errors import QuestionError, few
from falsework.faces.report.chances import Figure
from falsework.faces.report.run_picture import caption, run_picture
from falsework.faces.report.run_told import RunTold, run_told
from falsework.faces.report.svg import COLOURS, DARK, FONT
from falsework.faces.report.template import template
from falsework.faces.runbook.document import Caution, Chapter, Picture, Runbook, Table
from falsework.faces.runbook.pdf import pdf
from falsework.faces.runbook.setting import check_paper
from falsework.support.standing import Standing

ENDINGS = (".html", ".pdf")
_MOST_ON_PAPER = 200


def check_place(path: Path, paper: str) -> None:
    """Make sure, before any work, that a report could go there.

    Raises:
        QuestionError: the ending or the paper means nothing.
    """
    if path.suffix.lower() not in ENDINGS:
        raise QuestionError(
            f"'{path}' ends in neither .html nor .pdf, so it is not known what the report shall be",
            "Name a file that ends in .html, to be read, or in .pdf, to be printed.",
        )
    check_paper(paper)


def run_report(path: Path, standing: Standing, past: Past, *, runs: bool = False, paper: str = "a4") -> bytes:
    """The report of a run, in the form that the ending of a path says.

    Args:
        path: where it goes.
        standing: the lab as it is now.
        past: the run.
        runs: whether its stopwatch still runs.
        paper: what a PDF is printed on.

    Returns:
        The whole file; the same run and lab give the same bytes.
    """
    check_place(path, paper)
    if path.suffix.lower() == ".pdf":
        return pdf(run_paper(standing, past, runs=runs), paper=paper)
    return run_page(standing, past, runs=runs).encode("utf-8")


def run_page(standing: Standing, past: Past, *, runs: bool = False) -> str:
    """One self-contained HTML page: no script, nothing fetched, ready to print."""
    told = run_told(standing, past, runs=runs)
    return template("run.html.j2").render(
        lab=standing.lab.name,
        told=told,
        figure=Figure(svg=Markup(run_picture(past)), caption=caption(past)),
        rows=_rows(told),
        outages=_outages(told),
        colours=COLOURS,
        dark=DARK,
        font=Markup(FONT),
    )


def run_paper(standing: Standing, past: Past, *, runs: bool = False) -> Runbook:
    """The same, to be set on paper."""
    told = run_told(standing, past, runs=runs)
    run = past.observed.run
    chapters = [
        Chapter(title="Time line", pictures=(Picture(svg=_on_white(run_picture(past)), says=caption(past)),)),
    ]
    if told.things or told.stood or told.unseen:
        stood = (f"Stood, as foretold: {few(told.stood, 40)}.",) if told.stood else ()
        unseen = (f"No probe saw, so nothing can be said: {few(told.unseen, 40)}.",) if told.unseen else ()
        chapters.append(
            Chapter(
                title="Foretold and seen",
                says=(*stood, *unseen),
                tables=(
                    Table(
                        title="",
                        head=("thing", "", "foretold", "seen", "so"),
                        rows=_rows(told),
                        widths=(3, 2, 3, 3, 6),
                    ),
                )
                if told.things
                else (),
            )
        )
    chapters.append(
        _chapter(
            "Outages", ("probe", "began", "lasted", "says"), _outages(told), (3, 2, 4, 4), "None was seen."
        )
    )
    if told.moments:
        chapters.append(_chapter("What was done, and when", ("when", "what"), told.moments, (1, 5), ""))
    head = ("probe", "asks", "answered well", "usual", "longest", "mind")
    probes = _chapter("Probes", head, told.answers, (3, 5, 2, 2, 2, 3), "None asked.")
    return Runbook(
        title=told.title,
        lab=standing.lab.name,
        date=run.began.astimezone(datetime.UTC).date(),
        source=next(iter(standing.lab.files), ""),
        aside="What was foretold is what the lab file says now.",
        lead=(told.lead, *told.facts),
        cautions=(Caution(title="Mind", says=told.cautions),) if told.cautions else (),
        chapters=tuple(chapters),
        appendix=(probes,),
        read_through=True,
    )


def _on_white(drawn: str) -> str:
    """A picture for print, where the paper is the printer's."""
    return drawn.replace(COLOURS["paper"], "#ffffff")


def _chapter(
    title: str,
    head: tuple[str, ...],
    rows: tuple[tuple[str, ...], ...],
    widths: tuple[int, ...],
    none: str,
) -> Chapter:
    if not rows:
        return Chapter(title=title, says=(none,))
    more = len(rows) - _MOST_ON_PAPER
    says = (f"{more:,} more are in the record; --json has them.",) if more > 0 else ()
    table = Table(title="", head=head, rows=rows[:_MOST_ON_PAPER], widths=widths)
    return Chapter(title=title, says=says, tables=(table,))


def _rows(told: RunTold) -> tuple[tuple[str, ...], ...]:
    return tuple((each.thing, each.sort, each.foretold, each.seen, each.says) for each in told.things)


def _outages(told: RunTold) -> tuple[tuple[str, ...], ...]:
    return tuple((each.probe, each.at, each.lasted, each.says) for each in told.outages)
