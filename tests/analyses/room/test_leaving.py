"""After a loss, is who finds no room, why, and by how much, what trying everything finds?"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from tests.judge import fits, homeless, lawful
from tests.rooms import choosy_rooms, subsets
from tests.strategies import lab_of

from falsework.analyses.room import room_left
from falsework.analyses.room.leaving import Leaver
from falsework.support.standing import Standing

GIB = float(1 << 30)
EMPTY = lab_of("falsework: 1\nlab: x\nmachines: {n: {is: node}}\n")


def after(text, *lost):
    """The room after each loss, by what is lost."""
    found = room_left(Standing(lab_of(f"falsework: 1\nlab: x\n{text}")), lose=lost)
    return {each.lost: each.pools for each in found.after}


@given(choosy_rooms())
@settings(max_examples=60)
def test_who_finds_no_room_is_who_finds_none_in_any_assignment(room):
    """The homeless and those left out are the judge's; where the others go is lawful; holes are what is left then."""
    leaver = Leaver(EMPTY, room)
    hosts = {name: at for at, name in enumerate(room.hosts)}
    for lost in subsets(room):
        found = leaver.after(lost)
        out = {room.copies.index(each.copy) for each in found.homeless}
        shed = {room.copies.index(each) for each in found.left_out}
        assert out | shed == homeless(room, lost)
        assert not any(room.sheds[n] for n in out)
        assert all(room.sheds[n] for n in shed)
        moved = {room.copies.index(each.copy): hosts[each.end] for each in found.restarts}
        where = {n: host for n, host in enumerate(room.host_of) if n not in out | shed} | moved
        assert lost.isdisjoint(where.values())
        assert lawful(room, where, set(moved))
        for hole in found.holes:
            on = [n for n, host in where.items() if host == hosts[hole.host]]
            for resource, left in enumerate(hole.left):
                assert left == room.free[hosts[hole.host]][resource] - sum(
                    room.takes[n][resource] for n in on
                )


@given(choosy_rooms())
@settings(max_examples=60)
def test_by_how_much_it_does_not_fit_is_true(room):
    """What is called missing is on no host, enough together means in pieces, and a move helps where one exists."""
    leaver = Leaver(EMPTY, room)
    for lost in subsets(room):
        found = leaver.after(lost)
        firm = [n for n, sheds in enumerate(room.sheds) if not sheds]
        for each in found.homeless:
            n = room.copies.index(each.copy)
            assert each.helped == fits(room, firm, [], lost)
            able = [at for at in range(len(room.hosts)) if at not in lost and at in room.may[n]]
            assert (each.reason == "nowhere") == (not able)
            assert all(
                missing == max(take - largest, 0.0)
                for missing, take, largest in zip(each.missing, each.takes, each.largest, strict=True)
            )
            if each.reason == "short":
                assert any(take > free for take, free in zip(each.takes, each.free, strict=True))
            if each.reason == "pieces":
                assert all(take <= free for take, free in zip(each.takes, each.free, strict=True))
                assert any(each.missing)
            if each.reason in ("mixed", "apart"):
                assert not any(each.missing)


@given(choosy_rooms())
@settings(max_examples=60)
def test_what_a_host_lacks_is_enough(room):
    """With that much more on that host the first in the file that finds no room finds it.

    (What is given for a later one, an earlier one may take.)
    """
    for lost in subsets(room):
        found = Leaver(EMPTY, room).after(lost)
        first = next(iter(found.homeless), None)
        if first is None or not first.give:
            continue
        at = room.hosts.index(first.give)
        more = tuple(has + lack for has, lack in zip(room.free[at], first.lacks, strict=True))
        out = homeless(replace(room, free=(*room.free[:at], more, *room.free[at + 1 :])), lost)
        assert room.copies.index(first.copy) not in out


FOUR = """
machines: {h1..4: {is: node, memory: 64 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
"""


def test_room_in_pieces_is_no_room():
    """The trap: 90 GiB are left in all, 30 on no host more, 10 too little for 40; no shuffling helps."""
    text = f"{FOUR}services: {{small-1..3: {{on: p, placed: h#, takes: 34 GiB}}, big: {{on: p, placed: h4, takes: 40 GiB}}}}"
    (pool,) = after(text, "h4")["h4"]
    (big,) = pool.homeless
    assert (big.copy, big.reason, big.helped) == ("big.1", "pieces", False)
    assert (big.free[1], big.largest[1], big.missing[1]) == (90 * GIB, 30 * GIB, 10 * GIB)
    assert [hole.left[1] for hole in pool.holes] == [30 * GIB] * 3


def test_too_little_in_all_is_told_apart_from_pieces():
    """With 60 GiB on each, 12 are left in all: too little together, not in pieces."""
    text = f"{FOUR}services: {{small-1..3: {{on: p, placed: h#, takes: 60 GiB}}, big: {{on: p, placed: h4, takes: 40 GiB}}}}"
    (pool,) = after(text, "h4")["h4"]
    assert [each.reason for each in pool.homeless] == ["short"]


def test_a_move_of_what_runs_would_help():
    """Two of 20 GiB lie on two hosts; on one host together they would leave the other free for 50."""
    text = """
machines: {h1..3: {is: node, memory: 64 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {small-1..2: {on: p, placed: h#, takes: 20 GiB}, big: {on: p, placed: h3, takes: 50 GiB}}
"""
    (pool,) = after(text, "h3")["h3"]
    assert [(each.copy, each.reason, each.helped) for each in pool.homeless] == [("big.1", "pieces", True)]


def test_one_host_has_the_memory_and_another_the_cores():
    """Nothing is too small by itself, and still no host has all of it."""
    text = """
machines: {h1: {is: node, memory: 64 GiB, cores: 2}, h2: {is: node, memory: 8 GiB, cores: 16}, h3: {is: node, memory: 64 GiB, cores: 16}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {big: {on: p, placed: h3, takes: 8 cores 32 GiB}}
"""
    (pool,) = after(text, "h3")["h3"]
    assert [each.reason for each in pool.homeless] == ["mixed"]


def test_the_only_host_with_room_runs_its_like():
    """Copies that are kept apart by enclosure find no room in the enclosure of the other, however empty it is."""
    text = """
kinds: {sled: {is: node, memory: 64 GiB}}
machines: {box-1..2: {is: enclosure, holds: 2 sled}}
pools: {p: {hosts: box-*.*, keeps free: 0 GiB}}
services: {s: {copies: 2, on: p, placed: [box-1.1, box-2.1], apart: enclosure, takes: 4 GiB}}
"""
    found = after(text, "box-1", "box-1.1")
    assert [each.reason for each in found["box-1"][0].homeless] == ["apart"]
    assert found["box-1.1"][0].homeless == ()
    assert [each.end for each in found["box-1.1"][0].restarts] == ["box-1.2"]


def test_hosts_that_a_switch_takes_away_are_gone_as_well():
    """A host that stands and sees none of its wire runs no copy: what is on it restarts elsewhere."""
    text = """
machines: {h1..2: {is: node, memory: 8 GiB, ports: {a: 1 Gb/s}}, sw-1..2: {is: switch, ports: 4}}
wire: {cables: [h1 -- sw-1, h2 -- sw-2, sw-1 -- sw-2]}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, takes: 4 GiB}}
"""
    (pool,) = after(text, "sw-1")["sw-1"]
    assert pool.gone == ("h1",)
    assert [(each.copy, each.end) for each in pool.restarts] == [("s.1", "h2")]


def test_losses_are_those_of_the_aims_or_all_machines_that_take_a_host():
    """An aim says what is lost; without one every node and enclosure with a host is; a word stands for its parts."""
    text = """
kinds: {sled: {is: node, memory: 64 GiB}}
machines: {box-1..2: {is: enclosure, holds: 2 sled}, other: {is: node}}
pools: {p: {hosts: box-*.*}}
services: {s: {on: p, placed: box-1.1, takes: 4 GiB}}
"""
    boxes = ["box-1", "box-1.1", "box-1.2", "box-2", "box-2.1", "box-2.2"]
    assert sorted(after(text)) == boxes
    assert sorted(after(f"{text}\naims: {{a: {{room without: box-2}}}}")) == ["box-2"]
    assert sorted(after(text, "enclosure")) == ["box-1", "box-2"]
    assert after(text, "other") == {"other": ()}
