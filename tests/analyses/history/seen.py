"""Runs as a stopwatch would have seen them, for tests."""

import datetime
import math

from falsework.record.observed import Observed, Outage, ProbeSeen, Run
from falsework.record.seen import Mark, Marked, Told


def outage(from_s, until_s, every_s=0.1, **more):
    """One that most likely lasted from here to there."""
    half = every_s / 2
    return Outage(
        good_s=from_s - half,
        bad_s=from_s + half,
        last_bad_s=max(from_s + half, until_s - half if math.isfinite(until_s) else from_s + half),
        good_again_s=until_s + half,
        told=Told.SILENT,
        **more,
    )


def probe(sees, *spells, yes=100, name="", every_s=0.1):
    """What a probe saw: outages from, until."""
    return ProbeSeen(
        probe=name or f"{sees} box",
        sees=sees,
        asks=f"tcp {sees}.rock port 25",
        every_s=every_s,
        asked=max(yes, 100),
        yes=yes,
        outages=tuple(outage(*each, every_s=every_s) for each in spells),
        usual_s=0.002,
        worst_s=0.01,
    )


def seen(
    *probes,
    number=1,
    lost=("desk-1",),
    drill="",
    tries="loss",
    day=1,
    done_s=10.0,
    back_s=None,
    until_s=600.0,
    out=(),
    said=(),
    ended=True,
    gaps=(),
):
    """A run on that day of May 2026."""
    marks = [Marked(at_s=at_s, mark=Mark.SAID, says=says) for at_s, says in said]
    if done_s is not None:
        marks.append(Marked(at_s=done_s, mark=Mark.DONE, says="pulled"))
    if back_s is not None:
        marks.append(Marked(at_s=back_s, mark=Mark.PUT_BACK))
    return Observed(
        run=Run(
            number=number,
            lab="rock",
            digest="",
            drill=drill,
            tries=tries,
            lost=tuple(lost),
            out=tuple(out),
            machine="laptop",
            began=datetime.datetime(2026, 5, day, 9, 30, tzinfo=datetime.UTC),
            until_s=until_s,
            ended=ended,
            marks=tuple(sorted(marks, key=lambda each: each.at_s)),
            gaps=tuple(gaps),
            jumps=(),
        ),
        probes=probes,
    )
