"""Which numbers may a formula be given?"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from falsework.errors import QuestionError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_LARGEST_COUNT = 2**53  # from here on a float can't tell one count from the next


def positive(name: str, values: ArrayLike) -> FloatArray:
    """The values as an array, all finite and more than 0.

    Raises:
        QuestionError: one of them is not.
    """
    array = _numbers(name, values)
    _refuse(name, array, ~(np.isfinite(array) & (array > 0)), "must be a finite number above 0")
    return array


def not_negative(name: str, values: ArrayLike) -> FloatArray:
    """The values as an array, all finite and 0 or more.

    Raises:
        QuestionError: one of them is not.
    """
    array = _numbers(name, values)
    _refuse(name, array, ~(np.isfinite(array) & (array >= 0)), "must be a finite number, 0 or more")
    return array


def chance(name: str, values: ArrayLike) -> FloatArray:
    """The values as an array, all from 0 to 1.

    Raises:
        QuestionError: one of them is not.
    """
    array = _numbers(name, values)
    _refuse(name, array, ~((array >= 0) & (array <= 1)), "must lie from 0 to 1")
    return array


def inner_chance(name: str, values: ArrayLike) -> FloatArray:
    """The values as an array, all strictly between 0 and 1.

    Raises:
        QuestionError: one of them is not.
    """
    array = _numbers(name, values)
    _refuse(name, array, ~((array > 0) & (array < 1)), "must lie between 0 and 1, neither of them")
    return array


def count(name: str, values: ArrayLike, *, least: int = 0) -> IntArray:
    """The values as an array of whole numbers, all at least `least`.

    Raises:
        QuestionError: one of them is not.
    """
    array = _numbers(name, values)
    wrong = ~((array >= least) & (array < _LARGEST_COUNT) & (array == np.floor(array)))
    _refuse(name, array, wrong, f"must be a whole number, {least} or more")
    return array.astype(np.int64)


def repaired_within_life(mtbf: ArrayLike, mttr: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """A mean time up and a mean time to repair that may stand beside each other.

    The formulas would take a repair that is longer than the life before it.
    It is refused because nearly always the two were swapped or given in different units.

    Raises:
        QuestionError: a life is not above 0, a repair is negative, or a repair is longer than its life.
    """
    life, repair = positive("mean time between failures", mtbf), not_negative("mean time to repair", mttr)
    both = np.broadcast_arrays(life, repair)
    wrong = both[1] > both[0]
    if wrong.any():
        raise QuestionError(
            f"a repair of {both[1][wrong].flat[0]:g} is longer than the life of {both[0][wrong].flat[0]:g} before it",
            "Give both in the same unit of time, the life first.",
        )
    return life, repair


def same_shape(**arrays: FloatArray | IntArray) -> tuple[int, ...]:
    """The shape that all have together.

    Raises:
        QuestionError: they don't broadcast.
    """
    try:
        return np.broadcast_shapes(*(array.shape for array in arrays.values()))
    except ValueError:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise QuestionError(
            f"these don't go together: {shapes}", "Give single numbers, or arrays of one shape."
        ) from None


def _numbers(name: str, values: ArrayLike) -> FloatArray:
    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise QuestionError(f"{name} is not a number or an array of numbers", "Give numbers.") from None


def _refuse(name: str, array: FloatArray, wrong: NDArray[np.bool_], must: str) -> None:
    if np.any(wrong):
        raise QuestionError(f"{name} is {array[wrong].flat[0]:g}", f"It {must}.")
