"""The conductor: from a lab file to everything that is known about it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.aims import AimResult, judge_aims, judge_untimed, timed
from falsework.analyses.build import Buildable, buildable
from falsework.analyses.cold_start import ColdStart, cold_start
from falsework.analyses.odds.odds import LISTED
from falsework.analyses.odds.odds import odds as odds_of
from falsework.analyses.odds.result import Odds
from falsework.analyses.order import Order, replay
from falsework.analyses.pairs import PairLosses, all_pairs, singles
from falsework.analyses.shutdown import Shutdown, shutdowns
from falsework.analyses.verdicts import Singles
from falsework.findings.finding import Finding
from falsework.findings.rank import rank
from falsework.findings.rules import (
    addresses,
    aims,
    drilling,
    drives,
    heat,
    inrush,
    keeping,
    losses,
    noise,
    power,
    power_returns,
    probing,
    rack,
    raising,
    rebuilding,
    telling,
    wire,
    wiring,
)
from falsework.model.build import load
from falsework.model.lab import Lab
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how far it is, and how far it goes."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """Everything that one check finds out.

    Attributes:
        lab: the lab as read.
        standing: its support graph, to be asked further.
        singles: what losing each part does.
        pairs: what losing any two parts does.
        cold: a cold start without hands.
        shutdowns: a stop on each battery.
        order: the hand-written order of work replayed.
        build: whether all of it can be built from nothing.
        odds: how often and how long services are out: all where asked for, else those that an aim gives a time in
            a year; None where no aim does.
        aims: each aim, met or broken or open.
        findings: worst first.
    """

    lab: Lab
    standing: Standing
    singles: Singles
    pairs: PairLosses
    cold: ColdStart
    shutdowns: tuple[Shutdown, ...]
    order: Order
    build: Buildable
    odds: Odds | None
    aims: tuple[AimResult, ...]
    findings: tuple[Finding, ...]

    @property
    def broken(self) -> tuple[AimResult, ...]:
        """The aims that are broken."""
        return tuple(aim for aim in self.aims if aim.met is False)

    @property
    def waiting(self) -> tuple[str, ...]:
        """The names of the aims that are not judged yet."""
        judged = {aim.name for aim in self.aims}
        return tuple(aim.name for aim in self.lab.aims if aim.name not in judged)

    @property
    def status(self) -> int:
        """The exit status: 0 where no aim is broken and everything stands, else 1."""
        return 1 if any(finding.level == 0 for finding in self.findings) else 0


DRAWS = 200
"""Draws behind the ranges that a check tells: enough for 5 and 95 percent."""


def study(
    path: Path,
    *,
    out: Iterable[str] = (),
    odds: bool = False,
    causes: bool = False,
    progress: Progress | None = None,
) -> Study:
    """Read a lab and find out everything.

    Args:
        path: a lab file or a folder of them.
        out: parts that are out beforehand, besides those the file says are out today.
        odds: work out how often and how long every service is out, not only those that an aim asks about.
        causes: with the odds tell also by which sets of parts, and the odds of data; an aim asks for neither.
        progress: told of long work.

    Raises:
        LabError, LimitError: the file.
        QuestionError: a part is not in the lab.
    """
    return study_lab(load(path), out=out, odds=odds, causes=causes, progress=progress)


def study_lab(
    lab: Lab,
    *,
    out: Iterable[str] = (),
    odds: bool = False,
    causes: bool = False,
    progress: Progress | None = None,
    soon: Callable[[Study], None] | None = None,
) -> Study:
    """As `study`, for a lab already read.

    Args:
        lab: the lab.
        out: as `study`.
        odds: as `study`.
        causes: as `study`.
        progress: as `study`.
        soon: called with what is known before the odds are worked out, where anything waits for them: a study
            without odds, and with `waiting` aims.
    """
    say = progress or (lambda what, done, of: None)
    say("deriving what leans on what", 0, 1)
    today = [name for each in (lab.today.out if lab.today else ()) for name in each.part.ids]
    standing = Standing(lab, out=[*today, *out])
    together = all_pairs(standing, progress=lambda done, of: say("losing every two parts", done, of))
    say("judging the aims", 0, 1)
    alone = singles(standing, together)
    order = replay(lab, standing=standing)
    cold = cold_start(standing)
    stops = shutdowns(standing)
    built = buildable(standing)
    untimed = judge_untimed(standing, alone, order)
    found = _Found(standing, alone, cold, stops, order, built)

    def known(likely: Odds | None, judged: tuple[AimResult, ...]) -> Study:
        return Study(
            lab=lab,
            standing=standing,
            singles=alone,
            pairs=together,
            cold=cold,
            shutdowns=stops,
            order=order,
            build=built,
            odds=likely,
            aims=judged,
            findings=found.with_aims(judged),
        )

    asked = standing.support.services if odds else timed(standing)
    likely = None
    if asked:
        if soon is not None:
            soon(known(None, tuple(untimed.values())))
        likely = odds_of(
            standing,
            asked,
            draws=DRAWS,
            listed=LISTED if causes else 0,
            data=causes,
            progress=lambda done, of: say("working out how often and how long", done, of),
        )
    return known(likely, judge_aims(standing, alone, order, likely, known=untimed))


class _Found:
    """All findings but those on aims, and what tells of single points that no broken aim has told of."""

    def __init__(
        self,
        standing: Standing,
        alone: Singles,
        cold: ColdStart,
        stops: tuple[Shutdown, ...],
        order: Order,
        built: Buildable,
    ) -> None:
        self._standing, self._alone = standing, alone
        self._down = tuple(losses.down_already(standing))
        self._others = tuple(_others(standing, alone, cold, stops, order, built))

    def with_aims(self, judged: tuple[AimResult, ...]) -> tuple[Finding, ...]:
        """Every finding, worst first."""
        broken = list(aims.aims(judged, self._standing))
        single = losses.single_points(self._alone, self._standing, broken)
        return rank([*self._down, *broken, *single, *self._others])


def _others(
    standing: Standing,
    alone: Singles,
    cold: ColdStart,
    stops: tuple[Shutdown, ...],
    order: Order,
    built: Buildable,
) -> Iterator[Finding]:
    yield from power.carried(standing)
    yield from inrush.at_once(standing)
    yield from heat.too_much_heat(standing)
    yield from heat.old_batteries(standing.lab)
    yield from raising.cold(cold, standing)
    yield from power.shutdown(stops, standing)
    yield from power_returns.too_soon(stops, standing)
    yield from power_returns.half_way(stops, standing)
    yield from keeping.batches(standing)
    yield from keeping.backups(standing)
    yield from rebuilding.rebuilding(standing)
    yield from keeping.not_laid_out(standing)
    yield from telling.alarms(standing, alone)
    yield from raising.order(order)
    yield from raising.build(built, standing)
    yield from wiring.wiring(standing)
    yield from wire.wire(standing)
    yield from drives.drives(standing.lab)
    yield from telling.never_proved(standing)
    yield from drilling.drilling(standing.lab)
    yield from probing.probing(standing)
    yield from rack.rack(standing.lab)
    yield from noise.loud(standing.lab)
    yield from addresses.given(standing.lab)
