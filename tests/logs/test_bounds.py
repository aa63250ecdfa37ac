"""Are clocks bounded as tightly as causes and effects allow, and never wrongly?"""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from falsework.logs.bounds import DRIFT, Tie, ahead


def bounds(ties, clocks, reference="a", moment=0, drift=0.0):
    """Bounds by clock."""
    return {each.clock: each for each in ahead(ties, clocks, reference, moment, drift=drift)}


def test_messages_both_ways_bound_a_clock():
    """By hand: b is 100 ahead; a message there takes 30, one back 20, so the bound is 80 to 130."""
    ties = [Tie("a", "b", 1_000, 1_130), Tie("b", "a", 2_100, 2_020)]
    found = bounds(ties, ["b"])["b"]
    assert (found.low_us, found.high_us) == (80, 130)
    assert (found.best_us, found.within_us) == (105, 25)


def test_a_third_clock_is_reached_over_the_second():
    """A and b, b and c have messages both ways; a and c have none."""
    ties = [
        *(Tie("a", "b", 0, 10), Tie("b", "a", 0, 10)),
        *(Tie("b", "c", 0, 57), Tie("c", "b", 0, -43)),
    ]
    found = bounds(ties, ["c"])["c"]
    assert (found.low_us, found.high_us) == (43 - 10, 57 + 10)


def test_one_way_gives_one_bound_and_no_tie_none():
    """The bound that there is counts as the best guess; without any it is 0, and nobody knows how good that is."""
    found = bounds([Tie("b", "a", 5_000, 100)], ["b", "z"])
    assert (found["b"].low_us, found["b"].high_us, found["b"].best_us) == (4_900, math.inf, 4_900)
    assert (found["z"].best_us, found["z"].within_us) == (0, math.inf)
    assert (found["a"].low_us, found["a"].high_us) == (0, 0)


def test_ties_that_contradict_each_other_are_told_and_not_used():
    """B after a by 50 and a after b by 60 more than there is: a cause would come after its effect."""
    ties = [Tie("a", "b", 0, -50), Tie("b", "a", 0, 40), Tie("a", "c", 0, 5), Tie("c", "a", 0, 5)]
    found = bounds(ties, ["b", "c"])
    assert found["b"].clash
    assert found["b"].within_us == math.inf
    assert (found["c"].low_us, found["c"].high_us, found["c"].clash) == (-5, 5, False)


def test_where_all_contradicts_all_nothing_is_used(monkeypatch):
    """Above a bound contradictions are not taken out one by one."""
    monkeypatch.setattr("falsework.logs.bounds.MOST_CIRCLES", 3)
    ties = [Tie(a, b, 0, -50) for a in "abcdefgh" for b in "abcdefgh" if a != b]
    found = bounds(ties, "abcdefgh")
    assert all(each.clash for each in found.values())
    assert found["b"].within_us == math.inf


def test_what_lies_far_back_binds_less():
    """An hour from the moment two clocks may have drifted apart by twice a ten-thousandth of it."""
    hour = 3_600_000_000
    ties = [Tie("a", "b", -hour, -hour), Tie("b", "a", -hour, -hour)]
    found = bounds(ties, ["b"], drift=DRIFT)["b"]
    assert found.high_us == pytest.approx(2 * DRIFT * hour, rel=1e-3)
    assert found.high_us >= 2 * DRIFT * hour


@st.composite
def worlds(draw):
    """True offsets and drifts of a few clocks, and messages between them that take some time."""
    names = "abcde"[: draw(st.integers(2, 5))]
    offset = {name: draw(st.integers(-5_000_000, 5_000_000)) for name in names}
    drift = {name: draw(st.floats(-0.9e-4, 0.9e-4)) for name in names}
    offset["a"], drift["a"] = 0, 0.0
    ties = []
    for _ in range(draw(st.integers(0, 25))):
        one, other = draw(st.permutations(names))[:2]
        at = draw(st.integers(-3_600_000_000, 3_600_000_000))
        later = at + draw(st.integers(0, 200_000))
        ties.append(
            Tie(
                one,
                other,
                math.floor(at + offset[one] + drift[one] * at),
                math.ceil(later + offset[other] + drift[other] * later),
            )
        )
    return names, offset, ties


@given(world=worlds())
@settings(max_examples=50, deadline=None)
def test_the_truth_lies_within_the_bounds(world):
    """Whatever offsets and drifts there are, and however long messages take, no clock is outside what is said of it."""
    names, offset, ties = world
    found = bounds(ties, names, drift=DRIFT)
    for name in names:
        assert not found[name].clash
        assert found[name].low_us <= offset[name] <= found[name].high_us
    assert found["a"].best_us == 0


@pytest.mark.slow
@given(world=worlds())
@settings(max_examples=25, deadline=None)
def test_no_tighter_bound_follows_from_the_ties(world):
    """Against a linear program over all offsets at once; drift left out of both, so that the ties are the whole of it."""
    names, _, _ = world
    ties = [tie for tie in world[2] if abs(tie.cause_us) < 10_000_000_000]
    found = bounds(ties, names, drift=0.0)
    assume(not any(each.clash for each in found.values()))  # without drift allowed, ties may contradict
    place = {name: number for number, name in enumerate(names)}
    rows, limits = [], []
    for tie in ties:
        row = [0.0] * len(names)
        row[place[tie.effect]] += 1
        row[place[tie.cause]] -= 1
        rows.append(row)
        limits.append((tie.effect_us - tie.cause_us) / 1e6)
    for name in names[1:]:
        for sign, bound in ((-1, found[name].high_us), (1, found[name].low_us)):
            cost = [0.0] * len(names)
            cost[place[name]] = sign
            solved = linprog(
                cost,
                A_ub=rows or None,
                b_ub=limits or None,
                bounds=[(0, 0) if each == "a" else (None, None) for each in names],
            )
            if math.isinf(bound):
                assert solved.status == 3
            else:
                assert solved.fun * sign == pytest.approx(bound / 1e6, abs=1e-6)


@given(world=worlds())
@settings(max_examples=25, deadline=None)
def test_clocks_set_right_by_the_middles_contradict_no_tie(world):
    """With the middle of each bounded clock taken off, every cause comes before its effect, drift allowed for."""
    names, _, ties = world
    found = bounds(ties, names, drift=DRIFT)
    for tie in ties:
        one, other = found[tie.cause], found[tie.effect]
        if math.isfinite(one.within_us) and math.isfinite(other.within_us):
            far = max(abs(tie.cause_us), abs(tie.effect_us)) + 2e7
            left = (tie.effect_us - other.best_us) - (tie.cause_us - one.best_us)
            assert left >= -2 * DRIFT * far - 2
