from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import Verdict
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: x
power: {A: {is: strip}, B: {is: strip}}
machines:
  n1..2: {is: node, fed by: [A, B]}
  n3: {is: node}
services:
  two: {on: [n1, n2]}
  one: n3
"""


def test_pairs_of_a_small_lab_counted_by_hand():
    """Two nodes, two strips, each node with a supply on either: the pairs that stop the pair of copies are known.

    Together only: n1+n2, A+B, a node with the other node's strip is not enough. Supplies: n1 with both of n2's supplies
    is a triple. So two pairs; `one` falls in any pair that holds n3 and in none else.
    """
    standing = Standing(lab_of(LAB))
    found = all_pairs(standing)
    assert found.n_pairs == 9 * 8 // 2
    two, one = found.services.index("two"), found.services.index("one")
    assert found.only_together[two] == found.falls[two] == 2
    assert set(map(frozenset, found.together("two"))) == {frozenset("AB"), frozenset(("n1", "n2"))}
    assert (found.falls[one], found.only_together[one]) == (8, 0)
    table = singles(standing, found)
    assert table.worst("n3") is Verdict.FALLS
    assert table.worst("A") is Verdict.THIN
    assert table.worst("n1.supply-1") is Verdict.STANDS


@given(texts())
@settings(max_examples=40)
def test_every_pair_agrees_with_losing_both(text):
    """Counts and pairs are those of trying every pair, and each pair's value is what losing both gives."""
    standing = Standing(lab_of(text))
    found = all_pairs(standing)
    parts, services = found.parts, found.services
    watched = slice(len(services), 2 * len(services))
    alone = dict(
        zip(parts, standing.service_rows([(part,) for part in parts])[watched].T.tolist(), strict=True)
    )
    falls, together = [0] * len(services), [0] * len(services)
    pairs = list(combinations(range(len(parts)), 2))
    rows = standing.service_rows([(parts[a], parts[b]) for a, b in pairs])[watched] if pairs else None
    for column, (a, b) in enumerate(pairs):
        stands = rows[:, column].tolist()
        if standing.support.rooms:  # a copy that finds room only when more is lost is not counted on
            stands = [
                s and one and other
                for s, one, other in zip(stands, alone[parts[a]], alone[parts[b]], strict=True)
            ]
        assert found.found.value(a, b)[: len(services)].tolist() == stands, (parts[a], parts[b])
        for row, good in enumerate(stands):
            falls[row] += not good
            together[row] += not good and alone[parts[a]][row] and alone[parts[b]][row]
    assert found.n_pairs == len(pairs)
    assert list(found.falls) == falls
    assert list(found.only_together) == together
