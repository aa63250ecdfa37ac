"""Is a drill over when all is up again that was to come back by itself, whatever is still being rebuilt?"""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from falsework.analyses.drilling import Foretold, Plan
from falsework.analyses.verdicts import Verdict
from falsework.faces.cli import drill_during
from falsework.faces.cli.drill_words import by_itself
from falsework.record.seen import Told


def scene(whole, told):
    """Two probes, the first answered; the second sees a service, or whether a store is whole, and is answered so."""
    return SimpleNamespace(
        plan=None,
        good=frozenset({0, 1}),
        questions=(SimpleNamespace(whole=""), SimpleNamespace(whole=whole)),
        effect=lambda number: None,
        live=SimpleNamespace(probes=(SimpleNamespace(told=Told.YES), SimpleNamespace(told=told))),
    )


@pytest.mark.parametrize(
    ("whole", "told", "over"), [("", Told.YES, True), ("", Told.NO, False), ("keep", Told.NO, True)]
)
def test_a_store_that_is_not_whole_yet_holds_nothing_up(whole, told, over):
    """Nothing is foretold of when it is whole again, so that it is neither waited for nor told as late."""
    at = scene(whole, told)
    assert drill_during._over(at) is over
    assert drill_during._as_foretold(at, 1, 0.0) is (over or bool(whole))


MAIL = Foretold(service="mail", verdict=Verdict.BLINKS, falls_s=0.0, back_s=5.0)
WEB = Foretold(service="web", verdict=Verdict.FALLS, falls_s=1800.0, back_s=math.inf)


@pytest.mark.parametrize(
    ("effects", "said", "tells"),
    [
        ((MAIL,), {}, ["by itself 35 s after it is done, if not all is as foretold then"]),
        ((), {}, ["by itself 30 s after it is done, if not all is as foretold then"]),
        (
            (MAIL, WEB),
            {},
            [
                "by itself if mail is not back 35 s after it is done, and 1 h after it is done, "
                "if not all is as foretold then"
            ],
        ),
        ((MAIL,), {"stop_after_s": 60.0}, []),  # the plan says that already
        ((MAIL,), {"tries": "cold start"}, []),
        ((), {"tries": "restore"}, []),
    ],
)
def test_it_is_told_when_it_is_given_up_by_itself(effects, said, tells):
    """The moments that the watching goes by, before anything is done."""
    assert list(by_itself(Plan(name="it", title="it", effects=effects, **said))) == tells
