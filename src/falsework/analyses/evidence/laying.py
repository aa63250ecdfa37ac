"""How do lines, probes, actions and predictions lie on one time line?"""

from __future__ import annotations

import datetime
import math
from bisect import bisect_left
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from falsework.analyses.evidence.clocks import EPOCH, at_us, clock_of
from falsework.analyses.evidence.foretold import Plan, foretold
from falsework.analyses.evidence.homes import Homes
from falsework.analyses.evidence.result import (
    NEVER,
    Clock,
    Evidence,
    Foretold,
    Near,
    Point,
    Refusal,
    Sort,
)
from falsework.logs.bounds import Ahead
from falsework.logs.gathering import Gathered
from falsework.logs.stamps import SECOND
from falsework.logs.thinning import ALL, SEVERE, Why
from falsework.logs.ties import Step
from falsework.record.observed import Observed
from falsework.record.seen import Mark
from falsework.support.graph import Role
from falsework.support.standing import Standing

MOST_UNFORETOLD = 200


def lay(
    standing: Standing,
    gathered: Gathered,
    *,
    homes: Homes,
    observed: Observed | None = None,
    lost: Collection[str] = (),
    grace_s: float = 0.0,
) -> Evidence:
    """Lay all on one time line.

    Args:
        standing: the lab with what was out beforehand.
        gathered: what the logs say.
        homes: finds things by the names of hosts.
        observed: a run of the stopwatch, if there was one.
        lost: the parts that were lost at the moment, or are asked about.
        grace_s: how long before the moment the first line may be, where the moment is not known well.

    Raises:
        QuestionError: a part is not in the lab.
    """
    stretch = gathered.stretch
    plan = _plan(standing, gathered, observed, lost)
    found = plan.falls
    known = {each.thing: each for each in found}
    scale = _Scale(gathered, observed, homes)
    points = [
        *_of_lines(gathered, scale, homes),
        *_silences(gathered, scale, homes),
        *_steps(gathered, scale, homes),
        *(_of_run(observed, scale) if observed is not None else ()),
        *(_of_plan(found)),
    ]
    laid = tuple(
        sorted(
            (replace(each, near=_near(each, known)) for each in points),
            key=lambda each: (each.at_s, each.sort.value, each.whose, each.offset),
        )
    )
    first, rivals = _first(laid, grace_s)
    return Evidence(
        moment=EPOCH + datetime.timedelta(microseconds=stretch.moment_us),
        before_s=(stretch.moment_us - stretch.from_us) / SECOND,
        after_s=(stretch.until_us - stretch.moment_us) / SECOND,
        ordinary_s=(stretch.from_us - stretch.ordinary_us) / SECOND,
        run=observed.run.number if observed is not None else None,
        lost=tuple(lost),
        points=laid,
        first=first,
        rivals=rivals,
        foretold=found,
        unforetold=tuple(_unforetold(laid, known, standing, plan)) if plan.down else (),
        clocks=tuple(_clocks(gathered)),
        reference=gathered.reference,
        tied=observed is None or scale.tied,
        lines=gathered.lines,
        ordinary_lines=gathered.before,
        kinds=gathered.kinds,
        chance_new=gathered.chance_new,
        uncompared=gathered.uncompared,
        unknown=tuple(host for host in gathered.hosts if not homes.thing(host)),
        files=len(gathered.files),
        refused=tuple(_refused(gathered)),
        dropped=gathered.dropped,
        full=gathered.full,
        passed=gathered.passed,
        quiet=tuple(
            each.source.path for each in gathered.files if not (each.tally.inside or each.tally.broke)
        ),
        guessed=gathered.guessed,
    )


def _plan(standing: Standing, gathered: Gathered, observed: Observed | None, lost: Collection[str]) -> Plan:
    if observed is None:
        return foretold(standing, lost)
    run = observed.run
    back = None
    if run.put_back_s is not None:
        back = (at_us(run, run.put_back_s) - gathered.stretch.moment_us) / SECOND
    return foretold(standing, lost, tries=run.tries if run.done_s is not None else "", power_back_s=back)


class _Scale:
    """Turns times of clocks into seconds after the moment, by the clock of reference."""

    def __init__(self, gathered: Gathered, observed: Observed | None, homes: Homes) -> None:
        self._moment = gathered.stretch.moment_us
        self._clocks: Mapping[str, Ahead] = {each.clock: each for each in gathered.clocks}
        self._steps: dict[str, list[Step]] = {}
        for step in gathered.steps:
            self._steps.setdefault(step.host, []).append(step)
        # The moment of a run is read off the stopwatch.
        self.tied = observed is not None and clock_of(observed.run, homes) == gathered.reference

    def at_s(self, host: str, at_us: int) -> tuple[float, float]:
        """When a host's time is, and by how much that may be wrong, seconds."""
        clock = self._clocks.get(host)
        within = clock.within_us if clock is not None else NEVER
        for step in self._steps.get(host, ()):
            # What was said on the other side of a step is put right by it, if its size is known.
            if (at_us < step.at_us) != (self._moment < step.at_us):
                if step.by_us is None:
                    within = NEVER
                else:
                    at_us += step.by_us if at_us < step.at_us else -step.by_us
        ahead = clock.best_us if clock is not None else 0
        return (at_us - ahead - self._moment) / SECOND, within / SECOND

    def of_run(self, observed: Observed, at_s: float) -> float:
        """When a moment of the stopwatch is, seconds."""
        if math.isinf(at_s):
            return at_s
        return (at_us(observed.run, at_s) - self._moment) / SECOND


def _of_lines(gathered: Gathered, scale: _Scale, homes: Homes) -> Iterator[Point]:
    usual = {each.kind: each.usual for each in gathered.differing}
    paths = {each.source.number: each.source.path for each in gathered.files}
    for entry in gathered.entries:
        line = entry.line
        at, within = scale.at_s(line.host, line.at_us)
        until, _ = scale.at_s(line.host, entry.until_us)
        yield Point(
            at_s=at,
            within_s=within,
            until_s=max(until, at),
            sort=Sort.SAID,
            whose=line.host,
            thing=homes.thing(line.host),
            service=homes.service(line.app),
            app=line.app,
            why=entry.why.value,
            says=line.text,
            count=entry.count,
            usual=usual.get(entry.kind, 0.0),
            severity=line.severity,
            file=paths.get(line.file),
            line=gathered.numbers.get((line.file, line.offset), 0),
            offset=line.offset,
        )


def _silences(gathered: Gathered, scale: _Scale, homes: Homes) -> Iterator[Point]:
    for each in gathered.differing:
        if each.why is not Why.STOPPED:
            continue
        at, within = scale.at_s(each.kind.host, each.last_us)
        all_of_it = each.kind.says == ALL
        yield Point(
            at_s=at,
            within_s=within,
            until_s=NEVER,
            sort=Sort.SILENT,
            whose=each.kind.host,
            thing=homes.thing(each.kind.host),
            service="" if all_of_it else homes.service(each.kind.app),
            app=each.kind.app,
            why=each.why.value,
            says="nothing more from it" if all_of_it else f"no more of: {each.kind.says}",
            count=0,
            usual=each.usual,
        )


def _steps(gathered: Gathered, scale: _Scale, homes: Homes) -> Iterator[Point]:
    paths = {each.source.number: each.source.path for each in gathered.files}
    told = {(entry.line.file, entry.line.offset) for entry in gathered.entries}
    for step in gathered.steps:
        line = step.line
        if line.at_us < gathered.stretch.from_us or (line.file, line.offset) in told:
            continue
        at, within = scale.at_s(step.host, step.at_us)
        yield Point(
            at_s=at,
            within_s=within,
            until_s=at,
            sort=Sort.SET,
            whose=step.host,
            thing=homes.thing(step.host),
            app=line.app,
            says=line.text,
            severity=line.severity,
            file=paths.get(line.file),
            offset=line.offset,
        )


def _of_run(observed: Observed, scale: _Scale) -> Iterator[Point]:
    for mark in observed.run.marks:
        at = scale.of_run(observed, mark.at_s)
        plain = mark.says if mark.mark in (Mark.DONE, Mark.SAID) else f"{mark.mark.value}: {mark.says}"
        says = plain if mark.says else mark.mark.value
        yield Point(at_s=at, within_s=0.0, until_s=at, sort=Sort.DONE, whose="stopwatch", says=says)
    for probe in observed.probes:
        for outage in probe.outages:
            at = scale.of_run(observed, outage.from_s)
            began = 0.0 if math.isinf(outage.good_s) else (outage.bad_s - outage.good_s) / 2
            yield Point(
                at_s=at,
                within_s=began,
                until_s=scale.of_run(observed, outage.until_s),
                sort=Sort.SEEN,
                whose=probe.probe,
                thing=probe.sees,
                service=probe.sees,
                says=outage.says or outage.told.name.lower(),
            )


def _of_plan(found: Sequence[Foretold]) -> Iterator[Point]:
    for each in found:
        yield Point(
            at_s=each.at_s,
            within_s=0.0,
            until_s=each.back_s,
            sort=Sort.FORETOLD,
            whose=each.thing,
            thing=each.thing,
            says=each.verdict.word,
        )


def _near(point: Point, known: Mapping[str, Foretold]) -> Near | None:
    """The foretold fall of the point's service or machine that lies nearest in time."""
    if point.sort in (Sort.FORETOLD, Sort.DONE, Sort.SET):
        return None
    fitting = [known[name] for name in dict.fromkeys((point.service, point.thing)) if name in known]
    if not fitting:
        return None
    nearest = min(fitting, key=lambda each: abs(point.at_s - each.at_s))
    return Near(foretold=nearest, after_s=point.at_s - nearest.at_s)


def _first(points: Sequence[Point], grace_s: float) -> tuple[Point | None, tuple[str, ...]]:
    """The first line at or after the moment, and the hosts that may have spoken before it all the same.

    A line whose clock may be wrong counts as after the moment if it may have been.
    """
    lines = [each for each in points if each.sort is Sort.SAID]
    begin = bisect_left([each.at_s for each in lines], -grace_s)
    if begin == len(lines):
        return None, ()
    first = lines[begin]
    rivals = {
        each.whose
        for each in lines
        if each.whose != first.whose
        # Of two clocks each may be wrong: their intervals overlap.
        and each.at_s - each.within_s <= first.at_s + first.within_s
        and each.at_s + each.within_s >= -grace_s
    }
    return first, tuple(sorted(rivals))


def _unforetold(
    points: Sequence[Point], known: Mapping[str, Foretold], standing: Standing, plan: Plan
) -> Iterator[tuple[str, Point]]:
    """What the plan says stands untouched and a line tells of after the moment, or stands and a probe was not answered.

    What leans on something that falls may well complain although it stands: that is foretold.
    """
    seen: set[str] = set()
    hurt = _hurt(standing, plan.down)
    for point in points:
        if point.at_s + min(point.within_s, 1.0) < 0 or point.sort in (Sort.FORETOLD, Sort.DONE, Sort.SET):
            continue
        if point.sort is Sort.SAID and point.severity > SEVERE:
            continue
        about = point.service or point.thing
        if not about or about in seen or about in known or point.thing in known:
            continue
        if point.sort is not Sort.SEEN and (about in hurt or point.thing in standing.out):
            continue
        seen.add(about)
        yield about, point
        if len(seen) >= MOST_UNFORETOLD:
            return


def _hurt(standing: Standing, down: frozenset[str]) -> frozenset[str]:
    """What is down, leans on what is down, or is housed in what does."""
    things = standing.support.things
    near = down | {
        name for name, each in things.items() if any(not down.isdisjoint(lean.on) for lean in each.leans)
    }
    housed = {
        name
        for name, each in things.items()
        if any(lean.role is Role.HOUSING and not near.isdisjoint(lean.on) for lean in each.leans)
    }
    return near | housed


def _clocks(gathered: Gathered) -> Iterator[Clock]:
    sets: dict[str, int] = {}
    for step in gathered.steps:
        sets[step.host] = sets.get(step.host, 0) + 1
    found = [
        Clock(
            host=each.clock,
            ahead_s=each.best_us / SECOND,
            low_s=each.low_us / SECOND,
            high_s=each.high_us / SECOND,
            ties=each.ties,
            clash=each.clash,
            set=sets.get(each.clock, 0),
        )
        for each in gathered.clocks
    ]
    yield from sorted(found, key=lambda each: (not each.off, -abs(each.ahead_s), each.host))


def _refused(gathered: Gathered) -> Iterator[Refusal]:
    for each in gathered.refused:
        yield Refusal(file=each.path, what=each.what, mend=each.mend)
    for read in gathered.files:
        path: Path = read.source.path
        if read.tally.broke:
            yield Refusal(
                file=path,
                what=f"it could not be read to its end ({read.tally.broke}); what comes before counts",
                mend="Look for a whole copy of it.",
            )
