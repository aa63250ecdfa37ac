"""Textbook fault trees against the answers printed for them; by enumeration, by unfolding and by diagrams."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from tests.engines.trees.diagrams import DiagramEngine
from tests.engines.trees.drawn import tree_of
from tests.published.trees import figures, open_path, open_tree

from falsework.engines import importance
from falsework.engines.trees.bounds import min_cut_upper_bound, rare_event_sum
from falsework.engines.trees.engine import column, named, orders
from falsework.engines.trees.enumerate import MOST_EVENTS, Enumeration
from falsework.engines.trees.expand import expand
from falsework.engines.trees.read import read
from falsework.engines.trees.tree import Op

SIX_DIGITS = 3e-5  # printed with six digits, from event probabilities of six digits

# T, K2, S, S1, K1, R
TANK_Q = np.array([[5e-6], [3e-5], [1e-4], [3e-5], [5e-6], [1e-4]])
TANK = tree_of(6, (Op.OR, [3, 4, 5]), (Op.AND, [2, 6]), (Op.OR, [0, 1, 7]))
# V1, V2, P1, P2
TRAINS = tree_of(4, (Op.OR, [0, 2]), (Op.OR, [1, 3]), (Op.AND, [4, 5]))
TRAINS_Q = np.array([[0.4], [0.5], [0.6], [0.7]])


def sets(*cuts):
    """The cut sets, as the engines give them."""
    return {frozenset(cut) for cut in cuts}


def test_b01_pressure_tank_cut_sets():
    """{T}, {K2}, {S,S1}, {S,K1}, {S,R}.

    Source: W. E. Vesely et al., Fault Tree Handbook, NUREG-0492 (1981), ch. VIII; structure as quoted in a fixture.
    """
    wanted = sets({0}, {1}, {2, 3}, {2, 4}, {2, 5})
    assert Enumeration(TANK).cut_sets() == expand(TANK).cut_sets == wanted


def test_b02_pressure_tank_probability():
    """3.5013348e-5, relative 1e-7.

    Source: NASA Fault Tree Handbook with Aerospace Applications (2002), pressure tank, as quoted in a public test.
    """
    assert Enumeration(TANK).probability(TANK_Q)[0] == pytest.approx(3.5013348e-5, rel=1e-7)


def test_b03_pressure_tank_rare_event_sum():
    """3.50135e-5. Source: sum over the cut sets of B01 by hand."""
    assert rare_event_sum(expand(TANK).cut_sets, TANK_Q)[0] == pytest.approx(3.50135e-5, abs=1e-10)


def test_b04_common_cause_of_seals():
    """(0.1 and 1e-5) or (1e-3)^4 is 1.000000999999e-6, relative 1e-9.

    Source: NASA Fault Tree Handbook with Aerospace Applications (2002), seal design, as quoted in a public test.
    """
    tree = tree_of(6, (Op.AND, [0, 1]), (Op.AND, [2, 3, 4, 5]), (Op.OR, [6, 7]))
    q = np.array([[0.1], [1e-5], [1e-3], [1e-3], [1e-3], [1e-3]])
    assert Enumeration(tree).probability(q)[0] == pytest.approx(1.000000999999e-6, rel=1e-9)


def test_b09_two_trains_alike():
    """Valves 0.5 and pumps 0.7: 0.7225, and the four pairs across the trains. Source: closed form by hand."""
    engine = Enumeration(TRAINS)
    assert engine.probability(np.array([[0.5], [0.5], [0.7], [0.7]]))[0] == pytest.approx(0.7225, abs=1e-12)
    wanted = sets({0, 1}, {0, 3}, {1, 2}, {2, 3})
    assert engine.cut_sets() == expand(TRAINS).cut_sets == wanted


def test_b10_two_trains_exact():
    """V1 0.4, V2 0.5, P1 0.6, P2 0.7: 0.646. Source: closed form by hand."""
    assert Enumeration(TRAINS).probability(TRAINS_Q)[0] == pytest.approx(0.646, abs=1e-9)


def factors(event):
    """Birnbaum, criticality, diagnosis, RAW and RRW of an event of the two trains."""
    engine = Enumeration(TRAINS)
    top = engine.probability(TRAINS_Q)
    on, off = engine.given(TRAINS_Q)
    every = (
        importance.birnbaum(on, off),
        importance.criticality(top, on, off, TRAINS_Q),
        importance.diagnosis(top, on, TRAINS_Q),
        importance.achievement_worth(top, on),
        importance.reduction_worth(top, off),
    )
    return [float(some[event, 0]) for some in every]


def test_b11_importance_of_the_first_pump():
    """0.51; 0.4737; 0.7895; 1.316; 1.9, Fussell-Vesely read as P(event | top). Source: closed form by hand."""
    assert factors(2) == pytest.approx([0.51, 0.4737, 0.7895, 1.316, 1.9], abs=5e-4)


def test_b12_importance_of_the_second_pump():
    """0.38; 0.4118; 0.8235; 1.176; 1.7. Source: closed form by hand."""
    assert factors(3) == pytest.approx([0.38, 0.4118, 0.8235, 1.176, 1.7], abs=5e-4)


def test_b16_chinese():
    """392 cut sets: 12 of order 2, 24 of 4, 188 of 5, 168 of 6; exact top 1.17058e-3, relative 1e-5.

    Source: Aralia fault-tree data set (DOI 10.5281/zenodo.20160659); the split by order is a recount.
    """
    tree, _ = open_tree("aralia", "chinese")
    found = expand(tree).cut_sets
    assert orders(found) == {2: 12, 4: 24, 5: 188, 6: 168}
    engine = DiagramEngine(tree)
    assert engine.cut_sets() == found
    assert engine.probability(column(tree))[0] == pytest.approx(1.17058e-3, rel=1e-5)


def test_b17_ftr10():
    """305 cut sets over 175 events, top 0.448677, relative 1e-5.

    Source: Aralia fault-tree data set (DOI 10.5281/zenodo.20160659).
    """
    tree, _ = open_tree("aralia", "ftr10")
    assert len(tree.events) == 175
    engine = DiagramEngine(tree)
    assert len(expand(tree).cut_sets) == len(engine.cut_sets()) == 305
    assert engine.probability(column(tree))[0] == pytest.approx(0.448677, rel=1e-5)


def test_b19_an_event_twice():
    """X1 and (X2 or X3) and (X3 or X4): {X1,X3}, {X1,X2,X4}. Source: by hand."""
    tree = tree_of(4, (Op.OR, [1, 2]), (Op.OR, [2, 3]), (Op.AND, [0, 4, 5]))
    assert Enumeration(tree).cut_sets() == expand(tree).cut_sets == sets({0, 2}, {0, 1, 3})


# Textbook trees. Source of every figure: reference-data/oracle.txt of a public repository, named in the data set's
# answers.csv, six digits.

TEXTBOOK = ("two_train", "theatre", "small_tree", "lift", "hipps")
each_textbook = pytest.mark.parametrize("name", TEXTBOOK)


def textbook(name):
    """Tree, engine, column of probabilities and published figures."""
    tree, published = open_tree("faulttrees-galileo", f"textbook/{name}")
    return tree, Enumeration(tree), column(tree), published


@each_textbook
def test_textbook_probability(name):
    """The exact probability, the rare-event sum capped at 1 and the min-cut upper bound are those printed."""
    _, engine, q, published = textbook(name)
    cut_sets = engine.cut_sets()
    found = {
        "top_event_probability": engine.probability(q)[0],
        "rare_event_approximation_capped_at_1": min(rare_event_sum(cut_sets, q)[0], 1.0),
        "min_cut_upper_bound": min_cut_upper_bound(cut_sets, q)[0],
    }
    assert found == {
        quantity: pytest.approx(float(published[quantity]), rel=SIX_DIGITS) for quantity in found
    }


@each_textbook
def test_textbook_cut_sets(name):
    """The cut sets are those printed, one by one."""
    tree, engine, _, published = textbook(name)
    listed = published["minimal_cut_sets_list"].split(" ")
    wanted = {frozenset(one.split("+")) for one in listed}
    assert len(wanted) == int(published["minimal_cut_sets"])
    assert named(tree, engine.cut_sets()) == named(tree, expand(tree).cut_sets) == wanted


@each_textbook
def test_textbook_importance(name):
    """Every importance factor of every event is the one printed; a printed RRW of 0 stands for no value."""
    tree, engine, q, published = textbook(name)
    top = engine.probability(q)
    on, off = engine.given(q)
    cut_sets = engine.cut_sets()
    found = {
        "birnbaum_MIF": importance.birnbaum(on, off),
        "critical_CIF": importance.criticality(top, on, off, q),
        "diagnostic_DIF": importance.diagnosis(top, on, q),
        "risk_achievement_RAW": importance.achievement_worth(top, on),
        "risk_reduction_RRW": importance.reduction_worth(top, off),
    }
    compared = 0
    for key, printed in published.items():
        if not key.startswith("importance/"):
            continue
        _, event, factor = key.split("/")
        number = tree.events.index(event)
        compared += 1
        if factor == "occurrence":
            assert sum(number in cut for cut in cut_sets) == int(printed)
        elif factor == "risk_reduction_RRW" and float(printed) == 0:
            assert math.isinf(found[factor][number, 0])
        else:
            assert found[factor][number, 0] == pytest.approx(float(printed), rel=SIX_DIGITS), key
    assert compared == 6 * (1 if name == "lift" else len(tree.events))  # of the lift, one event is printed


# Small trees with failure rates

RATED = (("and", 2.0), ("voting", 1.0), ("voting2", 1.0), ("voting4", 1.0))


@pytest.mark.parametrize(("name", "time"), RATED)
def test_unreliability_at_a_time(name, time):
    """The probability of having failed by then. Source: a published regression test; ten digits."""
    tree, published = open_tree("faulttrees-galileo", f"small/{name}", time=time)
    wanted = float(published[f"unreliability_at_time_{time:g}"])
    assert Enumeration(tree).probability(column(tree))[0] == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("name", [name for name, _ in RATED])
def test_mean_time_to_failure(name):
    """The integral of 1 - unreliability over all times. Source: a published regression test; ten digits.

    The rates do not depend on time, so the tree is read once for its gates and once for each time.
    """
    path = open_path("faulttrees-galileo", f"small/{name}")
    published = figures("faulttrees-galileo")[f"small/{name}"]

    def reliability(time):
        tree = read(path, time=time)
        return 1 - Enumeration(tree).probability(column(tree))[0]

    found, _ = quad(reliability, 0, math.inf, epsabs=1e-11, epsrel=1e-11)
    assert found == pytest.approx(float(published["mean_time_to_failure"]), rel=1e-8)


# A second opinion: recomputed for the data set by separate programs, not published.

SECOND = figures("faulttrees-galileo", "recomputed")


@pytest.mark.parametrize("name", sorted(name for name in SECOND if name.startswith("ffort/")))
def test_study_trees_against_a_second_opinion(name):
    """Trees of risk studies: size, cut sets by order, rare-event sum, probability."""
    tree, _ = open_tree("faulttrees-galileo", name)
    second = SECOND[name]
    assert len(tree.events) == int(second["basic_events_reachable"])
    assert len(tree.gates) == int(second["gates_reachable"])
    assert len(tree.unreached) == int(second["unreachable_elements"])
    q = column(tree)
    cut_sets = expand(tree).cut_sets
    assert len(cut_sets) == int(second["minimal_cut_sets"])
    counts = {f"minimal_cut_sets_order_{k}": str(n) for k, n in orders(cut_sets).items()}
    assert counts == {key: n for key, n in second.items() if "_order_" in key}
    assert rare_event_sum(cut_sets, q)[0] == pytest.approx(float(second["rare_event_sum"]), rel=1e-9)
    top = float(second["top_event_probability"])
    assert top <= min_cut_upper_bound(cut_sets, q)[0] * (1 + 1e-9)
    assert DiagramEngine(tree).probability(q)[0] == pytest.approx(top, rel=1e-9)
    if len(tree.events) <= MOST_EVENTS:
        assert Enumeration(tree).probability(q)[0] == pytest.approx(top, rel=1e-9)


@pytest.mark.parametrize(
    "name", sorted(name for name in SECOND if name.startswith(("small/", "repairable/")))
)
def test_rated_trees_against_a_second_opinion(name):
    """Unreliability at time 1, or unavailability in the long run where parts are repaired; number of cut sets."""
    tree, _ = open_tree("faulttrees-galileo", name, time=1.0)
    second, engine = SECOND[name], Enumeration(tree)
    if "minimal_cut_sets" in second:
        assert len(engine.cut_sets()) == int(second["minimal_cut_sets"])
    for quantity in ("unreliability_at_time_1", "steady_state_unavailability"):
        if quantity in second:
            found = engine.probability(column(tree))[0]
            assert found == pytest.approx(float(second[quantity]), rel=1e-9)
