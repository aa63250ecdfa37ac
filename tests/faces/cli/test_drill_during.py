"""Is a drill over when all is up again that was to come back by itself, whatever is still being rebuilt?"""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from falsework.faces.cli import drill_during
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
