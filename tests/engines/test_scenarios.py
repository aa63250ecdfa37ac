"""Are scenarios packed and unpacked as promised?"""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.scenarios import ONES, fail, failures_of, leaf_words, n_words, pack, singles, unpack


@given(st.integers(0, 4), st.integers(0, 200), st.integers(0, 2**32 - 1))
@settings(deadline=None)
def test_packing_and_back(n_rows: int, n_scenarios: int, seed: int) -> None:
    """Unpacking undoes packing for any shape; scenario j is bit j % 64 of word j // 64."""
    values = np.random.default_rng(seed).random((n_rows, n_scenarios)) < 0.5
    words = pack(values)
    assert words.shape == (n_rows, n_words(n_scenarios))
    np.testing.assert_array_equal(unpack(words, n_scenarios), values)
    for row, column in zip(*values.nonzero(), strict=True):
        assert int(words[row, column // 64]) >> (int(column) % 64) & 1


@given(st.lists(st.frozensets(st.integers(0, 8)), max_size=150))
@settings(deadline=None)
def test_leaf_words_show_who_fails(listed: list[frozenset[int]]) -> None:
    """A leaf's bit is false just in the scenarios that name it, and true past the last."""
    words = leaf_words(failures_of(listed), 9)
    expected = [[leaf not in failed for failed in listed] for leaf in range(9)]
    np.testing.assert_array_equal(unpack(words, len(listed)), np.array(expected).reshape(9, len(listed)))
    beyond = unpack(words, words.shape[1] * 64)[:, len(listed) :]
    assert beyond.all()


def test_a_window_of_words_shows_its_scenarios_only() -> None:
    """Failing from word 1 on clears the bits of scenarios 64 to 127 and names the rows touched."""
    rows = np.full((200, 1), ONES)
    assert fail(singles(200), rows, 1).tolist() == list(range(64, 128))
    expected = np.ones((200, 64), dtype=bool)
    expected[np.arange(64, 128), np.arange(64)] = False
    np.testing.assert_array_equal(unpack(rows, 64), expected)


def test_a_leaf_named_twice_fails_once() -> None:
    """Repeats in one scenario do no harm."""
    assert unpack(leaf_words(failures_of([(1, 1)]), 2), 1).tolist() == [[True], [False]]


def test_singles_fail_one_each() -> None:
    """Scenario j fails leaf j."""
    failures = singles(3)
    assert len(failures) == 3
    assert unpack(leaf_words(failures, 3), 3).tolist() == (~np.eye(3, dtype=bool)).tolist()
