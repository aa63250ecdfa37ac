"""What would years of this lab look like?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from falsework.analyses.years.block import (
    COUNTED,
    SKIPPED,
    Chapter,
    Job,
    Tally,
    chapter,
    packed,
    runs_in,
    tally,
)
from falsework.analyses.years.known import Known
from falsework.analyses.years.result import PERCENTS, DataYears, PartYears, ServiceYears, Years
from falsework.analyses.years.scene import HANDS_ON_S
from falsework.analyses.years.story import Story, story
from falsework.engines.renewal.gather import Gathered, Workers, gather, here
from falsework.engines.renewal.sure import Mean, mean
from falsework.engines.renewal.workers import Processes
from falsework.errors import LimitError, QuestionError, nearest
from falsework.model.services import Data
from falsework.support.standing import Standing

MOST_YEARS = 1_000_000
"""More years than this would not fit in the memory of a small machine."""
BAD = 95.0
"""A typical bad year is the one that so many percent of years are no worse than."""
Progress = Callable[[str, int, int], None]


def years(
    standing: Standing,
    *,
    count: int = 10_000,
    seed: int = 1,
    of: str = "",
    within: float | None = None,
    workers: int | Workers = 1,
    progress: Progress | None = None,
) -> Years:
    """Draw years of a lab: failures, mending, and what each service has of it.

    Args:
        standing: the lab, with what is out beforehand.
        count: how many years at the most; rounded up to tens.
        seed: the same seed gives the same years, whoever works and how many do.
        of: the service that `within` and the story are about; all of them if not given.
        within: stop once half the 95 % interval of its mean yearly downtime is within this share of the mean.
        workers: how many processes on this machine, or whoever else works blocks (`engines.renewal.cluster`).
        progress: told what is done, how far it is, and how far it goes.

    Raises:
        QuestionError: no such service, or a count, precision or number of workers that makes no sense.
        LimitError: more than `MOST_YEARS`.

    Ctrl-C gives what is finished, with `stopped` set; without any finished block, no years.

    Cost:
        About 0.3 ms a year and core for a lab of 150 parts.
    """
    _check(standing, count, of, within, workers)
    known = Known(standing)
    runs, most = math.ceil(count / COUNTED), runs_in(len(known.parts))
    service = standing.support.services.index(of) if of else None

    def enough(tallies: tuple[Tally, ...]) -> bool:
        off = _off(tallies, service)
        return within is not None and off is not None and off <= within

    def told(done: int, _: int) -> None:
        if progress is not None:
            progress("years drawn", min(done * most, runs) * COUNTED, runs * COUNTED)

    blocks = math.ceil(runs / most)
    opening: list[Chapter] = []  # the first block, kept for the story where we live through it ourselves
    if isinstance(workers, int) and workers == 1:

        def work(number: int) -> Tally:
            lived = chapter(known, seed=seed, number=number, runs=min(most, runs - number * most))
            if number == 0:
                opening.append(lived)
            return tally(lived)

        gathered = gather(here, work, blocks, enough=enough, progress=told)
    else:
        who: Workers = Processes(count=min(workers, blocks)) if isinstance(workers, int) else workers
        job = Job(lab=packed(standing.lab), out=tuple(sorted(standing.out)), seed=seed, runs=runs)
        gathered = gather(who, job, blocks, enough=enough, progress=told)
    return _Counting(known, gathered, seed, runs, service, opening).result(within)


def _check(standing: Standing, count: int, of: str, within: float | None, workers: int | Workers) -> None:
    if count < 1:
        raise QuestionError(what=f"{count} years can't be drawn", mend="Ask for one or more.")
    if count > MOST_YEARS:
        raise LimitError(
            what=f"{count:,} years are more than the {MOST_YEARS:,} that fit",
            mend="Ask for fewer; the precision that ten thousand give is mostly enough.",
        )
    if within is not None and not 0.0 < within < 1.0:
        raise QuestionError(what=f"a precision of {within:g} makes no sense", mend="Ask for 0.05, say: 5 %.")
    if isinstance(workers, int) and not 1 <= workers <= 1024:
        raise QuestionError(what=f"{workers} processes can't work", mend="Ask for 1 to 1024.")
    services = standing.support.services
    if of and of not in services:
        near = nearest(of, services)
        raise QuestionError(
            what=f"no service is called {of!r}",
            mend=f"Did you mean {near!r}?" if near else "Services: " + ", ".join(services[:8]),
        )


def _off(tallies: Sequence[Tally], service: int | None) -> float | None:
    """How unsure the mean is: of a service, or the least sure of all that were ever down; None where none was."""
    if not tallies:
        return None
    means = _means(tallies)
    if service is not None:
        return means[service].off if means[service].value > 0 else None
    return max((each.off for each in means if each.value > 0), default=None)


def _means(tallies: Sequence[Tally]) -> list[Mean]:
    """Minutes down in a year, for each service: runs are the samples, years of one run are not."""
    by_run = np.concatenate([each.down_s.mean(axis=2) for each in tallies], axis=1) / 60.0
    return [mean(row) for row in by_run]


class _Counting:
    def __init__(
        self,
        known: Known,
        gathered: Gathered[Tally],
        seed: int,
        runs: int,
        service: int | None,
        opening: Sequence[Chapter],
    ) -> None:
        self.opening = opening
        self.known, self.gathered, self.seed, self.runs, self.service = known, gathered, seed, runs, service
        self.tallies = gathered.results
        self.years = sum(each.down_s.shape[1] * COUNTED for each in self.tallies)

    def result(self, within: float | None) -> Years:
        off = _off(self.tallies, self.service)
        sure = off is not None and math.isfinite(off)
        return Years(
            lab=self.known.standing.lab.name,
            years=self.years,
            asked=self.runs * COUNTED,
            seed=self.seed,
            services=self._services() if self.tallies else (),
            data=self._data() if self.tallies else (),
            parts=self._parts() if self.tallies else (),
            wanted=within,
            of=self.known.services[self.service] if self.service is not None else "",
            off=off if sure else None,
            reached=None if within is None else bool(sure and off is not None and off <= within),
            stopped=self.gathered.stopped,
            story=self._story() if self.tallies else None,
            assumed=(
                *self.known.lives.assumed,
                f"one fault holds whoever mends it {HANDS_ON_S / 3600:.0f} h at most; the rest of a repair is waiting",
            ),
        )

    def _services(self) -> tuple[ServiceYears, ...]:
        down = np.concatenate([each.down_s for each in self.tallies], axis=1) / 60.0
        begun = np.concatenate([each.begun for each in self.tallies], axis=1)
        stumbled = sum(each.stumbled for each in self.tallies)
        longest = np.max([each.longest_s for each in self.tallies], axis=0) / 60.0
        found = []
        for number, (name, sure) in enumerate(zip(self.known.services, _means(self.tallies), strict=True)):
            known = math.isfinite(sure.error)
            found.append(
                ServiceYears(
                    service=name,
                    mean_min=sure.value,
                    error_min=sure.error if known else None,
                    low_min=max(sure.low, 0.0) if known else 0.0,
                    high_min=sure.high if known else float(down[number].max()),
                    percentiles_min=tuple(np.percentile(down[number], PERCENTS).tolist()),
                    outages=float(begun[number].mean()),
                    longest_min=float(longest[number]),
                    spotless=float((down[number] == 0.0).mean()),
                    stumbled=float(np.asarray(stumbled)[number] / self.years),
                )
            )
        return tuple(found)

    def _data(self) -> tuple[DataYears, ...]:
        losses = [loss for each in self.tallies for loss in each.losses]
        found = []
        for data in self.known.standing.lab.of(Data):
            mine = [loss.work_lost_s for loss in losses if loss.data == data.id]
            work = np.array([seconds for seconds in mine if math.isfinite(seconds)]) / 3600.0
            thousand = 1000.0 / self.years
            found.append(
                DataYears(
                    data=data.id,
                    restores=len(work) * thousand,
                    gone=(len(mine) - len(work)) * thousand,
                    none_in=None if mine else self.years / 3.0,
                    work_lost_h=(float(np.median(work)), float(np.percentile(work, 95)))
                    if len(work)
                    else None,
                )
            )
        return tuple(found)

    def _parts(self) -> tuple[PartYears, ...]:
        failures = np.sum([each.failures for each in self.tallies], axis=0) / self.years
        return tuple(
            PartYears(part=part, failures=float(count))
            for part, count in zip(self.known.parts, failures, strict=True)
        )

    def _story(self) -> Story:
        """The year of the first block that is nearest to the bad percentile of all; the same for the same seed."""
        known = self.known
        counted = np.setdiff1d(np.arange(len(known.services)), known.alarms)
        if self.service is not None:
            counted = np.array([self.service])
        every = np.concatenate([each.down_s[counted].sum(axis=0) for each in self.tallies])
        bad = np.percentile(every, BAD)
        near = np.abs(every[: self.tallies[0].down_s.shape[1]] - bad)
        run, year = np.unravel_index(int(near.argmin()), near.shape)
        down = float(every[run, year])
        told = (
            self.opening[0]
            if self.opening
            else chapter(known, seed=self.seed, number=0, runs=min(runs_in(len(known.parts)), self.runs))
        )
        return story(
            told,
            run=int(run),
            year=int(year) + SKIPPED,
            percent=float((every <= down).mean() * 100.0),
            of=known.services[self.service] if self.service is not None else "",
            down_min=down / 60.0,
        )
