"""Small rooms to pack, lawful as they are."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import assume
from hypothesis import strategies as st
from tests.judge import lawful

from falsework.support.graph import Room

HOSTS, COPIES = 4, 6
AMOUNTS = st.integers(0, 4).map(float)


@st.composite
def small_rooms(draw, most_hosts=HOSTS, most_copies=COPIES):
    """A lawful pool of up to four hosts and six copies: limits in two resources, keep-apart rules, shedding."""
    hosts = draw(st.integers(2, most_hosts))
    copies = draw(st.integers(1, most_copies))
    several = {"min_size": copies, "max_size": copies}
    level = {group: draw(st.sampled_from(["not", "host", "pair"])) for group in range(copies)}
    apart = draw(st.lists(st.integers(0, copies - 1), **several))
    domains = {"not": (-1,) * hosts, "host": tuple(range(hosts)), "pair": tuple(n // 2 for n in range(hosts))}
    host_of = draw(st.lists(st.integers(0, hosts - 1), **several))
    takes = [(draw(st.integers(0, 2).map(float)), draw(AMOUNTS), 1.0, 0.0) for _ in range(copies)]
    free = []
    for host in range(hosts):
        hole = (draw(AMOUNTS), draw(AMOUNTS), 6.0, 0.0)
        used = [sum(take[n] for take, on in zip(takes, host_of, strict=True) if on == host) for n in range(4)]
        free.append(tuple(left + most for left, most in zip(hole, used, strict=True)))
    room = Room(
        pool="p",
        hosts=tuple(f"h{n}" for n in range(hosts)),
        free=tuple(free),
        copies=tuple(f"c{n}" for n in range(copies)),
        host_of=tuple(host_of),
        takes=tuple(takes),
        apart=tuple(apart),
        domain_of=tuple(domains[level[group]] for group in apart),
        sheds=tuple(draw(st.lists(st.sampled_from([False, False, True]), **several))),
    )
    assume(lawful(room, dict(enumerate(host_of)), set(range(copies))))
    return room


def subsets(room):
    """Every set of hosts that may be gone."""
    for gone in product((False, True), repeat=len(room.hosts)):
        yield frozenset(n for n, each in enumerate(gone) if each)


@st.composite
def choosy_rooms(draw, most_hosts=HOSTS, most_copies=COPIES):
    """A small room whose copies may be on some hosts only, pairs of them kept away from each other."""
    room = draw(small_rooms(most_hosts, most_copies))
    hosts, copies = len(room.hosts), len(room.copies)
    may = tuple(frozenset(draw(st.sets(st.integers(0, hosts - 1)))) | {host} for host in room.host_of)
    pairs = draw(st.sets(st.tuples(st.integers(0, copies - 1), st.integers(0, copies - 1)), max_size=3))
    domain = draw(st.sampled_from([tuple(range(hosts)), tuple(n // 2 for n in range(hosts))]))
    away = tuple(
        (one, two, domain)
        for one, two in sorted(pairs)
        if one != two and domain[room.host_of[one]] != domain[room.host_of[two]]
    )
    return replace(room, may=may, away=away)
