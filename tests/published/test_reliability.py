from __future__ import annotations

import csv
from itertools import combinations
from math import comb

import pytest
from tests.published.graphs import (
    ABSENT,
    BRIDGE,
    OPEN_DATA,
    all_terminal,
    complete,
    reliability,
    ring,
    states,
    two_terminal,
)
from tests.strategies import lab_of

from falsework.support.standing import Standing


@pytest.mark.parametrize("p", [0.5, 0.9, 0.99])
def test_the_bridge_has_its_textbook_reliability(p):
    """The bridge from source to terminal holds with 2p^2 + 2p^3 - 5p^4 + 2p^5.

    Source: textbook polynomial (Barlow and Proschan 1975; Colbourn 1987; from memory), 0.97848 at 0.9, 0.5 at 0.5.
    """
    found = reliability(two_terminal(BRIDGE, "s", "t"), "here", p)
    assert found == pytest.approx(2 * p**2 + 2 * p**3 - 5 * p**4 + 2 * p**5, abs=1e-9)
    printed = {0.5: 0.5, 0.9: 0.97848, 0.99: 0.9997980498}
    assert found == pytest.approx(printed[p], abs=1e-9)


def test_the_bridge_has_its_four_cuts():
    """Its minimal cuts are {a,b}, {d,e}, {a,c,e} and {b,c,d}, found as the minimal losses of up to three links.

    Source: textbook, with a and b at the source, d and e at the terminal, c across.
    """
    wired = two_terminal(BRIDGE, "s", "t")
    name = dict(zip(wired.cables, "abcde", strict=True))
    cuts: list[frozenset[str]] = []
    for size in (1, 2, 3):
        losses = list(combinations(wired.cables, size))
        for lost, view in zip(losses, wired.standing.views(losses), strict=True):
            letters = frozenset(name[each] for each in lost)
            if not view.back("here") and not any(cut <= letters for cut in cuts):
                cuts.append(letters)
    assert set(cuts) == {frozenset("ab"), frozenset("de"), frozenset("ace"), frozenset("bcd")}


def test_the_complete_graph_of_four_has_its_polynomial():
    """All four stay joined with 16p^3 - 33p^4 + 24p^5 - 6p^6: 0.995814 at 0.9.

    Source: known reliability polynomial, from memory; the figures also by the recursion of Gilbert (1959).
    """
    wired = all_terminal(complete(4))
    for p, printed in ((0.9, 0.995814), (0.5, 0.59375)):
        found = reliability(wired, "whole", p)
        assert found == pytest.approx(16 * p**3 - 33 * p**4 + 24 * p**5 - 6 * p**6, abs=1e-9)
        assert found == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(("count", "p", "printed"), [(5, 0.5, 0.7109375), (5, 0.9, 0.9994922424)])
def test_the_complete_graph_of_five_follows_gilbert(count, p, printed):
    """All five stay joined as the recursion for complete graphs says.

    Source: Gilbert (1959), Random graphs, Annals of Mathematical Statistics 30 (figures as in the open data set).
    """
    assert reliability(all_terminal(complete(count)), "whole", p) == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(("count", "printed"), [(3, 0.972), (4, 0.9477), (6, 0.885735)])
def test_a_ring_has_its_closed_form(count, printed):
    """A ring stays joined while at most one link fails: p^n + n p^(n-1) q, at p = 0.9.

    Source: standard closed form, from memory.
    """
    found = reliability(all_terminal(ring(count)), "whole", 0.9)
    assert found == pytest.approx(0.9**count + count * 0.9 ** (count - 1) * 0.1, abs=1e-9)
    assert found == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(("p", "printed"), [(0.9, 0.926559), (0.99, 0.999117850599)])
def test_a_ring_joins_opposite_vertices_by_two_paths(p, printed):
    """Across a ring of six there are two ways of three links each: 1 - (1 - p^3)^2. Source: elementary."""
    found = reliability(two_terminal(ring(6), "0", "3"), "here", p)
    assert found == pytest.approx(1 - (1 - p**3) ** 2, abs=1e-9)
    assert found == pytest.approx(printed, abs=1e-9)


def test_two_switches_with_two_links_each_side():
    """Two perfect switches side by side, each with a link to either end: 1 - (1 - p^2)^2 = 0.99960399 at 0.99.

    Source: standard, from memory.
    """
    edges = (("s", "x"), ("x", "t"), ("s", "y"), ("y", "t"))
    assert reliability(two_terminal(edges, "s", "t"), "here", 0.99) == pytest.approx(0.99960399, abs=1e-9)


TREES = [
    ("bridge", BRIDGE, 8, "elementary"),
    ("k4", complete(4), 16, "Cayley 1889"),
    ("k5", complete(5), 125, "Cayley 1889"),
    ("cycle6", ring(6), 6, "elementary"),
]


@pytest.mark.parametrize(("name", "edges", "count", "source"), TREES, ids=[row[0] for row in TREES])
def test_spanning_trees_are_counted(name, edges, count, source):
    """Of the sets of as many links as a tree has, as many join all vertices as there are spanning trees."""
    vertices = len({vertex for edge in edges for vertex in edge})
    found = states(all_terminal(edges), "whole")
    assert sum(serves for lost, serves in found if len(edges) - lost == vertices - 1) == count


@pytest.mark.skipif(not (OPEN_DATA / "networks").is_dir(), reason=ABSENT)
@pytest.mark.parametrize("name", ["k6", "petersen", "cube", "cycle6", "bridge"])
def test_known_graphs_of_the_open_data(name):
    """Reliabilities and spanning trees of the known graphs are those of the open data set, whose answers name sources."""
    with (OPEN_DATA / "networks" / "known" / f"{name}.csv").open(encoding="utf-8") as file:
        edges = [(row["from"], row["to"]) for row in csv.DictReader(file)]
    with (OPEN_DATA / "networks" / "answers.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["instance"] == f"known/{name}"]
    vertices = len({vertex for edge in edges for vertex in edge})
    wired = all_terminal(edges)
    checked = 0
    for row in rows:
        words = row["quantity"].split("_")
        value = float(row["value"])
        if row["quantity"] == "spanning_trees":
            losses = list(combinations(wired.cables, len(edges) - vertices + 1))
            rows_ = wired.standing.service_rows(losses)
            assert int(rows_[1].sum()) == value
        elif row["quantity"].startswith("all_terminal_reliability_links_p"):
            assert reliability(wired, "whole", float(words[-1])) == pytest.approx(value, rel=1e-9)
        elif row["quantity"].startswith("two_terminal_reliability"):
            ends = words[3:5]
            found = reliability(two_terminal(edges, *ends), "here", float(words[-1]))
            assert found == pytest.approx(value, rel=1e-9)
        else:
            continue
        checked += 1
    assert checked


def k_of_n(k, n):
    """A service on n nodes, of which k must serve; the chance of each number of losses that it outlives."""
    standing = Standing(
        lab_of(
            f"falsework: 1\nlab: x\nmachines: {{n1..{n}: {{is: node}}}}\nservices: {{s: {{on: n*, serves: at least {k}}}}}\n"
        )
    )
    losses = [lost for size in range(n + 1) for lost in combinations(standing.parts, size)]
    return [(len(lost), view.back("s")) for lost, view in zip(losses, standing.views(losses), strict=True)]


@pytest.mark.parametrize(
    ("k", "n", "p", "printed", "source"),
    [
        (
            3,
            4,
            0.9,
            0.9477,
            "k-of-n display example (MIL-HDBK-338B style text), reliability article of 2011-09-02",
        ),
        (2, 3, 0.9, 0.972, "textbook value 3R^2 - 2R^3, from memory"),
        (2, 2, 0.99, 0.9801, "public notes page on series and parallel availability"),
        (1, 2, 0.99, 0.9999, "public notes page on series and parallel availability"),
        (2, 4, 0.92, 0.998075, "own arithmetic; a public page prints 0.9969, having taken C(4,3) for 6"),
    ],
)
def test_k_of_n(k, n, p, printed, source):
    """At least k of n alike units, summed over every state of the units."""
    found = sum(p ** (n - lost) * (1 - p) ** lost for lost, serves in k_of_n(k, n) if serves)
    assert found == pytest.approx(
        sum(comb(n, j) * p**j * (1 - p) ** (n - j) for j in range(k, n + 1)), abs=1e-12
    )
    assert found == pytest.approx(printed, abs=1e-6)
