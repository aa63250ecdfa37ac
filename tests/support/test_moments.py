from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.support.moments import Stages, owner_of
from falsework.support.staging import ALWAYS
from falsework.support.standing import Standing


@dataclass(frozen=True)
class At:
    """A moment, by hand."""

    built: frozenset[str]
    lent: frozenset[str] = frozenset()
    serving: dict[str, str] = field(default_factory=dict)


def stages_of(text):
    """A lab made ready for moments."""
    return Stages(Standing(lab_of(text)))


def back(stages, at, lost=()):
    """The services that serve at a moment once these are lost too."""
    on = stages.on(at)
    on[[stages.leaf_of(each) for each in lost]] = False
    count = len(stages.services)
    rows = stages.service_rows(on[:, None])[count : 2 * count, 0]
    return {name for name, row in zip(stages.services, rows, strict=True) if row}


def all_but(stages, *names):
    """A moment at which everything stands but these."""
    return At(built=frozenset(stages.standing.support.things) - frozenset(names))


@given(texts(), st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_what_is_not_there_is_as_good_as_lost(text, random):
    """With parts missing and one more lost, services serve as they would with all of those lost.

    Power is left out: what is not there draws none, and what failed is still taken to.
    """
    standing = Standing(lab_of(text))
    if standing.support.loads:
        return
    stages = Stages(standing)
    for _ in range(6):
        made = [part for part in standing.parts if standing.support.things[part].word not in ALWAYS]
        absent = random.sample(made, random.randint(0, min(4, len(made))))
        at = all_but(stages, *absent)
        for lost in [(), *((part,) for part in stages.can_fail(at))]:
            (view,) = standing.views([(*absent, *lost)])
            plain = {name for name in stages.services if view.back(name)}
            assert back(stages, at, lost) == plain, (absent, lost)


LAB = """
falsework: 1
lab: Names from a laptop
machines: {n1..3: {is: node}}
services:
  names: {on: n1}
  pages: {on: n2, needs: [names]}
stand-ins:
  laptop: {for: names}
"""
HERE = frozenset(("n1", "n2", "n3"))


def test_a_service_that_nobody_made_does_not_stand():
    """The nodes alone serve nothing; the service is there once it is made, with its copy."""
    stages = stages_of(LAB)
    assert back(stages, At(built=HERE)) == set()
    assert back(stages, At(built=HERE | {"names", "names.1"})) == {"names"}


def test_a_stand_in_serves_in_the_place_of_what_is_not_there():
    """Lent and serving, the laptop carries pages; lost, pages fall, and the node of the names does nothing."""
    stages = stages_of(LAB)
    at = At(built=HERE | {"pages", "pages.1"}, lent=frozenset(["laptop"]), serving={"names": "laptop"})
    assert back(stages, at) == {"names", "pages"}
    assert back(stages, at, ["laptop"]) == set()
    assert back(stages, at, ["n1"]) == {"names", "pages"}
    assert back(stages, at, ["n2"]) == {"names"}
    assert stages.can_fail(at) == ("n1", "n2", "n3", "laptop")


@pytest.mark.parametrize(("owner", "stops"), [("laptop", "laptop"), ("names", "n1")])
def test_two_that_could_serve_are_no_spare_for_each_other(owner, stops):
    """While both stand only the owner counts: state has one owner, and clients know one address."""
    stages = stages_of(LAB)
    everything = HERE | {"pages", "pages.1", "names", "names.1"}
    at = At(built=everything, lent=frozenset(["laptop"]), serving={"names": owner})
    for part in ("laptop", "n1"):
        assert ("pages" in back(stages, at, [part])) == (part != stops)


def test_a_lent_stand_in_that_nobody_names_as_owner_serves_nobody():
    """Once the thing is there and no owner is named, it serves itself."""
    at = At(built=HERE | {"names"}, lent=frozenset(["laptop"]))
    assert owner_of(at, "names") == "names"
    assert owner_of(At(built=HERE, lent=frozenset(["laptop"])), "names") is None
    assert owner_of(At(built=HERE, serving={"names": "laptop"}), "names") is None


def test_a_stand_in_falls_with_the_node_it_runs_on_and_with_what_it_needs():
    """On a node it leans on that node; needing the clock, it stops with the clock's."""
    text = LAB.replace("{for: names}", "{for: names, on: n3, needs: [clock]}").replace(
        "services:", "services:\n  clock: {on: n2}"
    )
    stages = stages_of(text)
    at = At(built=HERE | {"clock", "clock.1"}, lent=frozenset(["laptop"]), serving={"names": "laptop"})
    assert back(stages, at) == {"clock", "names"}
    assert back(stages, at, ["n3"]) == {"clock"}
    assert back(stages, at, ["n2"]) == set()


def test_a_stand_in_does_not_meet_its_own_need():
    """A stand-in that needs what it stands in for does not stand on itself."""
    stages = stages_of(LAB.replace("{for: names}", "{for: names, needs: [names]}"))
    at = At(built=HERE, lent=frozenset(["laptop"]), serving={"names": "laptop"})
    assert back(stages, at) == set()
    assert stages.missing([at]) == [("laptop",)]


def test_two_of_two_with_one_lent():
    """A need for two counts a stand-in for the one it covers, and not for the other."""
    text = LAB.replace("needs: [names]", "needs: [{of: [names, times], enough: 2}]").replace(
        "services:", "services:\n  times: {on: n3}"
    )
    stages = stages_of(text)
    there = HERE | {"pages", "pages.1"}
    lent = {"lent": frozenset(["laptop"]), "serving": {"names": "laptop"}}
    assert back(stages, At(built=there, **lent)) == {"names"}
    assert back(stages, At(built=there | {"times", "times.1"}, **lent)) == {"names", "times", "pages"}


def test_a_lent_strip_feeds_as_the_real_one_does():
    """What stands in for a part with a place in the lab takes that place."""
    stages = stages_of("""
falsework: 1
lab: A lent strip
power: {A: {is: strip}}
machines: {n1: {is: node, fed by: A}}
services: {names: {on: n1}}
stand-ins: {reel: {for: A}}
""")
    everything = frozenset(stages.standing.support.things)
    assert back(stages, At(built=everything)) == {"names"}
    without = At(built=everything - {"A"})
    assert back(stages, without) == set()
    lent = At(built=without.built, lent=frozenset(["reel"]), serving={"A": "reel"})
    assert back(stages, lent) == {"names"}
    assert back(stages, lent, ["reel"]) == set()


def test_who_needs_something_over_the_wire_waits_for_the_wire():
    """With its switch not there yet, a node sees nobody, not even a service that stands."""
    stages = stages_of("""
falsework: 1
lab: A wire
machines: {n1..2: {is: node}, sw: {is: switch}}
wire: {cables: [n1..2 -- sw]}
services: {names: {on: n1}, pages: {on: n2, needs: [names]}}
""")
    assert back(stages, all_but(stages, "sw")) == set()
    assert back(stages, all_but(stages)) == {"names", "pages"}
    assert stages.missing([all_but(stages, "sw")]) == [("names", "pages", "pages.1")]


def test_what_is_not_there_draws_no_power():
    """Two nodes are too much for one of two strips; with one node there the other strip may go."""
    text = """
falsework: 1
lab: Load
power: {A: {is: strip, breaker: 1 A}, B: {is: strip, breaker: 1 A}}
machines: {n1..2: {is: node, draws: 200 W, fed by: [A, B]}}
services: {names: {on: n1}}
"""
    stages = stages_of(text)
    assert back(stages, all_but(stages), ["A"]) == set()
    assert back(stages, all_but(stages, "n2"), ["A"]) == {"names"}


def test_what_is_not_there_takes_no_room():
    """A copy that is not made yet leaves its room to those that must restart."""
    text = """
falsework: 1
lab: Room
machines: {n1..2: {is: node, memory: 8 GiB}}
pools: {herd: {hosts: n1..2, keeps free: 0 GiB}}
services:
  mail: {on: herd, placed: n1, takes: 5 GiB}
  maps: {on: herd, placed: n2, takes: 5 GiB}
"""
    stages = stages_of(text)
    assert back(stages, all_but(stages), ["n1"]) == {"maps"}
    assert back(stages, all_but(stages, "maps", "maps.1"), ["n1"]) == {"mail"}


def test_many_moments_are_asked_at_once():
    """Columns are scenarios: each answers for itself."""
    stages = stages_of(LAB)
    empty, full = stages.on(At(built=HERE)), stages.on(all_but(stages))
    rows = stages.service_rows(np.stack([empty, full, empty], axis=1))
    assert rows[:2].tolist() == [[False, True, False], [False, True, False]]
