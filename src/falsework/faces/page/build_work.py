"""The build: in which order is the lab raised, what waits for what, and how does it start, stop and come again?"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from falsework.analyses.cold_start import cold_start, why_stuck
from falsework.analyses.loops import Loops, loops
from falsework.analyses.raising.raised import Raised
from falsework.analyses.raising.whole import raised
from falsework.analyses.rebuild.rebuild import rebuild
from falsework.analyses.shutdown import stop
from falsework.errors import QuestionError, capital
from falsework.faces.cli.rebuild import status_of
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.loops_words import cheapest_says, cut_says
from falsework.faces.page.fragments import Tell, bared, fragment, opened, ticked
from falsework.faces.page.made import Made
from falsework.faces.plain_loops import loops_answer
from falsework.faces.plain_raising import raise_answer
from falsework.faces.plain_rebuild import rebuild_answer
from falsework.faces.plain_starting import cold_start_answer
from falsework.faces.plain_stopping import shutdown_answer
from falsework.faces.rebuild_words import headline, ranked, short
from falsework.faces.report.raised import raising
from falsework.faces.report.raising import raising_print, raising_sheet
from falsework.faces.runbook.document import Picture, Runbook
from falsework.faces.runbook.of_cold_start import of_cold_start
from falsework.faces.runbook.of_plan import of_plan
from falsework.faces.runbook.of_rebuild import of_rebuild
from falsework.faces.runbook.of_shutdown import of_shutdown
from falsework.model.parts import Ups
from falsework.support.standing import Standing
from falsework.where import Where

MOST_LOOPS = 12
"""Loops of a kind that are told; the command tells all."""
STANDS = ticked(
    "Everything stands already, so there is nothing to raise. What is there is what `today` says in the lab file "
    "(`built`, `not built`); look at it from bare parts instead."
)
WANTS_SIGNAL = ticked(
    "No battery says when it signals, so nothing stops in order. Write `signals at: 5 min` and `tells: node` at a `ups` under `power`."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A loop in words.

    Attributes:
        kind: of the loop, such as `to start`.
        ring: who waits for whom.
        why: a clause for each step, and its place in the lab file.
        means: what it means.
        cuts: what would cut it, cheapest first.
    """

    kind: str
    ring: str
    why: tuple[tuple[str, Where | None], ...]
    means: str
    cuts: tuple[str, ...]


def work_order(
    path: str,
    digest: str,
    out: tuple[str, ...],
    tell: Tell,
    *,
    from_nothing: bool = False,
    begins: datetime.date | None = None,
) -> Made:
    """Order the work, in a process of its own; `out` does not count, since nothing is lost while it is built.

    Raises:
        FalseworkError: the lab can't be read any more, or is another; or its hours allow no calendar.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, ())
    found = raised(standing, from_nothing=from_nothing, begins=begins, progress=tell)
    tell("drawing", 0, 1)
    section = raising(standing.lab, found)
    if section is not None:
        section = replace(section, figures=bared(section.figures))
    files = _files(standing, found, begins) if found.plan.steps else {}
    html = fragment(
        "order_made.html.j2",
        standing,
        out,
        raising=section,
        runbook=_of_order(standing, found, begins) if found.plan.steps else None,
        stands=STANDS,
        from_nothing=from_nothing,
        begins=begins.isoformat() if begins else "",
    )
    status = BROKEN if found.plan.stuck else MET
    answer = raise_answer(standing, found.plan, found.fragile, found.schedule, status)
    return Made(html=html, answers={"raise": answer}, files=files)


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Work out what waits for what, how it all starts and stops, and how it comes again, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, 4)
    standing = opened(path, digest, out)
    lab, answers = standing.lab, dict[str, object]()
    tell("looking for loops", 0, 4)
    whole = opened(path, digest, ())  # as the command: loops are of the whole lab, whatever is out
    waiting = loops(whole)
    answers["loops"] = loops_answer(whole, waiting, BROKEN if waiting.of("to start") else MET)
    tell("starting from nothing", 1, 4)
    started = cold_start(standing)
    blocked = why_stuck(standing, started)
    status = MET if started.whole else BROKEN
    answers["cold-start"] = cold_start_answer(
        standing, started, blocked, hands=False, outside=True, status=status
    )
    tell("stopping on battery", 2, 4)
    stopped = stop(standing, ())
    answers["shutdown"] = shutdown_answer(standing, stopped, BROKEN if stopped.broken else MET)
    tell("destroying one thing after the other", 3, 4)
    again = rebuild(
        standing, progress=lambda done, of: tell("destroying one thing after the other", done, of)
    )
    status = status_of((*again.losses, again.teardown.saved))
    answers["rebuild"] = rebuild_answer(standing, again, status)
    today = datetime.date.today()
    signals = bool(stopped.batteries) or any(ups.signals_at is not None for ups in lab.of(Ups))
    html = fragment(
        "build_made.html.j2",
        standing,
        out,
        loops=tuple(_loops(waiting)),
        more_loops=_more_loops(waiting),
        cheapest=tuple(
            (cheapest_says(cuts), tuple(cut_says(cut) for cut in cuts.cuts)) for cuts in waiting.cheapest
        ),
        start=of_cold_start(standing, started, blocked, date=today),
        start_bad=not started.whole,
        stop=of_shutdown(standing, stopped, date=today) if signals else None,
        stop_bad=stopped.broken,
        wants_signal=WANTS_SIGNAL,
        rebuild_lead=capital(headline(again)),
        losses=tuple((loss.way.value, short(standing, loss)) for loss in ranked(again)),
        teardown=of_rebuild(lab, again.teardown, date=today),
    )
    return Made(html=html, answers=answers)


def work_paper(
    path: str,
    digest: str,
    out: tuple[str, ...],
    tell: Tell,
    *,
    name: str,
    from_nothing: bool = False,
    begins: datetime.date | None = None,
) -> Made:
    """Set one paper to take home, in a process of its own.

    Args:
        path: of the lab.
        digest: of the state that is meant.
        out: what is pulled.
        tell: whom to tell how far it is.
        name: one of `PAPERS`, with its ending.
        from_nothing: for the order of work: as if nothing were built.
        begins: for the order of work: the day to begin on.

    Raises:
        FalseworkError: there is no such paper, or nothing to write on it.
    """
    stem = Path(name).stem
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, () if stem in ("runbook", "calendar") else out)
    if stem in ("runbook", "calendar"):
        if stem == "calendar":
            begins = begins or datetime.date.today()
        found = raised(standing, from_nothing=from_nothing, begins=begins, progress=tell)
        if not found.plan.steps:
            raise QuestionError("there is no step to tell of", "Look at the build from bare parts.")
        if stem == "calendar":
            return _paper(name, _calendar(standing, found))
        book = _of_order(standing, found, begins, drawn=True)
    else:
        book = _book(standing, stem, name)
    tell("setting the paper", 0, 1)
    # Only here: typesetting loads what no other answer needs.
    from falsework.faces.runbook.setting import runbook_bytes

    return _paper(name, runbook_bytes(Path(name), book))


def _files(standing: Standing, found: Raised, begins: datetime.date | None) -> dict[str, bytes]:
    """What can be taken home of an order of work; the one for the printer only where its calendar took long."""
    from falsework.faces.runbook.markdown import markdown

    drawn = raising_sheet(standing.lab, found.plan, found.fragile, found.schedule)
    book = _of_order(standing, found, begins, drawn=True)
    files = {"build.svg": f"{drawn}\n".encode(), "runbook.md": markdown(book).encode()}
    if found.schedule is not None:
        from falsework.faces.runbook.pdf import pdf

        files["calendar.ics"] = _calendar(standing, found)
        files["runbook.pdf"] = pdf(book)
    return files


PAPERS = {
    "runbook": "the order of work",
    "cold-start": "the start sheet",
    "stop": "the stop sheet",
    "rebuild": "the teardown and rebuild",
}
"""What can be printed, by the stem of its file: `.pdf` or `.md`; besides, `calendar.ics`."""


def _book(standing: Standing, stem: str, name: str) -> Runbook:
    today = datetime.date.today()
    if stem == "cold-start":
        started = cold_start(standing)
        return of_cold_start(standing, started, why_stuck(standing, started), date=today)
    if stem == "stop":
        return of_shutdown(standing, stop(standing, ()), date=today)
    if stem == "rebuild":
        return of_rebuild(standing.lab, rebuild(standing).teardown, date=today)
    raise QuestionError(f"no paper is called '{name}'", f"There are {', '.join(PAPERS)}, as .pdf and .md.")


def _of_order(
    standing: Standing, found: Raised, begins: datetime.date | None, *, drawn: bool = False
) -> Runbook:
    pictures: tuple[Picture, ...] = ()
    if drawn:
        svg = raising_print(found.plan, found.fragile, found.schedule)
        says = "What hangs on one part after every step; stand-ins stand below."
        pictures = (Picture(svg=svg, says=says),)
    return of_plan(
        standing.lab,
        found.plan,
        found.fragile,
        found.schedule,
        date=begins or datetime.date.today(),
        pictures=pictures,
    )


def _calendar(standing: Standing, found: Raised) -> bytes:
    # Only here: it loads what no other answer needs.
    from falsework.faces.calendar import calendar

    if found.schedule is None:
        raise QuestionError("there is no calendar of it", "Name a day to begin on.")
    return calendar(standing.lab, found.plan, found.schedule).encode()


def _paper(name: str, body: bytes) -> Made:
    return Made(html="", files={name: body})


def _loops(found: Loops) -> Iterator[Told]:
    kinds: dict[str, int] = {}
    for loop in found.loops:
        kinds[loop.kind] = kinds.get(loop.kind, 0) + 1
        if kinds[loop.kind] > MOST_LOOPS:
            continue
        yield Told(
            kind=loop.kind,
            ring=" → ".join(loop.ring),
            why=tuple((f"{link.thing} {link.says} {link.on}", link.where) for link in loop.links),
            means=loop.means,
            cuts=tuple(cut_says(cut) for cut in loop.cuts[:3]),
        )


def _more_loops(found: Loops) -> int:
    return sum(max(len(found.of(kind)) - MOST_LOOPS, 0) for kind in {loop.kind for loop in found.loops})
