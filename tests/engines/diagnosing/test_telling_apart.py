"""The fewest questions that tell cases apart, against trying every choice of questions."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.diagnosing import telling_apart
from falsework.engines.diagnosing.telling_apart import tell_apart

CASES = (
    st.integers(2, 7)
    .flatmap(lambda n: st.lists(st.lists(st.booleans(), min_size=n, max_size=n), min_size=1, max_size=7))
    .map(lambda rows: np.array(rows, dtype=np.bool_))
)


def told(answers: np.ndarray, questions: list[int], wanted: np.ndarray) -> set[tuple[int, int]]:
    """The pairs that these questions tell apart, of those that are to be."""
    n = answers.shape[1]
    return {
        (one, other)
        for one, other in combinations(range(n), 2)
        if (wanted[other] if one == 0 else wanted[one] and wanted[other]) or one == 0
        if any(answers[question, one] != answers[question, other] for question in questions)
    }


@settings(deadline=None, max_examples=40)
@given(CASES, st.data())
def test_fewest_against_every_choice(answers: np.ndarray, data: st.DataObject) -> None:
    """What is chosen tells apart all that can be, and no choice of fewer questions does."""
    n_questions, n = answers.shape
    asked = data.draw(st.lists(st.integers(0, n_questions - 1), unique=True, max_size=2))
    wanted = np.array([False, *data.draw(st.lists(st.booleans(), min_size=n - 1, max_size=n - 1))])
    found = tell_apart(answers, [1] * n_questions, asked=asked, wanted=wanted)
    everything = told(answers, list(range(n_questions)), wanted)
    assert told(answers, [*asked, *found.chosen], wanted) == everything
    assert found.fewest
    for few in combinations(range(n_questions), max(len(found.chosen) - 1, 0)):
        if len(found.chosen):
            assert told(answers, [*asked, *few], wanted) != everything


@settings(deadline=None, max_examples=40)
@given(CASES, st.data())
def test_one_after_the_other_tells_as_much(answers: np.ndarray, data: st.DataObject) -> None:
    """Where there are too many pairs for the exact way, all that can be told apart is, and the bound holds."""
    n_questions, n = answers.shape
    wanted = np.array([False, *data.draw(st.lists(st.booleans(), min_size=n - 1, max_size=n - 1))])
    exact = tell_apart(answers, [1] * n_questions, asked=[], wanted=wanted)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(telling_apart, "MOST_PAIRS", -1)
        found = tell_apart(answers, [1] * n_questions, asked=[], wanted=wanted)
    everything = told(answers, list(range(n_questions)), wanted)
    assert told(answers, list(found.chosen), wanted) == everything
    if everything:
        assert found.least <= len(exact.chosen) <= len(found.chosen)
