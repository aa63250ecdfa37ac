"""What was seen: the newest run of the stopwatch while it goes on, and those before it."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from shlex import quote

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.analyses.drilling import Foretold, foretold
from falsework.analyses.history.summary import seconds_said
from falsework.errors import FalseworkError, QuestionError, counted, few, shortened
from falsework.faces.drill_says import does
from falsework.faces.page.given import whole
from falsework.faces.page.kept import Good
from falsework.faces.page.page import Page, answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import Shown, job, shown
from falsework.faces.report.strips import KEY, Strips, first, strips_svg
from falsework.faces.stopwatch_words import WORDS, usual
from falsework.record.keeping import observed, record_of, runs
from falsework.record.observed import Observed, ProbeSeen, Run
from falsework.record.reading import going
from falsework.support.probing import questions

RECOVERY = job("recovery_work")
LONGEST_S = 3600.0
"""Of a run that only watches no more than the last so much is drawn, seconds; the table tells of all of it."""
MOST_RUNS = 30
LONGEST_SAID = 40
"""Letters of a probe's name in the sentence; the table beside has all of it."""
QUIET_S = 5.0
"""A stopwatch that goes on and has told nothing for so long is said to, seconds."""
_foretold_before: dict[tuple[str, ...], Mapping[str, Foretold]] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One probe in the table.

    Attributes:
        probe: its name.
        sees: what it sees; empty where nobody knows.
        now: how it is or was answered last.
        bad: whether that is not well.
        usual: how long a good answer usually takes.
        outages: how many, how long in all and the longest.
        foretold: what was foretold of what it sees; empty where nothing was.
        warning: of its last good answer.
    """

    probe: str
    sees: str
    now: str
    bad: bool
    usual: str
    outages: str
    foretold: str
    warning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A run as it is shown.

    Attributes:
        run: the run.
        going: whether it goes on.
        says: it in sentences without the last full stop.
        svg: the drawing.
        rows: the table.
        notes: what was done and said, gaps and jumps: when, and what.
        more: probes that have no room, a sentence or nothing.
    """

    run: Run
    going: bool
    says: str
    svg: Markup
    rows: tuple[Row, ...]
    notes: tuple[tuple[str, str], ...]
    more: str


async def sheet(request: Request) -> Response:
    """The sheet; `run` in the address shows another run than the newest."""
    page = page_of(request)
    view, past, question = await run_in_threadpool(_read, page, request)
    # A run that begins or ends changes what is proved, though the lab file is the same.
    newest = f"{past[0].number} {past[0].ended}" if past else "0"
    recovery = await shown(request, f"record {newest}", RECOVERY, out=Pulled.read(request.query_params).out)
    judged = await _judged(request, view) if view is not None and not view.going else None
    return answer(
        request,
        "stopwatch.html.j2",
        recovery=recovery,
        judged=judged,
        title="What was seen",
        status=400 if question else 200,
        view=view,
        unread=question is not None,
        key=KEY,
        past=past,
        asks=bool(page.keeper.good and questions(page.keeper.good.lab)),
        question=question,
        path=quote(str(page.keeper.path)),
        most_runs=MOST_RUNS,
        newest=past[0].number if past else 0,
    )


async def _judged(request: Request, view: View) -> Shown | None:
    """What was foretold of a drill and what was seen, once it is over; None where nothing was tried."""
    run = view.run
    if not (run.lost or run.tries):
        return None
    return await shown(request, f"compare {run.number} {run.until_s}", job("run_work", number=run.number))


async def now(request: Request) -> Response:
    """Only what moves, for the script that asks for it while a run goes on."""
    view, past, question = await run_in_threadpool(_read, page_of(request), request)
    return answer(
        request,
        "stopwatch_seen.html.j2",
        title="What was seen",
        view=view,
        unread=question is not None,  # the sheet, which is then asked for, says what it is
        key=KEY,
        newest=past[0].number if past else 0,
    )


def _read(page: Page, request: Request) -> tuple[View | None, tuple[Run, ...], QuestionError | None]:
    """A run to show, the newest if none is asked for; all of them, newest first; and why there is none to show."""
    record = record_of(page.keeper.path)
    past: tuple[Run, ...] = ()
    try:
        if record.exists():
            past = tuple(reversed(runs(record)))
        number = _number(request)
        if not past:
            return None, (), None
        seen = observed(record, past[0].number if number is None else number)
        return _view(page.keeper.good, seen, going=going(record) == seen.run.number), past, None
    except QuestionError as error:
        return None, past, error


def _view(good: Good | None, seen: Observed, *, going: bool) -> View:
    run = seen.run
    effects = _effects(good, run)
    from_s = 0.0 if run.drill else max(0.0, run.until_s - LONGEST_S)
    strips = Strips(seen=seen, effects=effects, from_s=from_s, until_s=max(run.until_s, from_s + 10.0))
    says = _says(seen, going=going)
    drawn = first(seen.probes)
    left = len(seen.probes) - len(drawn)
    return View(
        run=run,
        going=going,
        says=says,
        svg=Markup(strips_svg(strips, says=says)),
        rows=tuple(_row(each, run, effects) for each in drawn),
        notes=tuple(_notes(run)),
        more=f"{counted(left, 'more probe')} saw less and {'is' if left == 1 else 'are'} not shown"
        if left
        else "",
    )


def _effects(good: Good | None, run: Run) -> Mapping[str, Foretold]:
    """What was foretold of a drill, by service; nothing where the lab has changed so that nobody can tell."""
    if good is None or not (run.lost or run.tries == "cold start"):
        return {}
    key = (good.digest, *sorted(good.standing.out), run.tries, *run.lost)
    known = _foretold_before.get(key)
    if known is None:
        try:
            with good.lock:
                known = {each.service: each for each in foretold(good.standing, run.tries, run.lost)}
        except FalseworkError:
            known = {}
        _foretold_before.clear()  # the sheet is renewed every second, mostly of one run
        _foretold_before[key] = known
    return known


def _says(seen: Observed, *, going: bool) -> str:
    """It in sentences: how far it goes, what is not answered now or was not at times, and whether anything is told."""
    run = seen.run
    what = f"Drill {run.drill}" if run.drill else "Watching"
    long = seconds_said(run.until_s)
    if going:
        said = [f"{what} goes on, {long} so far"]
    elif run.ended:
        said = [f"{what} ended after {long}"]
    else:
        said = [f"{what} was cut off after {long}: the stopwatch was killed, or lost its power"]
    if going and (quiet_s := _quiet_s(seen)):
        said.append(f"The stopwatch has told nothing for {seconds_said(quiet_s)}; it may be held up")
    bad = [each.probe for each in seen.probes if each.outages and math.isinf(each.outages[-1].good_again_s)]
    again = [each.probe for each in seen.probes if each.outages and each.probe not in bad]
    hurt = [f"not answered well {'now' if going else 'at the end'}: {_few(bad)}"] if bad else []
    hurt += [f"{'' if bad else 'not answered well '}at times: {_few(again)}"] if again else []
    number = len(seen.probes)
    if hurt:
        said.append(f"Of {counted(number, 'probe')} {'; '.join(hurt)}")
    elif any(each.yes for each in seen.probes):
        said.append(f"{f'All {number} probes were' if number > 1 else 'The probe was'} answered well")
    return ". ".join(said)


def _few(names: Sequence[str]) -> str:
    return few([shortened(each, LONGEST_SAID) for each in names])


def _quiet_s(seen: Observed) -> float:
    """For how long a run that goes on has told nothing, where that is longer than it should be; else 0."""
    run = seen.run
    now_s = time.time() - run.began.timestamp() - sum(each.by_s for each in run.jumps)
    least_s = max(QUIET_S, 3.0 * min((each.every_s for each in seen.probes), default=0.0))
    return now_s - run.until_s if now_s - run.until_s > least_s else 0.0


def _row(seen: ProbeSeen, run: Run, effects: Mapping[str, Foretold]) -> Row:
    last = seen.outages[-1] if seen.outages else None
    bad = last is not None and math.isinf(last.good_again_s)
    if not seen.asked:
        state = "not asked yet"
    elif last is None:
        state = "well" if seen.yes else "unknown"
    elif bad:
        state = f"{WORDS[last.told]} for {seconds_said(run.until_s - last.from_s)}" + (
            f": {last.says}" if last.says else ""
        )
    else:
        state = f"well for {seconds_said(run.until_s - last.until_s)}"
    total = [min(each.until_s, run.until_s) - each.from_s for each in seen.outages]
    outages = ""
    if total:
        outages = f"{counted(len(total), 'outage')}, {seconds_said(sum(total))}" + (
            f", the longest {seconds_said(max(total))}" if len(total) > 1 else ""
        )
    effect = effects.get(seen.sees)
    return Row(
        probe=seen.probe,
        sees=seen.sees,
        now=state,
        bad=bad,
        usual=usual(seen.usual_s),
        outages=outages or "none",
        foretold=does(run, effect) if effect else ("stands" if effects else ""),
        warning=seen.warning,
    )


def _notes(run: Run) -> Iterator[tuple[str, str]]:
    """What was done and said, and what befell the stopwatch itself, in order of time."""
    found: list[tuple[float, str]] = [
        (
            each.at_s,
            f"{each.mark}: {each.says}" if each.says and each.mark != "said" else each.says or str(each.mark),
        )
        for each in run.marks
    ]
    found += [
        (
            each.from_s,
            f"the stopwatch itself did not run for {seconds_said(each.until_s - each.from_s)} ({each.why})",
        )
        for each in run.gaps
    ]
    found += [
        (each.at_s, f"the clock on the wall was set by {each.by_s:+.1f} s; no time here comes from it")
        for each in run.jumps
    ]
    for at_s, says in sorted(found):
        yield seconds_said(at_s), says


def _number(request: Request) -> int | None:
    if not request.query_params.get("run", ""):
        return None
    mend = "The sheet lists those that there are."
    return whole(request, "run", usual=1, most=10**9, what="number of a run", mend=mend)


ROUTES = [Route("/stopwatch", sheet), Route("/stopwatch/now", now)]
