"""Do the traps of supplies and strips, asked of the sheet of power, get the same answer as in the verdicts?"""

from __future__ import annotations

from pathlib import Path

import pytest

from falsework.analyses.power.sheet import feeds
from falsework.model.build import load
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps"


def lost(name, part):
    """What the loss of a part does, in a lab of the traps."""
    sheet = feeds(Standing(load(TRAPS / f"{name}.yaml")))
    return next(each for each in sheet.lost if each.lost == part)


@pytest.mark.parametrize(
    ("name", "part", "dark"),
    [
        ("02-one-strip/base", "S1", ("n1",)),
        ("02-one-strip/base", "S2", ()),
        ("02-one-strip/base", "n1.supply-1", ()),
        ("02-one-strip/one", "S1", ("twin",)),
        ("02-one-strip/one", "twin.supply-2", ()),
        ("02-one-strip/two", "c1", ("n1",)),
        ("02-one-strip/two", "S1", ()),
        ("02-one-strip/three", "S1", ("quad",)),
        ("02-one-strip/three", "S2", ()),
        ("02-one-strip/three", "quad.supply-1", ()),
    ],
)
def test_two_supplies_on_one_strip(name, part, dark):
    """Trap 2 and its variants (a box, one breaker deeper, two of three): who is without power."""
    found = lost(name, part)
    assert (found.dark, found.trips) == (dark, ())


@pytest.mark.parametrize(
    ("name", "part", "trips", "watts"),
    [
        ("03-survivor-overload/base", "A", ("c2",), 4000),
        ("03-survivor-overload/base", "c2", ("c1",), 4000),
        ("03-survivor-overload/one", "c1", ("c2",), 3000),
        ("03-survivor-overload/two", "B", ("A",), 2700),
        ("03-survivor-overload/three", "battery-2", ("battery-1",), 1200),
    ],
)
def test_the_survivor_trips(name, part, trips, watts):
    """Trap 3 and its variants (other numbers, a fuse in the strip, batteries): who trips, of how much, and all go dark."""
    found = lost(name, part)
    assert found.trips == trips
    assert dict(found.carries)[trips[0]] == watts
    sheet = feeds(Standing(load(TRAPS / f"{name}.yaml")))
    machines = {machine for feed in sheet.feeds for machine in feed.machines}
    assert set(found.dark) == machines
    # As it is nothing is too much: only the loss shows it.
    assert not [feed for feed in sheet.feeds if feed.limits.watts and feed.busy.watts > feed.limits.watts]


@pytest.mark.parametrize(
    ("name", "part"), [("03-survivor-overload/two", "A"), ("03-survivor-overload/two", "c1")]
)
def test_the_side_without_a_fuse_carries_it(name, part):
    """Losing the strip with the fuse leaves the breaker, which carries all: no false alarm."""
    found = lost(name, part)
    assert (found.trips, found.dark) == ((), ())


@pytest.mark.parametrize("which", ["base", "one", "two", "three"])
def test_shared_strips_with_a_cord_in_another_are_no_alarm(which):
    """False alarm 1 and its variants: no single loss but of the mains takes anybody's power, and nothing trips."""
    sheet = feeds(Standing(load(TRAPS / f"false-1-shared-strip/{which}.yaml")))
    for loss in sheet.lost:
        if loss.lost != "mains":
            assert (loss.dark, loss.trips) == ((), ()), loss.lost
    assert not any(feed.over for feed in sheet.feeds)


@pytest.mark.parametrize("which", ["base", "one", "two", "three"])
def test_one_supply_each_is_told_and_nothing_is_too_much(which):
    """False alarm 4 and its variants: each strip takes its own machines only, and nothing trips."""
    sheet = feeds(Standing(load(TRAPS / f"false-4-one-supply-spread/{which}.yaml")))
    dark = [set(loss.dark) for loss in sheet.lost if loss.lost.startswith("S")]
    assert all(dark)
    assert sum(map(len, dark)) == len(set().union(*dark))
    assert not any(loss.trips for loss in sheet.lost)
