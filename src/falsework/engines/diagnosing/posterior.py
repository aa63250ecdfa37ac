"""How likely is each state once some answers are known, and how much would another answer tell?

Answers are independent of each other given the state: a question whose thing stands is answered, but for false
alarms; one whose thing does not stand is not, but for misses.
Bayes' rule gives the posterior, Shannon's mutual information what a further question is worth: I = H(A) - H(A|S)
(C. E. Shannon 1948, A mathematical theory of communication, Bell System Technical Journal 27).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_AT_ONCE = 256
"""Questions whose entropy is worked out at once: it takes room for several numbers a state and question."""


def likelihoods(stands: Bools, yes: Bools, false_alarms: Floats, misses: Floats) -> Floats:
    """The chance of all answers in each state: (n_states,).

    Args:
        stands: bool (n_answers, n_states), whether what is asked about stands.
        yes: bool (n_answers,), whether it was answered.
        false_alarms: (n_answers,) chance of no answer though it stands.
        misses: (n_answers,) chance of an answer though it does not stand.
    """
    if_stands = np.where(yes, 1.0 - false_alarms, false_alarms)
    if_down = np.where(yes, misses, 1.0 - misses)
    each = np.where(stands, if_stands[:, np.newaxis], if_down[:, np.newaxis])
    return np.asarray(each.prod(axis=0), dtype=np.float64)


def entropy_bits(chances: Floats) -> float:
    """How much is unknown, bits; chances add up to 1."""
    some = chances[chances > 0.0]
    return float(-(some * np.log2(some)).sum())


def gains_bits(posterior: Floats, answers: Floats) -> Floats:
    """What each question would tell, bits: (n_questions,).

    Args:
        posterior: (n_states,) adds up to 1.
        answers: (n_questions, n_states) chance of a yes in each state.
    """
    yes = answers @ posterior
    left = [
        _binary(answers[begin : begin + _AT_ONCE]) @ posterior for begin in range(0, len(answers), _AT_ONCE)
    ]
    return np.asarray(np.maximum(_binary(yes) - np.concatenate([*left, []]), 0.0), dtype=np.float64)


def _binary(chance: Floats) -> Floats:
    """The entropy of a yes or no, bits."""
    inside = np.clip(chance, 0.0, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        bits = -(inside * np.log2(inside) + (1.0 - inside) * np.log2(1.0 - inside))
    return np.asarray(np.where((inside <= 0.0) | (inside >= 1.0), 0.0, bits), dtype=np.float64)
