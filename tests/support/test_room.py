from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge import fits, homeless, lawful
from tests.rooms import choosy_rooms, small_rooms, subsets
from tests.strategies import lab_of

from falsework.analyses.verdicts import lose
from falsework.support import room as rooms
from falsework.support import settling
from falsework.support.graph import Room
from falsework.support.room import oracle, packed
from falsework.support.settling import Packer
from falsework.support.standing import Standing


@given(small_rooms())
@settings(max_examples=100)
def test_packing_is_what_trying_everything_finds(room):
    """With few copies the search is exact: who finds no room is who finds none when every assignment is tried."""
    for lost in subsets(room):
        assert packed(room, lost) == homeless(room, lost)


@given(small_rooms(), st.integers(0, 6))
@settings(max_examples=60)
def test_packing_is_never_too_hopeful(room, steps):
    """However early the search gives up, those it houses fit together, by some assignment that is lawful."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(settling, "MOST_STEPS", steps)
        found = {lost: packed(room, lost) for lost in subsets(room)}
    for lost, out in found.items():
        running = [n for n, host in enumerate(room.host_of) if host not in lost and n not in out]
        moved = [n for n, host in enumerate(room.host_of) if host in lost and n not in out]
        back = [n for n in running if room.sheds[n]]  # perhaps put out and taken in again, elsewhere
        firm = [n for n in running if n not in back]
        assert fits(room, moved, running, lost) or fits(room, [*moved, *back], firm, lost)


@given(small_rooms())
@settings(max_examples=100)
def test_room_for_all_is_monotone(room):
    """Where all find room with more hosts gone, all find room with fewer gone.

    Not so where copies are kept apart: one that runs stays where it is, and may stand in the way of one that
    must move; with its host gone too, both may be placed anew.
    """
    room = replace(room, apart=tuple(range(len(room.copies))))
    whole = {lost: not packed(room, lost) for lost in subsets(room)}
    for more in whole:
        for less in whole:
            if less < more:
                assert whole[less] >= whole[more]


def test_room_for_one_is_not_monotone():
    """A copy may find room only because one loss more has put an earlier one out; the docstring says so.

    z waits for nobody on its own host; x takes the hole that y would fit in; with z displaced x no longer fits.
    """
    text = """
falsework: 1
lab: x
machines: {h1: {is: node, memory: 10 GiB}, h2: {is: node, memory: 1 GiB}, h3: {is: node, memory: 5 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services:
  z: {on: p, placed: h2, takes: 1 GiB}
  x: {on: p, placed: h1, takes: 5 GiB}
  y: {on: p, placed: h1, takes: 4 GiB}
"""
    (room,) = Standing(lab_of(text)).support.rooms
    assert packed(room, frozenset([0])) == {2}
    assert packed(room, frozenset([0, 1])) == {1}


@given(small_rooms())
@settings(max_examples=40)
def test_the_oracle_answers_as_packing_does(room):
    """One column a scenario, whatever else is asked with it: true where a copy runs or finds room."""
    losses = list(subsets(room))
    stands = np.array([[n not in lost for lost in losses] for n in range(len(room.hosts))])
    answer = oracle(room)(stands)
    for column, lost in enumerate(losses):
        assert [not each for each in answer[:, column]] == [
            n in packed(room, lost) for n in range(len(room.copies))
        ]


@given(small_rooms())
@settings(max_examples=40)
def test_holes_are_what_running_copies_leave(room):
    """A host has left what it has, less what the copies on it take."""
    for host, left in enumerate(Packer(room).holes()):
        on = [n for n, each in enumerate(room.host_of) if each == host]
        for resource in range(4):
            assert left[resource] == room.free[host][resource] - sum(room.takes[n][resource] for n in on)


def verdicts(text, *lost):
    """What a loss does to each service, in words."""
    loss = lose(Standing(lab_of(f"falsework: 1\nlab: x\n{text}")), lost, thin=False)
    return {effect.service: effect.verdict.word for effect in loss.effects}


def test_copies_that_need_not_be_apart_may_share_a_host():
    """With `apart: not` two copies of one service fit on one host."""
    text = """
machines: {h1..2: {is: node, memory: 8 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, copies: 2, placed: [h1, h2], apart: WORD, serves: all, takes: 1 GiB}}
"""
    assert verdicts(text.replace("WORD", "not"), "h1") == {"s": "blinks"}
    assert verdicts(text.replace("WORD", "node"), "h1") == {"s": "falls"}


def test_who_makes_room_is_down():
    """A copy that is left out to make room falls, and the one that it makes room for comes back."""
    text = """
machines: {h1..2: {is: node, memory: 4 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services:
  big: {on: p, placed: h1, takes: 3 GiB}
  toy: {on: p, placed: h2, takes: 3 GiB, sheds: SHEDS}
"""
    assert verdicts(text.replace("SHEDS", "yes"), "h1") == {"big": "blinks", "toy": "falls"}
    assert verdicts(text.replace("SHEDS", "no"), "h1") == {"big": "falls", "toy": "stands"}


def test_memory_in_pieces_is_no_room():
    """Free memory of 90 GiB in pieces of 30 houses no copy of 40: whole copies are packed, not totals compared."""
    text = """
machines: {h1..4: {is: node, memory: 64 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services:
  small-1..3: {on: p, placed: h#, takes: 34 GiB}
  big: {on: p, placed: h4, takes: SIZE}
"""
    assert verdicts(text.replace("SIZE", "40 GiB"), "h4")["big"] == "falls"
    assert verdicts(text.replace("SIZE", "30 GiB"), "h4")["big"] == "blinks"


def test_the_checker_of_assignments_catches_what_is_unlawful():
    """The judge that the tests above trust refuses a host over its limit and two of a kind in one domain."""
    room = Room(
        pool="p",
        hosts=("a", "b"),
        free=((1.0, 1.0, 1.0, 0.0),) * 2,
        copies=("x", "y"),
        host_of=(0, 1),
        takes=((0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0)),
        apart=(0, 0),
        domain_of=((0, 1),) * 2,
        sheds=(False, False),
    )
    assert lawful(room, {0: 0, 1: 1}, {0})
    assert not lawful(room, {0: 1, 1: 1}, {0})


@given(choosy_rooms())
@settings(max_examples=100)
def test_copies_that_are_choosy_find_room_where_trying_everything_does(room):
    """With hosts that a copy may not be on, and pairs kept away, it is still who finds none in any assignment."""
    for lost in subsets(room):
        assert packed(room, lost) == homeless(room, lost)


@given(choosy_rooms())
@settings(max_examples=60)
def test_where_copies_settle_is_lawful(room):
    """The hosts that are named keep every limit and rule, and hold all but the homeless."""
    packer = settling.Packer(room)
    for lost in subsets(room):
        found = packer.settle(lost)
        where = {
            n: host
            for n, host in enumerate(room.host_of)
            if host not in lost and n not in found.homeless and n not in found.gave_way
        }
        for host_of in (found.host_of, packer.calm(found, lost)):
            whole = where | dict(host_of)
            assert lost.isdisjoint(whole.values())
            assert set(whole) == set(range(len(room.copies))) - found.homeless
            assert lawful(room, whole, set(host_of))


@given(choosy_rooms(), st.data())
@settings(max_examples=40)
def test_a_room_of_some_copies_is_the_room_without_the_others(room, data):
    """Leaving copies out of a room and not having them there at all is the same."""
    kept = sorted(data.draw(st.sets(st.integers(0, len(room.copies) - 1), min_size=1)))
    some = rooms.only(room, kept)
    for lost in subsets(room):
        assert packed(some, lost) == homeless(some, lost)


def test_what_does_not_move_takes_room_too():
    """A copy on the bare host takes its memory from those that restart there; so does one of another pool."""
    text = """
machines: {h1..2: {is: node, memory: 8 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}, q: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, takes: 4 GiB}, bare: {on: WHERE, takes: SIZE}}
"""
    on_host = text.replace("WHERE", "h2")
    assert verdicts(on_host.replace("SIZE", "4 GiB"), "h1")["s"] == "blinks"
    assert verdicts(on_host.replace("SIZE", "5 GiB"), "h1")["s"] == "falls"
    of_q = text.replace("WHERE", "q, placed: h2")
    assert verdicts(of_q.replace("SIZE", "5 GiB"), "h1")["s"] == "falls"


def test_a_copy_restarts_only_where_its_host_has_what_it_wants():
    """With the licence on two hosts of three, the loss of both leaves a host with room and no licence."""
    text = """
machines: {h1..2: {is: node, memory: 8 GiB, has: [licence]}, h3: {is: node, memory: 8 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, wants: licence, takes: 4 GiB}}
"""
    assert verdicts(text, "h1")["s"] == "blinks"
    assert verdicts(text, "h1", "h2")["s"] == "falls"


def test_a_copy_restarts_away_from_those_it_must_be_away_from():
    """The only host with room runs what it must be away from, on the pool or on the bare host."""
    text = """
machines: {h1..2: {is: node, memory: 8 GiB}}
pools: {p: {hosts: h*, keeps free: 0 GiB}}
services: {s: {on: p, placed: h1, away from: t, takes: 4 GiB}, t: {on: WHERE, takes: 1 GiB}}
"""
    assert verdicts(text.replace("WHERE", "p, placed: h2"), "h1")["s"] == "falls"
    assert verdicts(text.replace("WHERE", "h2"), "h1")["s"] == "falls"
    assert (
        verdicts(text.replace("WHERE", "p, placed: h2").replace("away from: t, ", ""), "h1")["s"] == "blinks"
    )
