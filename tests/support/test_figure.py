"""Is a figure that was taken told with what hangs on it?"""

from __future__ import annotations

from falsework.support.figure import Figure
from falsework.support.taken import Taken

SPEED = Figure(key="speed", value=2.0, low=1.0, high=3.0, says="2 m/s", source="assumed")


def test_ends_that_are_the_same_are_not_told():
    """The same result at either end says nothing, so neither is told; others both are."""
    told = Taken(
        key="speed", things=("a", "b"), value="2 m/s", source="assumed", of="a way", low="1", high="3"
    )
    assert SPEED.taken(["a", "b"], of="a way", low="1", high="3") == told
    same = SPEED.taken(["a"], low="1", high="1")
    assert (same.low, same.high) == ("", "")
