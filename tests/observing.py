"""Runs of the stopwatch as the exact engine would have them: what probes see of a lab that is as its file says."""

from __future__ import annotations

import datetime
import math

from falsework.analyses.fate import fate
from falsework.analyses.verdicts import Verdict, lose
from falsework.record.observed import NEVER, Observed, Outage, ProbeSeen, Run
from falsework.record.seen import Mark, Marked, Told

BEGAN = datetime.datetime(2026, 11, 26, 7, 35, 12, tzinfo=datetime.UTC)


def outage(from_s, until_s, *, every_s=0.1, unsure=False, ends_s=720.0):
    """The outage that a probe sees that asks every so often, from the second 0 on; None where none of its questions falls in."""
    first = math.floor(from_s / every_s) + 1
    last = math.ceil(until_s / every_s) - 1 if math.isfinite(until_s) else math.floor(ends_s / every_s)
    if last < first:
        return None
    return Outage(
        good_s=(first - 1) * every_s,
        bad_s=first * every_s,
        last_bad_s=last * every_s,
        good_again_s=(last + 1) * every_s if math.isfinite(until_s) else NEVER,
        told=Told.SILENT,
        says="silent",
        unsure=unsure,
    )


def probe(sees, *outages, name="", every_s=0.1, asked=10_000, yes=9_000):
    """What one probe saw; outages of None were not seen."""
    found = tuple(each for each in outages if each is not None)
    return ProbeSeen(
        probe=name or f"{sees}-probe",
        sees=sees,
        asks="ping 10.0.0.1",
        every_s=every_s,
        asked=asked,
        yes=yes,
        outages=found,
        usual_s=0.001,
        worst_s=0.002,
    )


def run(
    lost, *probes, done_s=60.0, put_back_s=660.0, until_s=720.0, number=1, out=(), gaps=(), marks=None, **more
):
    """A run in which these parts were taken out for ten minutes."""
    if marks is None:
        marks = [Marked(at_s=done_s, mark=Mark.DONE)]
        if put_back_s is not None:
            marks.append(Marked(at_s=put_back_s, mark=Mark.PUT_BACK))
    values = {
        "lab": "t",
        "digest": "",
        "drill": "",
        "tries": "loss",
        "machine": "m",
        "began": BEGAN + datetime.timedelta(hours=number),
        "until_s": until_s,
        "ended": True,
        "jumps": (),
        **more,
    }
    of = Run(number=number, lost=tuple(lost), out=tuple(out), marks=tuple(marks), gaps=tuple(gaps), **values)
    return Observed(run=of, probes=tuple(probes))


def observe(
    standing, lost, *, things=None, every_s=0.1, done_s=60.0, put_back_s=660.0, until_s=720.0, **more
):
    """The run that a drill in a lab gives that is as this one, seen by a probe of each service."""
    loss = lose(standing, lost, thin=False)
    probes = []
    for name in standing.support.services if things is None else things:
        effect = fate(loss, name)
        seen = first = None
        if standing.baseline.up(name):
            if effect.before is not None:
                first = outage(
                    done_s + effect.before.falls_s,
                    min(done_s + effect.before.falls_s + effect.before.back_s, put_back_s + 5.0),
                    every_s=every_s,
                )
            falls_s = done_s + effect.falls_s
            if falls_s < put_back_s:
                back_s = falls_s + effect.blinks_s if effect.verdict is Verdict.BLINKS else put_back_s + 5.0
                seen = outage(falls_s, min(back_s, put_back_s + 5.0), every_s=every_s)
            probes.append(probe(name, first, seen, every_s=every_s))
        else:
            probes.append(probe(name, yes=0))
    return run(
        lost, *probes, done_s=done_s, put_back_s=put_back_s, until_s=until_s, out=sorted(standing.out), **more
    )
