"""Are rooms in pieces seen in other guises, and rooms that only look so let pass?"""

from __future__ import annotations

from pathlib import Path

import pytest

from falsework.analyses.room import room_left
from falsework.analyses.verdicts import Verdict, lose
from falsework.model.build import load
from falsework.support.standing import Standing

LABS = Path(__file__).parents[2] / "labs" / "room"
GIB = float(1 << 30)


def lab(name):
    """One of the labs, ready for questions."""
    return Standing(load(LABS / f"{name}.yaml"))


def after(name, lost):
    """The one pool after a loss, if that takes a host, and the verdicts on what is on it."""
    standing = lab(name)
    (found,) = room_left(standing, lose=(lost,)).after
    (pool,) = found.pools
    return pool, {each.service: each.verdict for each in lose(standing, (lost,), thin=False).effects}


@pytest.mark.parametrize(
    ("name", "lost", "service", "reason", "resource", "missing"),
    [
        ("pieces", "k4", "small-4", "pieces", 1, 1 * GIB),
        ("cores", "m1", "busy-1", "pieces", 0, 1),
        ("deeper", "bar-1", "job-3", "pieces", 1, 2 * GIB),
    ],
)
def test_a_room_in_pieces_is_caught(name, lost, service, reason, resource, missing):
    """In memory, in cores, and behind a strip: who finds no room is named with how much, and falls."""
    pool, verdicts = after(name, lost)
    (homeless,) = pool.homeless
    assert (homeless.service, homeless.reason) == (service, reason)
    assert homeless.missing[resource] == missing
    assert homeless.free[resource] >= homeless.takes[resource]
    assert verdicts[service] is Verdict.FALLS
    assert not room_left(lab(name)).fits


@pytest.mark.parametrize(
    ("name", "lost", "restarts", "left_out"),
    [
        ("clever", "p3", {"six-1.1": "p1", "six-2.1": "p1", "five-1.1": "p2", "five-2.1": "p2"}, ()),
        ("shed", "q2", {"mail.1": "q1"}, ("games.1",)),
        ("apart", "box-1", {"mail.1": "box-3.b"}, ()),
        ("deeper", "box-1.b", {"job-2.1": "box-2.a"}, None),
    ],
)
def test_what_only_looks_like_it_is_let_pass(name, lost, restarts, left_out):
    """It fits when packed well, when something is left out, or beside nothing that it must be apart from."""
    pool, verdicts = after(name, lost)
    assert pool.homeless == ()
    assert {each.copy for each in pool.restarts} == set(restarts)
    if left_out is not None:
        assert {each.copy: each.end for each in pool.restarts} == restarts
        assert pool.left_out == left_out
    for copy in restarts:
        assert verdicts[copy.rpartition(".")[0]] <= Verdict.BLINKS


@pytest.mark.parametrize(
    ("name", "heals", "reason"),
    [("heal", True, ""), ("no-heal", False, "domains"), ("full-heal", False, "room")],
)
def test_a_store_that_cannot_heal_is_no_failure(name, heals, reason):
    """Four hosts with three copies heal, three survive and cannot, and where it is too full nothing heals; all fits."""
    found = room_left(lab(name))
    (store,) = found.stores
    assert {(each.survives, each.heals, each.reason) for each in store.heals} == {(True, heals, reason)}
    assert found.fits
