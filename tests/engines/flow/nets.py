"""Nets drawn at random, and slow judges of what flows through them."""

from __future__ import annotations

from itertools import chain, combinations

from hypothesis import strategies as st

from falsework.engines.flow.net import Link, Net


@st.composite
def nets(draw, *, most=6, passes=True):
    """Up to six vertices, parallel links and loose parts among them; "0" and "1" always have a link."""
    count = draw(st.integers(2, most))
    names = [str(number) for number in range(count)]
    pairs = st.sampled_from(list(combinations(names, 2)))
    joins = [("0", draw(st.sampled_from(names[1:]))), ("1", draw(st.sampled_from([names[0], *names[2:]])))]
    joins += draw(st.lists(pairs, max_size=8))
    links = tuple(
        Link(name=f"l{number}", one=one, other=other, carries=draw(st.integers(0, 9)))
        for number, (one, other) in enumerate(joins)
    )
    limited = draw(st.dictionaries(st.sampled_from(names), st.integers(0, 9), max_size=2)) if passes else {}
    ends = draw(st.frozensets(st.sampled_from(names[2:]), max_size=1)) if names[2:] else frozenset()
    return Net(links=links, passes=limited, ends=ends)


def subsets(items):
    """Every subset."""
    items = list(items)
    return chain.from_iterable(combinations(items, size) for size in range(len(items) + 1))


def joined(net, one, other, gone=frozenset()):
    """Whether anything gets from one vertex to another over what is left."""
    if {one, other} & gone:
        return False
    seen, waiting = {one}, [one]
    while waiting:
        at = waiting.pop()
        if at in net.ends and at != one:
            continue
        for link in net.links:
            if link.carries > 0 and link.name not in gone and at in (link.one, link.other):
                there = link.across(at)
                if there not in seen and there not in gone and net.passes.get(there, 1) > 0:
                    seen.add(there)
                    waiting.append(there)
    return other in seen and net.passes.get(one, 1) > 0


def smallest_cut(net, one, other):
    """The least that any set of links and limited vertices carries without which nothing gets through."""
    carries = {link.name: link.carries for link in net.links} | dict(net.passes)
    items = [name for name in carries if carries[name] > 0]
    best = None
    for cut in subsets(items):
        total = sum(carries[name] for name in cut)
        if (best is None or total < best) and not joined(net, one, other, frozenset(cut)):
            best = total
    return best


def check_flow(net, one, other, found):
    """The flow adds up at every vertex and exceeds nothing, and the cut carries as much and parts the ends."""
    carries = {link.name: link.carries for link in net.links}
    balance = dict.fromkeys(net.vertices, 0)
    passed = dict.fromkeys(net.vertices, 0)
    for link in net.links:
        amount = found.along.get(link.name, 0)
        assert abs(amount) <= link.carries
        balance[link.one] -= amount
        balance[link.other] += amount
        if amount:
            passed[link.other if amount > 0 else link.one] += abs(amount)
    for vertex, left in balance.items():
        assert left == {one: -found.value, other: found.value}.get(vertex, 0)
        through = passed[vertex] + (found.value if vertex == one else 0)
        assert through <= net.passes.get(vertex, through)
        assert vertex not in net.ends - {one, other} or not passed[vertex]
    assert sum((carries | dict(net.passes))[name] for name in found.cut) == found.value
    assert not joined(net, one, other, frozenset(found.cut))
