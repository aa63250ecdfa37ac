"""How soon does each thing come back, and when was that last proved?"""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.analyses.aims.result import about
from falsework.analyses.cold_start import cold_start
from falsework.analyses.comparing import Comparison, Line
from falsework.analyses.comparing import Sort as Agrees
from falsework.analyses.drilling import plan_for
from falsework.analyses.history.result import NEVER, Proof, Recovery, Row, Sort, Trial
from falsework.analyses.history.told import Past
from falsework.analyses.verdicts import Verdict, losses, single_verdicts
from falsework.errors import QuestionError
from falsework.model.parts import ThingId
from falsework.model.people import Aim
from falsework.model.services import Data, Service
from falsework.record.observed import Observed, Run
from falsework.support.copying import Copier
from falsework.support.standing import AT_ONCE, Standing

MOST_LOSSES = 400
"""Single losses whose times are worked out; in a larger lab those that interrupt the most services."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Foretold:
    """The longest that each service is out, and after which loss; all of it, and what ends by itself."""

    after: Mapping[str, Mapping[str, float]]
    left_out: int

    def worst(self, service: str, parts: Sequence[str] | None) -> tuple[float | None, str, str]:
        """The longest that ends by itself, by which loss; and a loss after which it stays out.

        Args:
            service: its id.
            parts: the losses that count; None for any, and then what stays out is not told.
        """
        known = self.after.get(service, {})
        some = [(seconds, part) for part, seconds in known.items() if parts is None or part in parts]
        ends = [each for each in some if math.isfinite(each[0])]
        stays = "" if parts is None else next((part for seconds, part in some if math.isinf(seconds)), "")
        if not ends:
            return None, "", stays
        longest = max(seconds for seconds, _ in ends)
        return longest, next(part for seconds, part in ends if seconds == longest), stays


def recovery(standing: Standing, runs: Sequence[Past]) -> Recovery:
    """Every service, data set and cold start that an aim, the lab file or a drill speaks of.

    A drill counts for a service if the service was foretold to be interrupted by it, or was. It proves that the
    service comes back if it was seen to be out and to be back before anything was put back.

    Args:
        standing: the lab, with what is out today.
        runs: past runs, oldest first.

    Returns:
        The rows, stalest first.
    """
    foretold = _foretold(standing)
    rows = [
        *_services(standing, runs, foretold),
        *_data(standing, runs),
        *_starts(standing, runs),
    ]
    rows.sort(key=lambda row: (row.proof is not None, row.proof.on if row.proof else datetime.date.min))
    return Recovery(rows=tuple(rows), not_looked_at=foretold.left_out)


def _services(standing: Standing, runs: Sequence[Past], foretold: _Foretold) -> Iterator[Row]:
    trials = _interruptions(runs)
    aims = _blinking(standing)
    for thing in standing.lab.of(Service):
        name = thing.id
        if name not in standing.support.services:
            continue
        aim = aims.get(name)
        moves = thing.takes_over is not None or thing.floats is not None
        if not (aim or moves or thing.proved or name in trials):
            continue
        longest_s, by, stays = foretold.worst(name, aim.lose.ids if aim and aim.lose else None)
        yield Row(
            of=name,
            sort=Sort.INTERRUPTED,
            aim=aim.name if aim else "",
            aim_s=aim.blinks_under if aim else None,
            foretold_s=longest_s,
            foretold_by=by,
            stays_out_by=stays,
            trials=tuple(trials.get(name, ())),
            proof=_proof(trials.get(name, ()), thing.proved),
            where=thing.where,
        )


def _data(standing: Standing, runs: Sequence[Past]) -> Iterator[Row]:
    trials = _restores(standing, runs)
    copier = Copier(standing.lab)
    for data in standing.lab.of(Data):
        days = [backup.restored for backup in data.backed_up if backup.restored]
        if data.back_within is None and not data.backed_up and data.id not in trials:
            continue
        copies = [
            (
                copier.restoring(data, backup.to.ids, data.in_.ids if data.in_ else ()).seconds,
                backup.to.ids[0],
            )
            for backup in data.backed_up
        ]
        longest_s, by = max(copies, key=lambda copy: copy[0], default=(None, ""))
        yield Row(
            of=data.id,
            sort=Sort.RESTORED,
            aim="",
            aim_s=data.back_within,
            foretold_s=longest_s,
            foretold_by=by,
            stays_out_by="",
            trials=tuple(trials.get(data.id, ())),
            proof=_proof(trials.get(data.id, ()), max(days, default=None)),
            where=data.where,
        )


def _starts(standing: Standing, runs: Sequence[Past]) -> Iterator[Row]:
    for aim in standing.lab.aims:
        if not aim.cold_start:
            continue
        services, _ = about(aim, standing)
        found = cold_start(
            standing, hands=aim.cold_start == "at all", outside=aim.cold_start != "without outside help"
        )
        up = [name for name in services if name in found.up_s]
        late = max(up, key=lambda name: found.up_s[name], default="")
        stays = next((name for name in services if name not in found.up_s), "")
        foretold_s = found.up_s[late] if late else None
        trials = tuple(_raised(runs, frozenset(services), NEVER if stays else foretold_s))
        yield Row(
            of=aim.name,
            sort=Sort.RAISED,
            aim=aim.name,
            aim_s=aim.within,
            foretold_s=foretold_s,
            foretold_by=late,
            stays_out_by=stays,
            trials=trials,
            proof=_proof(trials, None),
            where=aim.where,
        )


def _proof(trials: Sequence[Trial], day: datetime.date | None) -> Proof | None:
    """The newest drill in which it came back, or what the lab file says if that is newer."""
    newest = next((each for each in reversed(trials) if each.proves), None)
    if newest is not None and (day is None or newest.on >= day):
        return Proof(on=newest.on, run=newest.run, drill=newest.drill)
    return Proof(on=day, run=0) if day is not None else None


def _blinking(standing: Standing) -> dict[str, Aim]:
    """For each service the aim that leaves it the least time, of those that lose one part at a time."""
    found: dict[str, Aim] = {}
    for aim in standing.lab.aims:
        if aim.blinks_under is None or aim.lose is None or aim.at_once != 1:
            continue
        for name in about(aim, standing)[0]:
            known = found.get(name)
            if known is None or known.blinks_under is None or aim.blinks_under < known.blinks_under:
                found[name] = aim
    return found


def _foretold(standing: Standing) -> _Foretold:
    """How long each service is out after each single loss that interrupts it."""
    parts = standing.parts
    verdicts = single_verdicts(standing, parts)
    hit = (verdicts >= Verdict.BLINKS).sum(axis=0)
    # What ends by itself is what a drill can prove; it comes before what does not.
    passing = (verdicts == Verdict.BLINKS).sum(axis=0)
    wanted = [int(at) for at in np.lexsort((-hit, -passing)) if hit[at]]
    chosen = sorted(wanted[:MOST_LOSSES])
    after: dict[str, dict[str, float]] = defaultdict(dict)
    for first in range(0, len(chosen), AT_ONCE):  # views are large in a large lab, so only some are held
        for loss in losses(standing, [(parts[at],) for at in chosen[first : first + AT_ONCE]]):
            for effect in loss.effects:
                if effect.verdict >= Verdict.BLINKS:
                    ends = effect.verdict is Verdict.BLINKS
                    after[effect.service][loss.lost[0]] = effect.blinks_s if ends else NEVER
    return _Foretold(after=after, left_out=len(wanted) - len(chosen))


def _interruptions(runs: Sequence[Past]) -> Mapping[str, list[Trial]]:
    """The drills in which each service had to come back."""
    found: dict[str, list[Trial]] = defaultdict(list)
    for each in runs:
        if each.comparison is None or each.observed.run.tries == "cold start":
            continue
        for line in each.comparison.lines:
            trial = _trial(each.observed, each.comparison, line)
            if line.service and trial is not None:
                found[line.thing].append(trial)
    return found


def _trial(observed: Observed, comparison: Comparison, line: Line) -> Trial | None:
    was_out = math.isfinite(line.falls_s)
    if not line.probes or not (was_out or line.foretold.verdict is Verdict.BLINKS):
        return None
    if line.foretold.verdict > Verdict.BLINKS and not line.ended:
        return None  # it fell and stayed down as foretold: there was nothing to prove
    # Somebody put it back before the outage was over: as far as anybody saw, it did not come back by itself.
    lasts_s = 0.0 if not was_out else line.lasts_s if line.ended else NEVER
    if not was_out and not line.sure:
        return None  # nobody looked all the time, so that it never fell is not known
    return Trial(
        run=comparison.run,
        drill=comparison.drill,
        on=observed.run.began.date(),
        foretold_s=line.foretold.lasts_s,
        lasts_s=lasts_s,
        within_s=line.within_s if was_out else _every(observed, line),
        sure=line.sure,
        wrong=line.sort is Agrees.WRONG,
    )


def _every(observed: Observed, line: Line) -> float:
    """What is shorter than this goes unseen between two questions, seconds."""
    return min(each.every_s for each in observed.probes if each.probe in line.probes)


def _restores(standing: Standing, runs: Sequence[Past]) -> Mapping[str, list[Trial]]:
    """The drills in which data was brought back: from the mark that says it was begun, or the start, until done."""
    found: dict[str, list[Trial]] = defaultdict(list)
    known: dict[str, tuple[str, ...]] = {}
    for each in runs:
        run = each.observed.run
        if run.tries != "restore" or run.done_s is None:
            continue
        if run.drill not in known:
            known[run.drill] = _of(standing, run)
        begun_s = run.begun_s
        for name in known[run.drill]:
            found[name].append(
                Trial(
                    run=run.number,
                    drill=run.drill,
                    on=run.began.date(),
                    foretold_s=None,
                    lasts_s=run.done_s - (begun_s or 0.0),
                    within_s=0.0,
                    sure=begun_s is not None,
                )
            )
    return found


def _of(standing: Standing, run: Run) -> tuple[str, ...]:
    """The data that a drill of the lab, or of the list of those worth doing, restores."""
    try:
        names = plan_for(standing, [run.drill]).of
    except QuestionError:
        return ()  # the lab has no such drill any more
    return tuple(name for name in names if isinstance(standing.lab.things.get(ThingId(name)), Data))


def _raised(runs: Sequence[Past], services: frozenset[str], foretold_s: float | None) -> Iterator[Trial]:
    """The cold starts: from when the power was put back until the last of these services was good again."""
    for each in runs:
        run = each.observed.run
        began_s = run.put_back_s if run.put_back_s is not None else run.done_s
        if run.tries != "cold start" or began_s is None:
            continue
        ends = [
            (outage.until_s, outage.within_s, outage.unsure)
            for probe in each.observed.probes
            if probe.sees in services
            for outage in probe.outages
            if outage.bad_s <= began_s < outage.until_s
        ]
        if not ends:
            continue  # nothing was seen to be down when the power came
        until_s, within_s, _ = max(ends)
        yield Trial(
            run=run.number,
            drill=run.drill,
            on=run.began.date(),
            foretold_s=foretold_s,
            lasts_s=until_s - began_s,
            within_s=within_s,
            sure=not any(unsure for _, _, unsure in ends),
        )
