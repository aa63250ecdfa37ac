"""Does a pool do what can be worked out by hand, and never better than the same with less?"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import expm1

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.durability import naive

from falsework.engines.durability.chain import durability
from falsework.engines.durability.group import Group
from falsework.engines.durability.pools import Pool, fatal_chance, pool_durability, pool_rebuild_s
from falsework.engines.durability.redundant import FOREVER, Alike
from falsework.errors import QuestionError
from falsework.units import YEAR_S

HOUR, DAY = 3600.0, 86_400.0
few = settings(max_examples=25, deadline=None)


def drive(count, *, yearly=0.5, **more):
    """Alike drives that fail often."""
    said = {"rate": yearly / YEAR_S, "size_bytes": 4e12, "bytes_per_s": 20e6} | more
    return Alike(count=count, **said)


def test_two_drives_with_two_copies_are_a_mirror():
    """A pool of two is a mirror whose drives share one speed between reading and writing."""
    pool = Pool(members=(drive(2, bytes_per_s=40e6, read_errors=1e-15),), pieces=1, tolerated=1)
    pair = Group(members=(drive(2, bytes_per_s=20e6, read_errors=1e-15),), tolerated=1)
    one, other = pool_durability(pool), durability(pair)
    assert one.rebuild_s == other.rebuild_s
    assert one.lost == pytest.approx(other.lost)
    assert one.mean_s == pytest.approx(other.mean_s)
    assert one.reading == pytest.approx(other.reading)


def test_rebuilding_is_faster_the_more_drives_there_are():
    """By hand: 4 TB of 3 copies, 11 others at 100 MB/s of which half is left: 8 TB of work at 550 MB/s."""
    pool = Pool(
        members=(drive(12, bytes_per_s=100e6),), pieces=1, tolerated=2, load_leaves=0.5, begins_after_s=600
    )
    assert pool_rebuild_s(pool) == pytest.approx((600 + 8e12 / 550e6,))
    # 4+2 pieces: four bytes are read for each that is written.
    assert pool_rebuild_s(replace(pool, pieces=4)) == pytest.approx((600 + 20e12 / 550e6,))
    assert pool_rebuild_s(replace(pool, reads_at_most=100e6)) == pytest.approx((600 + 4e12 / 100e6,))


def test_drives_that_share_a_domain_do_not_lose_together():
    """Two copies over three nodes of two drives, by hand: of six, the next to matter is one of four."""
    rate, members = 0.5 / YEAR_S, (drive(6),)
    pool = Pool(members=members, pieces=1, tolerated=1, apart=((2,), (2,), (2,)))
    mend = 1 / pool_rebuild_s(pool)[0]
    q = np.array([[-6 * rate, 6 * rate], [mend, -mend - 4 * rate]])
    assert pool_durability(pool).mean_s == pytest.approx(float(np.linalg.solve(-q, np.ones(2))[0]))


@pytest.mark.parametrize("tolerated", [1, 2])
def test_it_is_what_one_who_names_every_drive_finds(tolerated):
    """Each drive apart from all others: mixed drives, exactly as a dense solve over sets of named ones."""
    members = drive(3), drive(2, yearly=1.5, bytes_per_s=60e6, size_bytes=1e12)
    pool = Pool(members=members, pieces=1, tolerated=tolerated, load_leaves=0.5, begins_after_s=HOUR)
    assert pool_durability(pool).mean_s == pytest.approx(naive.pool_mean(pool), rel=1e-9)


@pytest.mark.parametrize(
    ("members", "apart", "pieces", "tolerated"),
    [
        ((drive(6),), ((2,), (2,), (2,)), 1, 1),
        ((drive(12),), ((3,),) * 4, 1, 2),
        ((drive(4, yearly=0.2), drive(4, yearly=1.0, size_bytes=1e12)), ((1, 1),) * 4, 2, 1),
    ],
)
def test_what_it_forgets_of_a_second_failure_beside_the_first_is_little(members, apart, pieces, tolerated):
    """Two out in one domain prolong its gap, which the chain does not count: half a percent where drives hardly last."""
    pool = Pool(members=members, pieces=pieces, tolerated=tolerated, apart=apart)
    assert pool_durability(pool).mean_s == pytest.approx(naive.pool_mean(pool), rel=5e-3)


def test_the_chance_that_some_datum_lies_on_given_drives():
    """Counted out: of the ten sets of three among five drives, one holds three given ones, and one draw is made."""
    pool = Pool(members=(drive(5),), pieces=1, tolerated=2, placements=1)
    holding = [set(each) == {0, 1, 2} for each in combinations(range(5), 3)]
    assert fatal_chance(pool) == pytest.approx(sum(holding) / len(holding))
    assert fatal_chance(replace(pool, placements=2)) == pytest.approx(1 - 0.9**2)
    assert fatal_chance(replace(pool, placements=None)) == 1


def test_the_same_with_domains():
    """Counted out: two copies in two of three nodes with two drives each: 12 pairs, one draw."""
    pool = Pool(members=(drive(6),), pieces=1, tolerated=1, placements=1, apart=((2,), (2,), (2,)))
    pairs = [pair for pair in combinations(range(6), 2) if pair[0] // 2 != pair[1] // 2]
    assert fatal_chance(pool) == pytest.approx(1 / len(pairs))


def test_only_what_has_nothing_to_spare_is_read_without_anything_to_spare():
    """By hand: of 3 copies on 6 drives 4 TB each, 4 TB x 2/5 have copies on two given ones; 1e-13 a bit."""
    pool = Pool(members=(drive(6, yearly=0.01, read_errors=1e-13, bytes_per_s=1e12),), pieces=1, tolerated=2)
    found = pool_durability(pool)
    chance = -expm1(-8 * 4e12 * 2 / 5 * 1e-13)
    exits = found.reading + found.alone
    # Rebuilds are so fast that of every time with nothing to spare only reading can end badly.
    assert found.reading == pytest.approx(exits, rel=1e-3)
    never = pool_durability(replace(pool, members=(drive(6, yearly=0.01, bytes_per_s=1e12),)))
    mend = 2 / pool_rebuild_s(pool)[0] / 2  # two at once share the speed
    visits = never.exposed_s * mend
    assert found.reading == pytest.approx(visits * chance, rel=0.3)


def test_a_batch_counts_by_the_domains_it_touches():
    """A batch in one node takes one domain; over three nodes it takes more than two copies bear."""
    k7, other = drive(2, batch="k7", in_common=0.1), drive(4)
    within = Pool(members=(k7, other), pieces=1, tolerated=1, apart=((2, 0), (0, 2), (0, 2)))
    assert pool_durability(within).together < 0.01
    across = Pool(members=(k7, other), pieces=1, tolerated=1, apart=((1, 1), (1, 1), (0, 2)))
    assert pool_durability(across).together == pytest.approx(-expm1(-0.05), rel=0.02)


@st.composite
def pools(draw):
    """Small pools, some with domains."""
    per, domains = draw(st.integers(1, 3)), draw(st.integers(3, 5))
    pieces = draw(st.integers(1, 2))
    return Pool(
        members=(drive(per * domains, yearly=draw(st.floats(0.01, 3)), read_errors=1e-15),),
        pieces=pieces,
        tolerated=draw(st.integers(0, domains - pieces - 1)),
        apart=((per,),) * domains if draw(st.booleans()) else (),
        placements=draw(st.sampled_from([None, 1, 50])),
        spares=draw(st.integers(0, 2)),
        spare_comes_s=draw(st.sampled_from([0.0, 9 * DAY, FOREVER])),
    )


@few
@given(pools())
def test_less_is_never_better(pool):
    """More sets in use, less room to rebuild into, a slower rebuild, drives that lie apart alone."""
    base = pool_durability(pool, reads=False)
    assert base.alone + base.reading + base.together == pytest.approx(base.lost)

    def worse(**other):
        found = pool_durability(replace(pool, **other), reads=False)
        assert found.lost >= base.lost * (1 - 1e-9)
        assert found.mean_s <= base.mean_s * (1 + 1e-9)

    worse(placements=None)
    if not pool.spare_comes_s:  # where room runs out, a rebuild that is later leaves it longer
        worse(load_leaves=0.3)
    if pool.spares and pool.spare_comes_s:
        worse(spares=0)
    if pool.placements is None:
        worse(apart=())
    assert pool_durability(pool).lost >= base.lost * (1 - 1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        {"pieces": 4, "tolerated": 2},
        {"pieces": 0, "tolerated": 1},
        {"pieces": 1, "tolerated": 1, "apart": ((2,), (2,))},
        {"pieces": 1, "tolerated": 1, "placements": 0},
        {"pieces": 1, "tolerated": 1, "load_leaves": 0.0},
        {"pieces": 1, "tolerated": 1, "spare_comes_s": float("nan")},
    ],
)
def test_pools_that_cannot_be_are_refused(wrong):
    """Each with a word on how to mend it."""
    with pytest.raises(QuestionError, match="Give"):
        Pool(members=(drive(5),), **wrong)
