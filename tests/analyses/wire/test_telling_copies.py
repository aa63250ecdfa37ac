"""Whole copies are told longest first, what is late and what no switch passes on in a sentence."""

from __future__ import annotations

from tests.analyses.wire.test_traffic import PAIR, SWITCH, node, standing_of

from falsework.analyses.wire.oversubscription import subscribed
from falsework.analyses.wire.telling_copies import copying_rows, forwards_says, late_says
from falsework.analyses.wire.traffic import traffic


def test_the_longest_copy_comes_first_and_a_late_one_is_told():
    """45 TB at a gigabit take 4 days 4 h, longer than a day; 450 GB an hour."""
    standing = standing_of(
        **PAIR,
        services={"busy": {"on": "left"}},
        data={
            "book": {"of": "busy", "in": "left", "size": "450 GB", "backed up": {"to": "right"}},
            "film": {
                "of": "busy",
                "in": "left",
                "size": "45 TB",
                "backed up": {"to": "right", "every": "1 day"},
            },
        },
    )
    copies = traffic(standing).copying
    assert copying_rows(copies) == (
        ("film", "right", "45 TB", "1 Gb/s", "4 days 4 h", "1 day"),
        ("book", "right", "450 GB", "1 Gb/s", "1 h", "-"),
    )
    assert (
        late_says(copies) == "a whole copy of film takes longer over the wire than until the next one is due"
    )
    assert late_says(copies[:1]) == ""


def test_a_copy_without_a_way_says_so():
    """Two switches with nothing between them: no way, and nothing that could be late."""
    standing = standing_of(
        PAIR["machines"],
        PAIR["cables"][:2],
        {"busy": {"on": "left"}},
        data={
            "book": {
                "of": "busy",
                "in": "left",
                "size": "1 TB",
                "backed up": {"to": "right", "every": "1 day"},
            }
        },
    )
    copies = traffic(standing).copying
    assert copying_rows(copies) == (("book", "right", "1.0 TB", "no way", "-", "1 day"),)
    assert late_says(copies) == ""


def test_only_a_switch_that_passes_on_less_than_its_cables_is_told():
    """Two cables of a gigabit in a switch that forwards one: 2:1; one that forwards two is not told."""
    for forwards, told in (
        ("1 Gb/s", ("sw passes on 1 Gb/s at once, and the cables in it carry 2 Gb/s: 2:1",)),
        ("2 Gb/s", ()),
    ):
        machines = {"left": node(), "right": node(), "sw": SWITCH | {"forwards": forwards}}
        standing = standing_of(machines, ["left -- sw.1", "right -- sw.2"], {"any": {"on": "left"}})
        assert forwards_says(subscribed(standing)) == told
