from __future__ import annotations

from dataclasses import replace

import pytest
from tests.faces.handmade_placing import MOVES, levels, move, placing

from falsework.analyses.placing.telling import headline, level_value, means, memory_said, on_the_way, so_far
from falsework.support.placing.whole import LEVELS

OUT = replace(move("pages.3", "", "desk-1"), was="desk-3")


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (placing(), "8 copies placed, all aims are met (1 aim broken today), 4 copies to move"),
        (placing(met=False), "8 copies placed, 1 aim of 1 broken (as today), 4 copies to move"),
        (placing(moves=()), "8 copies placed, all aims are met (1 aim broken today), nothing moves"),
        (replace(placing(), host_of={}), "the copies can't be placed by the rules of the lab"),
        (
            replace(placing(), host_of={}, memory={}, why_not=()),
            "no copy has a choice of hosts; put a service on a pool, or name more nodes under `on` than it has copies",
        ),
        (
            placing(moves=(OUT,)),
            "8 copies placed, all aims are met (1 aim broken today), 1 copy to start elsewhere",
        ),
        (
            placing(moves=(OUT, *MOVES)),
            "8 copies placed, all aims are met (1 aim broken today), 4 copies to move, 1 to start elsewhere",
        ),
        (replace(placing(), before=(), after=()), "8 copies placed, no aim to meet, 4 copies to move"),
        (
            replace(placing(), moves=tuple(move(copy, "", host) for copy, host in placing().host_of.items())),
            "8 copies placed, all aims are met (1 aim broken today), none says where it runs today (`placed`)",
        ),
    ],
)
def test_the_short_answer(found, says):
    """What was placed, whether the aims are met, and what has to move."""
    assert headline(found) == says


def test_what_is_wrong_on_the_way():
    """A stop, a wait, a broken rule and an aim further off are told; a clean move says nothing."""
    assert on_the_way(OUT) == "desk-3 is out"
    assert [on_the_way(each) for each in MOVES[1:]] == [
        "",
        "until later not kept: files apart from pages",
        "waits there; an aim is further off until later",
        "out until there is room",
        "",
        "",
    ]


def test_every_level_says_what_it_counts():
    """And its figures are counts, or amounts of data."""
    assert all(means(name) for name in LEVELS)
    values = {level.name: level_value(level, level.found) for level in levels()}
    assert values["copied"] == "62 GiB"
    assert values["balance"] == "512 MiB"
    assert values["moves"] == "4"


def test_who_waits_is_told_of_the_first_level_that_may_get_better():
    """With what it can't be under; or that nothing better is left."""
    cost, bound = [0] * len(LEVELS), [0] * len(LEVELS)
    assert so_far(cost, bound) == "nothing better is left"
    cost[-1], cost[1] = 2048, 5
    bound[1] = 3
    assert so_far(cost, bound) == "single points 5, can't be under 3"
    bound[-2] = 7
    cost[1] = 3
    assert so_far(cost, bound) == "copied comes next"
    bound[-2], cost[1] = 0, 5
    bound[1] = 5
    assert so_far(cost, bound) == "balance 2 GiB, can't be under 0 B"


@pytest.mark.parametrize(
    ("used", "has", "says"),
    [
        (17.83 * 2**30, 120 * 2**30, "17.8 of 120 GiB"),
        (0.0, 40 * 2**30, "0 of 40 GiB"),
        (0.25 * 2**30, 1.5 * 2**30, "0.25 of 1.5 GiB"),
        (1500 * 2**30, 2048 * 2**30, "1,500 of 2,048 GiB"),
        (100 * 2**20, 512 * 2**20, "100 of 512 MiB"),
    ],
)
def test_memory_is_said_in_one_unit(used, has, says):
    """That of what the host has."""
    assert memory_said(used, has) == says
