"""What the newest run of the stopwatch says is taken as it is."""

from __future__ import annotations

import datetime
import math

import pytest

from falsework.analyses.diagnosis.recorded import recorded
from falsework.record.observed import Observed, Outage, ProbeSeen, Run
from falsework.record.seen import Told


def probe(name: str, *outages: Outage, asked: int = 100, yes: int = 90) -> ProbeSeen:
    """What one probe saw."""
    return ProbeSeen(
        probe=name,
        sees=name,
        asks="ping a",
        every_s=1.0,
        asked=asked,
        yes=yes,
        outages=outages,
        usual_s=0.01,
        worst_s=0.02,
    )


def outage(began_s: float, again_s: float = math.inf) -> Outage:
    """One outage, to half a second."""
    return Outage(
        good_s=began_s - 0.5,
        bad_s=began_s + 0.5,
        last_bad_s=began_s + 1,
        good_again_s=again_s,
        told=Told.SILENT,
    )


def run(*probes: ProbeSeen, until_s: float = 100.0) -> Observed:
    """A run that goes on."""
    return Observed(
        run=Run(
            number=3,
            lab="rock",
            digest="",
            drill="",
            tries="",
            lost=(),
            out=(),
            machine="",
            began=datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC),
            until_s=until_s,
            ended=False,
            marks=(),
            gaps=(),
            jumps=(),
        ),
        probes=probes,
    )


def test_what_still_fails_fails() -> None:
    """A probe whose last outage lasts fails since then; one whose outage is over is answered; unknown ones are left."""
    seen = run(
        probe("a", outage(70.0)),
        probe("b", outage(20.0, 30.0)),
        probe("c", asked=0, yes=0),
        probe("gone", outage(10.0)),
    )
    found = recorded(seen, {"a", "b", "c"})
    assert (found.failing, found.answered, found.unknown) == (("a",), ("b",), ("c", "gone"))
    assert found.since_s == pytest.approx(30.0)
    assert found.run == 3


@pytest.mark.parametrize("until_s", [9_000.0, 100_000.0])
def test_old_trouble_has_settled(until_s: float) -> None:
    """What has failed for more than an hour is not timed any more."""
    assert recorded(run(probe("a", outage(70.0)), until_s=until_s), {"a"}).since_s is None


def test_where_nothing_fails_nothing_began() -> None:
    """All answered: no since."""
    assert recorded(run(probe("a")), {"a"}).since_s is None
