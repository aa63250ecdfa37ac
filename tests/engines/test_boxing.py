"""Do groups of losses leave out no pair that matters?"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.systems import weighted

from falsework.engines.boxing import unsettled
from falsework.engines.gates import BoolArray


@st.composite
def boxes(draw: st.DrawFn) -> tuple[list[tuple[tuple[int, ...], int]], BoolArray]:
    """Up to three weights and bounds, one for each output, and what the box reads under up to 40 losses."""
    n_inputs = draw(st.integers(1, 6))
    weights = st.tuples(*[st.integers(0, 4)] * n_inputs)
    rules = draw(st.lists(st.tuples(weights, st.integers(0, 12)), min_size=1, max_size=3))
    lost = draw(
        st.lists(st.lists(st.booleans(), min_size=n_inputs, max_size=n_inputs), min_size=1, max_size=40)
    )
    return rules, np.array(lost, dtype=np.bool_).T


@given(boxes())
def test_every_pair_that_matters_is_there(
    made: tuple[list[tuple[tuple[int, ...], int]], BoolArray],
) -> None:
    """Of each pair left out, the box's answer is the `and` of its two answers; each pair comes once."""
    rules, given_ = made

    def answer(asked: BoolArray) -> BoolArray:
        return np.concatenate([weighted(weights, bound)(asked) for weights, bound in rules])

    x, y = unsettled(answer, given_)
    listed = list(zip(x.tolist(), y.tolist(), strict=True))
    assert len(set(listed)) == len(listed)
    assert (x <= y).all()
    alone = answer(given_)
    for a, b in set(combinations(range(given_.shape[1]), 2)) - set(listed):
        together = answer((given_[:, a] & given_[:, b])[:, np.newaxis])[:, 0]
        assert together.tolist() == (alone[:, a] & alone[:, b]).tolist()
