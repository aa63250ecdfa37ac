"""What machines share: the failure domains at each level."""

import dataclasses

from tests.model.texts import lab_of

from falsework.model.domains import domains

TEXT = """
places: {hall: room, left: {is: rack, in: hall}}
power:
  c-1..2: {is: circuit}
  A: {is: strip, fed by: c-1}
  B: {is: strip, fed by: c-2}
kinds: {sled: {is: node, drives: {d1: {size: 1 TB}}}, twin: {is: enclosure, holds: {a..b: sled}}}
machines:
  t: {kind: twin, fed by: [A, B], in: left}
  u: {kind: twin, fed by: A}
  desk: {is: node, fed by: B}
"""


def test_domains_by_level():
    """A machine shares what holds it and, if it has only one feed, what feeds it."""
    shared = domains(lab_of(TEXT).things)
    assert shared("t.a", "node") == {"t.a"}
    assert shared("t.a", "enclosure") == {"t"}
    assert shared("t.a", "rack") == {"left"}
    assert shared("t.a", "room") == {"hall"}
    assert shared("t.a", "strip") == frozenset()
    assert shared("u.a", "strip") == {"A"}
    assert shared("u.a", "circuit") == {"c-1"}
    assert shared("desk", "enclosure") == {"desk"}
    assert shared("desk", "room") == frozenset()
    assert shared("t.a.d1", "node") == {"t.a"}


def test_circles_end():
    """Even things that hold or feed each other have an answer; the circle is told elsewhere."""
    things = dict(lab_of(TEXT).things)
    a, b = things["A"], things["B"]
    things["A"] = dataclasses.replace(a, fed_by=dataclasses.replace(a.fed_by, ids=("B",)))
    things["B"] = dataclasses.replace(b, fed_by=dataclasses.replace(b.fed_by, ids=("A",)))
    assert domains(things)("desk", "circuit") == frozenset()
