"""The Aralia collection of industrial fault trees against its published figures.

Sources: A. Rauzy, E. Chatelet, Y. Dutuit, C. Berenguer, "A practical comparison of methods to assess
sum-of-products", Reliability Engineering and System Safety 79 (2003) 33-42 (the collection); its figures from the
README of the data repository, DOI 10.5281/zenodo.20160659. Two printed figures cannot come from the files and stand
corrected in the table used here: the probability of das9204 (all cut sets have 7 or more events of 0.01, so
6.07651E-08 is far too much) and the count of edf9206 (two releases of the file give 7,159,688,704).
"""

from __future__ import annotations

import pytest
from tests.published.trees import figures, open_tree

from falsework.engines.diagrams.solve import solve

pytestmark = pytest.mark.slow

DIGITS = 1e-5  # printed with six digits, relative
SECONDS = 60.0  # for each of QUICK and SLOW; far more than they need
QUICK = [
    "baobab1",
    "baobab3",
    "chinese",
    "das9201",
    "das9203",
    "das9204",
    "das9205",
    "das9207",
    "das9209",
    "edf9202",
    "edf9205",
    "edf9206",
    "edfpa14b",
    "edfpa14p",
    "edfpa15b",
    "edfpa15q",
    "edfpa15r",
    "ftr10",
    "isp9601",
    "isp9603",
    "isp9604",
    "isp9605",
    "isp9606",
]
SLOW = ["edf9203", "edfpa14q", "edfpa14r"]
LARGE = ["cea9601", "das9701", "nus9601"]
A_WHILE = 3.0  # seconds for each of LARGE; benchmarks/fault_trees.py gives them all they need


def by_order(published):
    """The counts of cut sets of each order that are published."""
    return {
        int(quantity.rpartition("_")[2]): int(value)
        for quantity, value in published.items()
        if quantity.startswith("minimal_cut_sets_order_") and quantity.rpartition("_")[2].isdigit()
    }


def holds_to(found, published):
    """Every figure that was found is the published one, or encloses it; what has none says so."""
    chance, count = published["top_event_probability"], published["minimal_cut_sets"]
    if found.top_probability is None:
        assert found.lower < found.upper
        assert found.minimal_cut_sets is None
    else:
        assert found.lower == found.upper == found.top_probability
    if chance == "unknown":
        assert 0 <= found.lower <= found.upper <= 1
    elif found.top_probability is None:
        assert found.lower <= float(chance) * (1 + DIGITS)
        assert float(chance) * (1 - DIGITS) <= found.upper
    else:
        assert found.top_probability == pytest.approx(float(chance), rel=DIGITS)
    if found.minimal_cut_sets is None:
        assert not found.by_order
    else:
        assert count in ("unknown", str(found.minimal_cut_sets))
        assert sum(found.by_order.values()) == found.minimal_cut_sets
        for order, sets in by_order(published).items():
            assert found.by_order.get(order, 0) == sets


@pytest.mark.parametrize("name", [*QUICK, *SLOW, *LARGE])
def test_size(name):
    """Events and gates read from the file are as many as published.

    Source: table of the data repository; a gate inside another's formula has no name and is not counted there.
    """
    tree, published = open_tree("aralia", name)
    assert len(tree.events) == int(published["basic_events"])
    assert sum(bool(each) for each in tree.gate_names) == int(published["gates"])


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(name, marks=pytest.mark.slow) for name in SLOW)])
def test_probability_and_counts(name):
    """The exact probability to the six digits printed, the count of minimal cut sets to the last; by order too.

    Source: table of the data repository; counts by order of one tree from an open regression test. Those of the
    others are not published: they are the second opinion that comes with the data set (recomputed.csv).
    """
    tree, published = open_tree("aralia", name)
    found = solve(tree, seconds=SECONDS)
    assert found.top_probability is not None
    assert found.minimal_cut_sets is not None
    holds_to(found, published)
    for order, sets in by_order(figures("aralia", "recomputed").get(name, {})).items():
        assert found.by_order.get(order, 0) == sets


@pytest.mark.slow
@pytest.mark.parametrize("name", LARGE)
def test_large_trees_are_exact_or_bounded(name):
    """Whatever is found in the time given is the published figure or encloses it.

    Source: table of the data repository; of nus9601 nothing is published.
    """
    tree, published = open_tree("aralia", name)
    found = solve(tree, seconds=A_WHILE)
    assert found.lower is not None
    assert found.upper is not None
    holds_to(found, published)
