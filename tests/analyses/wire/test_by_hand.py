"""The example of the page on throughput, worked by hand."""

from __future__ import annotations

import pytest
from tests.analyses.wire.test_traffic import GIGA, MEGA, node, standing_of

from falsework.analyses.wire.throughput import between
from falsework.analyses.wire.traffic import traffic

RING = {"is": "switch", "ports": {"1..6": "1 Gb/s"}}
LAB = {
    "machines": {"left": node(), "right": node("a", "b"), "more": node(), "A": RING, "B": RING, "C": RING},
    "cables": [
        "A.1 -- B.1",
        "A.2 -- C.1",
        "B.2 -- C.2",
        "left -- A",
        "right.a -- B",
        "right.b -- C",
        "more -- A",
    ],
}


def lab(sends=()):
    """The ring of the page, with what is sent."""
    services = {"one": {"on": "left"}, "two": {"on": "more"}}
    for name, line in sends:
        services[name]["sends"] = line
    return standing_of(LAB["machines"], LAB["cables"], services)


def test_at_most_and_as_forwarded():
    """One plug is the cut from the left; from its switch two ways are two gigabits at most and one as forwarded."""
    from_left = between(lab(), "left", "right")
    assert (from_left.now.at_most, from_left.now.forwarded) == (GIGA, GIGA)
    assert from_left.now.full == ("left.a -- A.3",)
    from_a = between(lab(), "A", "right")
    assert (from_a.now.at_most, from_a.now.forwarded, from_a.cable_ways) == (2 * GIGA, GIGA, 2)
    assert from_a.now.way == ("A", "A.1 -- B.1", "B", "right.a -- B.3")


def test_after_a_loss():
    """Without A -- B the way goes round over C and carries as much; without A nothing gets through."""
    found = between(lab(), "left", "right")
    less = {part: after.gets for after in found.after for part in after.lost}
    assert "A.1 -- B.1" not in less
    assert less["A"].at_most == 0.0


def test_two_that_share_a_cable():
    """600 and 700 Mb/s over a gigabit: 462 and 538 arrive; were each cable used well, all would."""
    found = traffic(lab([("one", "600 Mb/s to right"), ("two", "700 Mb/s to B")]))
    first, second = found.now.passed
    assert first.gets == pytest.approx(462 * MEGA, abs=MEGA)
    assert second.gets == pytest.approx(538 * MEGA, abs=MEGA)
    assert found.now.filled[0].link == "A.1 -- B.1"
    assert found.together is not None
    assert found.together.share > 1.0
