"""Is the margin that is left the smallest set of further parts that brings a service down?"""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.history import lefts
from falsework.analyses.history.left import GROUND
from falsework.analyses.verdicts import Verdict, lose, verdict_rows
from falsework.support.standing import Standing


def falls(standing, sets):
    """Whether each service falls, or loses its data, by each of these sets: (service, set)."""
    return verdict_rows(standing, standing.service_rows(sets)) >= Verdict.FALLS


def by_trying(standing):
    """For each service the least, how many sets of that size, and the ground: by losing every one and two parts."""
    things = standing.support.things
    ground = [(part,) for part in standing.parts if things[part].word in GROUND]
    parts = [part for part in standing.parts if things[part].word not in GROUND]
    alone = falls(standing, [(part,) for part in parts]).sum(axis=1)
    both = falls(standing, list(combinations(parts, 2))).sum(axis=1)
    floor = falls(standing, ground)
    for row, service in enumerate(standing.support.services):
        if not standing.baseline.back(service):
            yield 0, 1, ()
            continue
        below = tuple(part for (part,), hit in zip(ground, floor[row], strict=True) if hit)
        least = 1 if alone[row] else 2 if both[row] else None
        yield least, alone[row] or both[row], below


@pytest.mark.slow
@given(texts(most_nodes=3), st.data())
@settings(max_examples=25)
def test_it_is_what_trying_every_set_finds(text, data):
    """Of any lab with anything out, for each service; and the set that is named does bring it down."""
    whole = Standing(lab_of(text))
    out = data.draw(st.lists(st.sampled_from(whole.parts), max_size=1)) if whole.parts else []
    standing = Standing(whole.lab, out=out)
    found = lefts(standing)
    assert [(each.least, each.ways, each.ground) for each in found] == list(by_trying(standing))
    for each in found:
        assert len(each.by) == (each.least or 0)
        if each.by:
            assert lose(standing, each.by, thin=False).of(each.service).verdict >= Verdict.FALLS
    built = {each.service: each.least for each in lefts(whole)}
    assert {each.service: each.least_built for each in found} == built
    assert all(each.less == (each.least != each.least_built) for each in found)


def test_without_pairs_only_single_parts_are_looked_at():
    """What no single part brings down then has no number, and says how far was looked."""
    text = """
lab: two boxes
outside: {mains: the wall}
machines: {a: {is: node, fed by: mains}, b: {is: node, fed by: mains}}
services: {web: {on: [a, b]}, book: {on: a}}
"""
    standing = Standing(lab_of(text))
    web, book = lefts(standing, pairs=False)
    assert (web.least, web.ground, web.looked_at) == (None, ("mains",), 1)
    assert (book.least, book.looked_at) == (1, 1)
    assert next(iter(lefts(standing))).least == 2


def test_two_that_lose_the_data_together_count():
    """The service would stand on the third, but its data lay on the two."""
    text = """
lab: three boxes
outside: {mains: the wall}
machines: {a: {is: node, fed by: mains}, b: {is: node, fed by: mains}, c: {is: node, fed by: mains}}
services: {web: {on: [a, b, c]}, page: {on: [a, b, c]}}
data: {book: {of: web, in: [a, b], size: 1 GiB}}
"""
    web, page = lefts(Standing(lab_of(text)))
    assert (web.least, page.least) == (2, None)
    assert set(web.by) <= {"a", "b"} or any(name.startswith(("a.", "b.")) for name in web.by)


def test_pairs_with_the_ground_are_not_counted():
    """Two feeds from two walls: a wall and a box bring it down together, and are no pair of parts."""
    text = """
lab: two walls
outside: {left: the wall, right: the other wall}
machines: {a: {is: node, fed by: left}, b: {is: node, fed by: right}}
services: {web: {on: [a, b]}}
"""
    standing = Standing(lab_of(text))
    (web,) = lefts(standing)
    assert (web.least, web.ground) == (2, ())
    assert [(web.least, web.ways, web.ground)] == list(by_trying(standing))
    assert not {"left", "right"} & set(web.by)
