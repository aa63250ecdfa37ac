"""Did the drill go as it was foretold, and for which service not?"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from falsework.analyses.comparing.foretold import Prediction
from falsework.analyses.comparing.judging import Window, judged, not_seen
from falsework.analyses.comparing.result import Comparison, Foretold, Line
from falsework.analyses.comparing.served import by_thing, served
from falsework.analyses.comparing.starting import compare_start, empty
from falsework.analyses.verdicts import Loss
from falsework.model.drilling import Probe
from falsework.model.parts import ThingId
from falsework.record.observed import Observed, ProbeSeen
from falsework.support.standing import Standing
from falsework.support.stopped import STOPPED, stoppable


def compare(standing: Standing, observed: Observed, *, only: Collection[str] | None = None) -> Comparison:
    """Lay what was seen in a run beside what the lab file foretells of it.

    Predictions count from the moment at which the action was done until it was put back. Where several probes see one
    thing it serves while any of them is answered; probes that were never answered well, and those that ask from
    something that the action takes away, say nothing of it.

    Args:
        standing: the lab; what is out in it does not matter, since the run says what was out beforehand.
        observed: the run.
        only: things to compare; all if not said.

    Raises:
        QuestionError: the lab has no such part any more as was taken out.
    """
    run = observed.run
    if run.tries == "cold start":
        return compare_start(with_out(standing, run.out), observed, only=only)
    if run.done_s is None or not run.lost:
        why = "nothing was taken out in it" if not run.lost else "nobody marked when it was done"
        return empty(observed, why)
    at = with_out(standing, run.out)
    if run.tries == "full disk" or any(_word(at, name) == "copy" for name in run.lost):
        at = stoppable(at)
    lost = tuple(name for name in at.known(run.lost) if name not in at.out)
    if not lost:
        return empty(observed, "all that was taken out in it was out beforehand")
    until_s = run.put_back_s if run.put_back_s is not None else run.until_s
    window = Window(from_s=run.done_s, until_s=max(until_s, run.done_s), gaps=run.gaps)
    seen, unknown = by_thing(at, observed.probes)
    services = at.support.services
    things = [*services, *(name for name in seen if name not in services)]
    if only is not None:
        things = [name for name in things if name in only]
    found = prediction(at, lost)
    loss, told = found.loss, found.of(things)
    lines = [
        _line(at, loss, name, told[name], seen.get(name, []), window, service=name in services)
        for name in told
    ]
    return Comparison(
        run=run.number,
        drill=run.drill,
        lost=lost,
        out=tuple(sorted(at.out)),
        from_s=window.from_s,
        until_s=window.until_s,
        lines=tuple(lines),
        unknown=unknown,
    )


def with_out(standing: Standing, out: Sequence[str]) -> Standing:
    """The lab with what was out in a run; kept, since runs come one after the other.

    Raises:
        QuestionError: the lab has no such part any more.
    """
    wanted = frozenset(out)
    if standing.out == wanted:
        return standing
    name = ("with out", wanted)
    known = standing.asked.get(name)
    if not isinstance(known, Standing):
        known = standing.asked[name] = Standing(standing.lab, out=sorted(wanted))
    return known


def prediction(standing: Standing, lost: tuple[str, ...]) -> Prediction:
    """What is foretold of one loss; kept, since it is the same for every run of a drill.

    Args:
        standing: the lab, with what was out beforehand.
        lost: parts; copies and stores, by their own names, are stopped and full.

    Raises:
        QuestionError: a part is not in the lab.
    """
    if any(_word(standing, each) in STOPPED for each in lost):
        standing = stoppable(standing)
    name = ("foretold", lost)
    known = standing.asked.get(name)
    if not isinstance(known, Prediction):
        known = standing.asked[name] = Prediction(standing, lost)
    return known


def _word(standing: Standing, name: str) -> str:
    thing = standing.support.things.get(name)
    return thing.word if thing is not None else ""


def _line(
    standing: Standing,
    loss: Loss,
    name: str,
    told: Foretold,
    probes: list[ProbeSeen],
    window: Window,
    *,
    service: bool,
) -> Line:
    asked = tuple(each.probe for each in probes)
    if not probes:
        return not_seen(name, told, service=service, probes=(), says="no probe sees it")
    alive = [each for each in probes if each.yes]
    if not alive:
        says = "was never answered, before or after, so nothing can be said"
        return not_seen(name, told, service=service, probes=asked, says=says)
    there = [each for each in alive if not _from_lost(standing, loss, each.probe)]
    if not there:
        says = "its probe asks from what was taken out, so nothing can be said"
        return not_seen(name, told, service=service, probes=asked, says=says)
    return judged(told, served(name, there), window, service=service)


def _from_lost(standing: Standing, loss: Loss, probe: str) -> bool:
    thing = standing.lab.things.get(ThingId(probe))
    origins = thing.from_.ids if isinstance(thing, Probe) and thing.from_ is not None else ()
    return any(name in loss.lost or name in loss.down for name in origins)
