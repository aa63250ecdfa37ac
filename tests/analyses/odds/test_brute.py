"""Are chance, frequency and importance of random small labs what adding up every state gives?"""

from __future__ import annotations

import math
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.strategies import lab_data, lab_of, text_of

from falsework.analyses.odds import solved as solving
from falsework.analyses.odds.cuts import cut_sets
from falsework.analyses.odds.odds import odds
from falsework.analyses.odds.result import MINUTES
from falsework.analyses.odds.solved import solved, stopping
from falsework.analyses.odds.sources import sources
from falsework.engines.diagrams.limits import Limits
from falsework.engines.evaluate import Evaluator
from falsework.errors import LabError
from falsework.model.build import load
from falsework.support.aging import standing_again
from falsework.support.lives import lives, numbered, shared_causes
from falsework.support.standing import Standing
from falsework.units import YEAR_S

MOST_STATES = 20_000
ROOT = Path(__file__).parents[3]


@st.composite
def labs(draw):
    """Random labs of up to 14 parts, some of whose parts share a batch, with rates high enough to see."""
    data = draw(lab_data())
    machines = list(data["machines"].values())
    for machine in machines:
        machine["fails"] = draw(st.sampled_from(["2 /year", "50 %/year", "5..20 %/year"]))
        machine["mends in"] = draw(st.sampled_from(["20 s", "2 days", "1..70 h"]))
        if draw(st.integers(0, 2)) == 0:
            machine |= {"batch": "k1", "with others": "30 %"}
    try:
        return lab_of(text_of(data))
    except LabError:
        assume(False)


def added_up(aged, parts, of_part, found, number):
    """Chance and yearly frequency of kept gate `number` being false, and the chance given each source out and up.

    Every source is up, or out since so long: its states lie between the ages at which it counts. The chance of a
    state is a difference of chances to be out for so long; it is left upwards at the rate at which the next age
    is reached, over its chance.
    """
    ages = [set() for _ in found.sources]
    for leaf, age in zip(aged.leaf.tolist(), aged.age.tolist(), strict=True):
        for source in of_part[parts[leaf]]:
            ages[source] |= {0.0, age}
    ages = [sorted(each) for each in ages]
    assume(math.prod(len(each) + 1 for each in ages) <= MOST_STATES)
    reach, often = [], []
    for source, some in zip(found.sources, ages, strict=True):
        cycle = YEAR_S / source.per_year[0] + source.outages.whole[0]
        reach.append([1.0, *(source.outages.beyond(age)[0] / cycle for age in some), 0.0])
        often.append([source.outages.longer(age)[0] * YEAR_S / cycle for age in some])
    states = list(product(*(range(len(each) + 1) for each in ages)))
    failed = [
        [
            row
            for row, (leaf, age) in enumerate(zip(aged.leaf.tolist(), aged.age.tolist(), strict=True))
            if any(state[source] > ages[source].index(age) for source in of_part[parts[leaf]])
        ]
        for state in states
    ]
    down = dict(zip(states, ~Evaluator(aged.graph).stands(failed)[number], strict=True))
    chance, per_year = 0.0, 0.0
    given_out, given_up = np.zeros(len(ages)), np.zeros(len(ages))
    for state in states:
        each = [reach[source][k] - reach[source][k + 1] for source, k in enumerate(state)]
        p = math.prod(each)
        if down[state]:
            chance += p
            for source, k in enumerate(state):
                (given_out if k else given_up)[source] += p
            continue
        for source, k in enumerate(state):
            after = (*state[:source], k + 1, *state[source + 1 :])
            if k < len(ages[source]) and down[after] and each[source] > 0:
                per_year += p / each[source] * often[source][k]
    smallest = {
        frozenset((source, ages[source][k - 1]) for source, k in enumerate(state) if k)
        for state in states
        if down[state]
        and not any(
            down[(*state[:source], k - 1, *state[source + 1 :])] for source, k in enumerate(state) if k
        )
    }
    q = np.array([each[1] if len(each) > 2 else 0.0 for each in reach])
    with np.errstate(divide="ignore", invalid="ignore"):
        out, up = np.where(q > 0, given_out / q, 0.0), np.where(q < 1, given_up / (1 - q), 0.0)
    return chance, per_year, out, up, smallest


def told_sets(found, solved, smallest, chance):
    """Every cut set is listed once, likeliest first, and counted; one listed alone leaves the right rest."""
    name = {source.name: number for number, source in enumerate(found.sources)}
    told = cut_sets(found, solved, listed=10**6)
    if smallest == {frozenset()}:  # out already
        assert (told.total, told.listed) == (0, ())
        return
    listed = [frozenset((name[out.name], out.age_s) for out in each.out) for each in told.listed]
    assert len(set(listed)) == len(listed)
    likely = {
        some
        for some in smallest
        if all(found.sources[source].outages.beyond(age)[0] > 0 for source, age in some)
    }
    assert set(listed) == likely
    assert told.total == len(smallest)
    for order, count in enumerate(told.by_order, 1):
        assert count == sum(1 for some in smallest if len(some) == order)
    chances = [each.chance for each in told.listed]
    assert all(one >= other * (1 - 1e-9) for one, other in pairwise(chances))
    assert told.rest == pytest.approx(0.0, abs=1e-12)
    if chances:
        first = cut_sets(found, solved, listed=1)
        assert first.rest == pytest.approx(chance - chances[0], rel=1e-9, abs=1e-12)


@settings(deadline=None, max_examples=40)
@given(labs(), st.booleans())
@pytest.mark.slow
def test_every_figure_of_a_small_lab_is_what_all_its_states_add_up_to(lab, one_out):
    """Chance, frequency, Birnbaum importance and the others, of every service, against the sum over all states.

    In some labs one part is out beforehand.
    """
    standing = Standing(lab)
    if one_out and standing.parts:
        standing = Standing(lab, out=standing.parts[:1])
    services = standing.support.services
    assume(services)
    found = sources(lab, lives(standing), draws=0, seed=1)
    aged = standing_again(standing.support, services, out=standing.out)
    of_part = numbered(standing.parts, shared_causes(lab, standing.parts))
    told = odds(standing)
    for number, each in enumerate(solved(stopping(standing, services), found)):
        chance, per_year, out, up, smallest = added_up(aged, standing.parts, of_part, found, number)
        assert each.figures.chance[0] == pytest.approx(chance, rel=1e-9, abs=1e-15)
        assert each.lower == each.upper
        assert each.figures.per_year == pytest.approx(per_year, rel=1e-6, abs=1e-9)
        counts = [source for source, ages in enumerate(each.stopped.chains.ages) if ages]
        assert each.figures.birnbaum[counts] == pytest.approx((out - up)[counts], rel=1e-6, abs=1e-9)
        told_sets(found, each, smallest, chance)
        of = told.of(each.service)
        assert of.out.best == pytest.approx(chance * MINUTES, rel=1e-9, abs=1e-9)
        by_name = {weight.name: weight for weight in of.weights}
        for source in counts:
            weight = by_name.get(found.sources[source].name)
            if weight is None or chance < 1e-12:
                continue
            q = each.figures.down[source]
            assert weight.achievement == pytest.approx(out[source] / chance, rel=1e-6)
            assert weight.fussell_vesely == pytest.approx(q * out[source] / chance, rel=1e-6)
            assert weight.criticality == pytest.approx((out - up)[source] * q / chance, rel=1e-5, abs=1e-9)
            if up[source] > 1e-9 * chance:
                assert weight.reduction == pytest.approx(chance / up[source], rel=1e-5)


@settings(deadline=None, max_examples=25)
@given(labs(), st.sampled_from([(3,), (2,), (1,), ()]))
def test_bounds_of_a_service_hold_what_is_exact(lab, few):
    """With so many sources out at a time looked at, or one by enumeration, the exact chance lies between."""
    standing = Standing(lab)
    services = standing.support.services
    assume(services)
    found = sources(lab, lives(standing), draws=0, seed=1)
    exact = [each.upper for each in solved(stopping(standing, services), found)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solving, "FEW", few)
        bounded = [solving._bounded(standing, service, Limits(nodes=1 << 16)) for service in services]
    assert all(each.beyond is not None for each in bounded)
    for chance, each in zip(exact, solved(bounded, found), strict=True):
        assert each.lower <= chance * (1 + 1e-9) + 1e-15
        assert chance <= each.upper * (1 + 1e-9) + 1e-15


def test_services_are_parted_until_they_fit():
    """A lab whose services fit one diagram only alone gives the same figures as with room for all."""
    lab = load(ROOT / "examples" / "kitchen-shelf.yaml")
    standing = Standing(lab)
    found = sources(lab, lives(standing), draws=0, seed=1)
    services = standing.support.services
    whole = [(each.service, each.lower, each.upper) for each in solved(stopping(standing, services), found)]
    parted = list(solved(stopping(standing, services, nodes=1 << 13), found))
    assert [each.service for each in parted] == [service for service, _, _ in whole]
    for each, (_, low, high) in zip(parted, whole, strict=True):
        assert each.lower <= low * (1 + 1e-9)
        assert high <= each.upper * (1 + 1e-9)
