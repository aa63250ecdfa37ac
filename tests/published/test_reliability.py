from __future__ import annotations

import csv
from itertools import combinations
from math import comb

import numpy as np
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

from falsework.engines.reliability import alternating
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


@pytest.mark.parametrize(
    ("k", "n", "p", "printed"), [(3, 4, 0.9, 0.9477), (2, 3, 0.9, 0.972)], ids=["A01", "A03"]
)
def test_k_of_n_by_formula(k, n, p, printed):
    """A01, A03: the binomial formula gives the published values, and so does the recursion for unlike units.

    Sources: k-of-n display example (MIL-HDBK-338B style text), reliability article of 2011-09-02; textbook value, from memory.
    """
    assert alternating.at_least(k, n, p) == pytest.approx(printed, abs=1e-9)
    assert alternating.at_least_of(k, [p] * n) == pytest.approx(printed, abs=1e-9)


def test_a04_series_and_parallel_by_formula():
    """A04: two at 0.99 give 0.9801 in series and 0.9999 in parallel.

    Source: public notes page on series and parallel availability.
    """
    assert alternating.all_of([0.99, 0.99]) == pytest.approx(0.9801, abs=1e-9)
    assert alternating.any_of([0.99, 0.99]) == pytest.approx(0.9999, abs=1e-9)


def test_a05_nines_in_a_year_of_365_days():
    """A05: two, three, four and five nines are 3.65 d, 8.76 h, 52.6 min and 5.26 min.

    Source: several public tables.
    """
    minutes = alternating.minutes_out_per_year(
        alternating.unavailability_of_nines([2, 3, 4, 5]), year_days=alternating.CALENDAR_YEAR_DAYS
    )
    assert minutes == pytest.approx([3.65 * 1440, 8.76 * 60, 52.6, 5.26], rel=1e-3)


def test_a06_nines_in_a_year_of_365_25_days():
    """A06: two and three nines are 87.7 h and 8.77 h, in the year that is used unless another is named.

    Source: public tables (state the year length in output).
    """
    minutes = alternating.minutes_out_per_year(alternating.unavailability_of_nines([2, 3]))
    assert minutes == pytest.approx([87.7 * 60, 8.77 * 60], rel=1e-3)
    # The four days in a thousand by which the two years part are beyond that tolerance only in the next digit.
    assert minutes == pytest.approx([87.66 * 60, 8.766 * 60], rel=1e-9)


RBC = (
    (1, 3, 1.8182e-5, 6),
    (1, 2, 2.5e-6, 6),
    (1, 2, 4.4444e-6, 4),
    (1, 2, 5.7078e-6, 6),
    (2, 3, 7.4074e-6, 6),
    (1, 2, 3.003e-9, 4),
)
"""k, n, failures per hour, repairs per hour of the groups in series.

FFORT benchmark suite (Univ. Twente), model rbc (Flammini et al., HASE 2005), as quoted in a public test file.
"""


def test_a08_a_repairable_system_of_groups():
    """A08: the system is out for a share of 6.8855993019e-12 of the time. Source: RBC above."""
    shares = [
        alternating.at_least(n - k + 1, n, alternating.unavailability(1 / rate, 1 / repair))
        for k, n, rate, repair in RBC
    ]
    assert alternating.any_of(shares) == pytest.approx(6.8855993019e-12, rel=1e-6, abs=0)


def test_a09_the_same_system_without_repair():
    """A09: in an hour without repairs it fails with the chance 2.231940944647528e-10. Source: RBC above."""
    chances = [
        alternating.at_least(n - k + 1, n, alternating.unreliability(rate, 1)) for k, n, rate, _ in RBC
    ]
    assert alternating.any_of(chances) == pytest.approx(2.231940944647528e-10, rel=1e-9, abs=0)


def test_a12_overlapping_outages():
    """A12: 0.05 and 0.02 failures a year, repaired in 20 h and 25 h, one needed: 5.14e-6 a year, 11.1 h, 5.71e-5 h a year.

    Source: Billinton and Allan, Reliability Evaluation of Engineering Systems, Example 11.2, from memory
    (question seen, one digit lost; a year of 8760 h).
    """
    year_h = 8760.0
    rates, repairs = np.array([0.05, 0.02]), np.array([20.0, 25.0]) / year_h
    q = alternating.unavailability(1 / rates, repairs)
    often = alternating.overlap_frequency(q, alternating.frequency(1 / rates, repairs))
    long = alternating.overlap_length(repairs) * year_h
    assert often == pytest.approx(5.14e-6, rel=5e-3)
    assert long == pytest.approx(11.1, rel=5e-3)
    assert often * long == pytest.approx(5.71e-5, rel=5e-3)
    assert alternating.all_of(q) * year_h == pytest.approx(5.71e-5, rel=5e-3)


def test_n04_birnbaum_importance_in_the_bridge():
    """N04: at 0.9 each end link of the bridge has a Birnbaum importance of 0.1062, the one across 0.0162.

    Found from every state: the chance to serve with the link up less that with it down.
    Source: conditioning rule as seen in a public library test; numbers own calculation.
    """
    wired, p = two_terminal(BRIDGE, "s", "t"), 0.9
    losses = [frozenset(lost) for size in range(6) for lost in combinations(wired.cables, size)]
    views = wired.standing.views([tuple(lost) for lost in losses])
    serves = {lost for lost, view in zip(losses, views, strict=True) if view.back("here")}
    found = {}
    for letter, cable in zip("abcde", wired.cables, strict=True):
        others = [lost for lost in losses if cable not in lost]
        weights = [p ** (4 - len(lost)) * (1 - p) ** len(lost) for lost in others]
        up = sum(w for w, lost in zip(weights, others, strict=True) if lost in serves)
        down = sum(w for w, lost in zip(weights, others, strict=True) if lost | {cable} in serves)
        found[letter] = up - down
    for letter, printed in {"a": 0.1062, "b": 0.1062, "c": 0.0162, "d": 0.1062, "e": 0.1062}.items():
        assert found[letter] == pytest.approx(printed, abs=1e-9)
