"""Is the chain of a group what a slow and obvious one says, and what was published?"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal, localcontext
from math import comb, expm1, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm
from tests.engines.durability import naive

from falsework.engines.durability import formulas
from falsework.engines.durability.chain import durability, series
from falsework.engines.durability.group import Group, rebuild_s
from falsework.engines.durability.redundant import FOREVER, Alike
from falsework.errors import QuestionError
from falsework.units import YEAR_S

HOUR, DAY = 3600.0, 86_400.0


def plain(n, tolerated, *, rate, rebuild, **more):
    """N alike drives."""
    members = (Alike(count=n, rate=rate, size_bytes=rebuild * 1e6, bytes_per_s=1e6),)
    return Group(members=members, tolerated=tolerated, **more)


few = settings(max_examples=25, deadline=None)
rates = st.floats(0.05, 3).map(lambda yearly: yearly / YEAR_S)


@st.composite
def classes(draw, most=6):
    """One to three classes, at most so many drives."""
    left, found = most, []
    for _ in range(draw(st.integers(1, 3))):
        count = draw(st.integers(1, 3))
        if count > left:
            break
        left -= count
        found.append(
            Alike(
                count=count,
                rate=draw(rates),
                size_bytes=draw(st.sampled_from([1e12, 4e12])),
                bytes_per_s=draw(st.sampled_from([5e5, 3e6])),
                read_errors=draw(st.sampled_from([0.0, 1e-15, 1e-14])),
                batch=draw(st.sampled_from(["", "k7", "k9"])),
                in_common=draw(st.sampled_from([0.0, 0.1, 0.5])),
            )
        )
    return tuple(found)


@st.composite
def groups(draw, most=6):
    """Groups that lose data often enough for plain linear algebra."""
    members = draw(classes(most))
    n = sum(each.count for each in members)
    return Group(
        members=members,
        tolerated=draw(st.integers(0, min(n - 1, 3))),
        load_leaves=draw(st.sampled_from([0.3, 1.0])),
        reads_at_most=draw(st.sampled_from([2e6, FOREVER])),
        writes_at_most=draw(st.sampled_from([1e6, FOREVER])),
        at_once=draw(st.booleans()),
        begins_after_s=draw(st.sampled_from([0.0, DAY])),
        spares=draw(st.integers(0, 2)),
        spare_comes_s=draw(st.sampled_from([0.0, 20 * DAY, FOREVER])),
    )


@few
@given(groups(), st.booleans())
def test_it_is_what_one_who_names_every_drive_finds(group, reads):
    """Mean time, chance and exposed time are those of a dense solve over sets of named drives."""
    found = durability(group, reads=reads)
    mean, lost, exposed = naive.solve(group, YEAR_S, reads=reads)
    assert found.mean_s == pytest.approx(mean, rel=1e-7)
    assert found.lost == pytest.approx(lost, rel=1e-6, abs=1e-11)
    assert found.exposed_s == pytest.approx(exposed, rel=1e-6, abs=YEAR_S * 1e-11)


@pytest.mark.slow
def test_it_is_what_years_drawn_at_random_show():
    """The mean of 300 drawn times to loss lies within five standard errors, their share within five too."""
    members = (
        Alike(
            count=2,
            rate=1.0 / YEAR_S,
            size_bytes=4e12,
            bytes_per_s=5e6,
            read_errors=2e-15,
            batch="k7",
            in_common=0.1,
        ),
        Alike(count=2, rate=0.5 / YEAR_S, size_bytes=2e12, bytes_per_s=2e6, read_errors=1e-15),
    )
    group = Group(members=members, tolerated=2, at_once=False, spares=1, spare_comes_s=30 * DAY)
    drawn = np.array(naive.lives(group, 300, seed=7))
    found = durability(group)
    assert abs(drawn.mean() - found.mean_s) < 5 * drawn.std() / sqrt(len(drawn))
    share = (drawn < YEAR_S).mean()
    assert abs(share - found.lost) < 5 * sqrt(found.lost * (1 - found.lost) / len(drawn))


@pytest.mark.parametrize(("n", "hours"), [(2, 2.08348e10), (8, 7.44315e8)])
def test_e24_exact_mean_times(n, hours):
    """E24, standard: MTTF 1e6 h, rebuild 24 h, one tolerated; the closed form ((2n-1)L + M) / (n (n-1) L^2)."""
    rate, mend = 1e-6 / HOUR, 1 / (24 * HOUR)
    found = durability(plain(n, 1, rate=rate, rebuild=24 * HOUR)).mean_s
    assert found / HOUR == pytest.approx(hours, rel=1e-5)
    assert found == pytest.approx(((2 * n - 1) * rate + mend) / (n * (n - 1) * rate**2), rel=1e-12)
    short = formulas.array_mttdl(mttf=1e6, mttr=24, data=n - 1, group=n - 1, check=1)
    assert found / HOUR == pytest.approx(short, rel=1e-3)


def test_e27_pure_death():
    """E27, the manual of a queueing package, example ctmcmtta: five disks, too few below three, 0.01 each: 78.333."""
    group = plain(5, 2, rate=0.01, rebuild=1.0, spare_comes_s=FOREVER)
    assert durability(group, horizon_s=1.0).mean_s == pytest.approx(78.333, abs=1e-3)


def test_the_arrays_of_1988_exactly():
    """E01 to E04 again, as chains: the short formula of Patterson, Gibson, Katz (1988) holds to 0.5 %."""
    rate = 1 / 30_000 / HOUR
    for members, many, published in ((1, 100, 300), (2, 100, 4_500_000), (11, 10, 820_000)):
        group = plain(members, members > 1, rate=rate, rebuild=HOUR)
        assert series((group,) * many).mean_s / HOUR == pytest.approx(published, rel=5e-3)


@pytest.mark.parametrize("tolerated", [1, 2, 3])
def test_the_smallest_chances_keep_their_digits(tolerated):
    """Without repair the chance is a binomial tail, down to 1e-18; the chain has it to nine digits."""
    rate = 1e-5 / YEAR_S
    found = durability(plain(6, tolerated, rate=rate, rebuild=DAY, spare_comes_s=FOREVER)).lost
    p = -expm1(-1e-5)
    exact = sum(comb(6, k) * p**k * (1 - p) ** (6 - k) for k in range(tolerated + 1, 7))
    assert exact < 1e-8
    assert found == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("rebuild", [60.0, HOUR, DAY])
def test_a_pair_with_repair_keeps_its_digits(rebuild):
    """The chance of a pair in closed form, worked out to 60 digits, agrees to eight at 1e-12 and below."""
    yearly = 1e-5
    with localcontext() as context:
        context.prec = 60
        a, m, t = Decimal(yearly), Decimal(YEAR_S) / Decimal(rebuild), Decimal(1)
        root = ((3 * a + m) ** 2 - 8 * a * a).sqrt()
        fast, slow = (-(3 * a + m) - root) / 2, (-(3 * a + m) + root) / 2
        exact = 1 - (fast * (slow * t).exp() - slow * (fast * t).exp()) / (fast - slow)
    found = durability(plain(2, 1, rate=yearly / YEAR_S, rebuild=rebuild)).lost
    assert found < 1e-12
    assert found == pytest.approx(float(exact), rel=1e-8)


@few
@given(groups(most=5))
def test_what_is_told_hangs_together(group):
    """The ways add up to the whole, chances are chances, and nobody is exposed for longer than the year."""
    found = durability(group)
    assert found.alone + found.reading + found.together == pytest.approx(found.lost, rel=1e-9)
    assert 0 <= found.lost <= 1
    assert 0 <= found.exposed_s <= YEAR_S
    assert found.rebuild_s == (rebuild_s(group),)


@few
@given(groups(most=5))
def test_alike_is_alike(group):
    """Splitting a class into single drives changes nothing: members of a class can be told apart or not."""
    single = tuple(replace(each, count=1) for each in group.members for _ in range(each.count))
    one, many = durability(group), durability(replace(group, members=single))
    assert many.mean_s == pytest.approx(one.mean_s, rel=1e-9)
    assert many.lost == pytest.approx(one.lost, rel=1e-7)
    assert many.exposed_s == pytest.approx(one.exposed_s, rel=1e-7)


def no_better(worse, better):
    """One is never more durable than the other."""
    assert worse.lost >= better.lost * (1 - 1e-9)
    assert worse.mean_s <= better.mean_s * (1 + 1e-9)


@few
@given(groups())
def test_more_tolerance_is_never_worse(group):
    """Of the same drives, bearing one loss more."""
    if group.tolerated + 1 < group.count:
        # What the network lets through is set aside: a wider stripe reads less of it.
        group = replace(group, reads_at_most=FOREVER)
        no_better(durability(group), durability(replace(group, tolerated=group.tolerated + 1)))


@few
@given(groups(), st.floats(0.05, 0.9))
def test_what_is_slower_is_never_better(group, share):
    """Of alike drives: a slower rebuild, one at a time, a later start, a spare fewer, a spare that comes later.

    Not so of unlike ones, nor with read errors, where a rebuild that never ends never reads; nor where spares run out,
    for a spare that lies there does not wear.
    """
    members = (replace(group.members[0], count=group.count),)
    group = replace(group, members=members)

    def asked(**other):
        return durability(replace(group, **other), reads=False)

    if group.spares and group.spare_comes_s:
        no_better(asked(spares=group.spares - 1), asked())
    if group.spare_comes_s < FOREVER:
        no_better(asked(spare_comes_s=group.spare_comes_s * 2 + DAY), asked())
    group = replace(group, spare_comes_s=0.0)
    base = asked()
    no_better(asked(load_leaves=group.load_leaves * share), base)
    no_better(asked(begins_after_s=group.begins_after_s + 3 * DAY), base)
    no_better(asked(at_once=False), asked(at_once=True))


@few
@given(groups())
def test_read_errors_never_help(group):
    """Counting them never makes anything more durable."""
    no_better(durability(group), durability(group, reads=False))


def test_a_batch_that_is_more_than_can_be_borne():
    """Two of one batch in a mirror: the cause in common alone makes 1 - exp(-share x rate)."""
    drive = Alike(count=2, rate=0.03 / YEAR_S, size_bytes=1e9, bytes_per_s=1e9, batch="k7", in_common=0.1)
    found = durability(Group(members=(drive,), tolerated=1))
    assert found.together == pytest.approx(-expm1(-0.003), rel=1e-6)
    apart = replace(drive, count=1), replace(drive, count=1, batch="k9")
    assert durability(Group(members=apart, tolerated=1)).together == 0


def test_a_batch_over_all_groups_counts_once():
    """Four mirrors of one batch do not lose four times as often of the one cause."""
    drive = Alike(count=2, rate=0.03 / YEAR_S, size_bytes=1e9, bytes_per_s=1e9, batch="k7", in_common=0.1)
    found = series((Group(members=(drive,), tolerated=1),) * 4)
    assert found.together == pytest.approx(-expm1(-0.003), rel=1e-6)
    assert found.mean_s == pytest.approx(YEAR_S / 0.003, rel=1e-3)


@few
@given(groups(most=4), st.integers(1, 5))
def test_groups_in_series_without_batches(group, many):
    """The chances of groups that share nothing multiply."""
    group = replace(group, members=tuple(replace(each, batch="") for each in group.members))
    one, found = durability(group), series((group,) * many)
    assert found.lost == pytest.approx(1 - (1 - one.lost) ** many, rel=1e-6, abs=1e-12)
    assert found.mean_s == pytest.approx(one.mean_s / many)
    assert found.alone + found.reading + found.together == pytest.approx(found.lost)


def test_two_groups_in_series_as_one_chain():
    """A stripe of two mirrors against a dense chain of both together: chance exact, mean time to a thousandth."""
    rate, mend = 0.2 / YEAR_S, 2 * DAY
    group = plain(2, 1, rate=rate, rebuild=mend)
    # Both well, one weak, both weak, lost.
    a, b, m = 4 * rate, 2 * rate, 1 / mend
    q = np.array(
        [[-a, a, 0, 0], [m, -m - rate - b, b, rate], [0, 2 * m, -2 * m - 2 * rate, 2 * rate], [0, 0, 0, 0]]
    )
    mean = float(np.linalg.solve(-q[:3, :3], np.ones(3))[0])
    found = series((group, group))
    assert found.mean_s == pytest.approx(mean, rel=2e-3)
    assert found.lost == pytest.approx(expm(q * YEAR_S)[0, 3], rel=1e-6)


def test_what_never_fails_is_never_lost():
    """A rate of 0 gives an infinite mean time and no chance."""
    found = durability(plain(3, 1, rate=0.0, rebuild=DAY))
    assert (found.mean_s, found.lost, found.exposed_s) == (float("inf"), 0.0, 0.0)


def test_rebuild_time_is_the_slowest_of_what_it_needs():
    """4 TB at 100 MB/s under half load are 22.2 h; through a network of 50 MB/s three pieces take 66.7 h."""
    members = (Alike(count=4, rate=1e-9, size_bytes=4e12, bytes_per_s=100e6),)
    group = Group(members=members, tolerated=1, load_leaves=0.5)
    assert rebuild_s(group)[0] / HOUR == pytest.approx(22.22, abs=0.01)
    assert rebuild_s(replace(group, reads_at_most=50e6))[0] / HOUR == pytest.approx(66.67, abs=0.01)
    assert rebuild_s(replace(group, writes_at_most=20e6, begins_after_s=HOUR))[0] / HOUR == pytest.approx(
        56.56, abs=0.01
    )


@pytest.mark.parametrize(
    "wrong",
    [
        {"tolerated": 4},
        {"tolerated": 1, "load_leaves": 0.0},
        {"tolerated": 1, "load_leaves": 1.5},
        {"tolerated": 1, "reads_at_most": 0.0},
        {"tolerated": 1, "spare_comes_s": -1.0},
        {"tolerated": 1, "spare_comes_s": float("nan")},
    ],
)
def test_groups_that_cannot_be_are_refused(wrong):
    """Each with a word on how to mend it."""
    members = (Alike(count=4, rate=1e-9, size_bytes=4e12, bytes_per_s=100e6),)
    with pytest.raises(QuestionError, match="Give"):
        Group(members=members, **wrong)
