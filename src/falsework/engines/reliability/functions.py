"""Which special functions do the formulas stand on? The one door to them, with types.

They are loaded when first asked for: an eighth of a second that a question without them need not wait.
"""

from __future__ import annotations

from functools import cache
from types import ModuleType
from typing import cast

from numpy.typing import ArrayLike

from falsework.engines.reliability.checked import FloatArray


@cache
def _special() -> ModuleType:
    from scipy import special  # type: ignore[import-untyped]  # the library ships no types

    return cast("ModuleType", special)


def gamma_below(shape: ArrayLike, x: ArrayLike) -> FloatArray:
    """P(a, x), the regularised lower incomplete gamma function; also the chance that a Poisson count is at least a."""
    return cast("FloatArray", _special().gammainc(shape, x))


def gamma_above(shape: ArrayLike, x: ArrayLike) -> FloatArray:
    """Q(a, x) = 1 - P(a, x), without the loss of digits."""
    return cast("FloatArray", _special().gammaincc(shape, x))


def gamma_quantile(shape: ArrayLike, chance: ArrayLike) -> FloatArray:
    """The x at which P(a, x) is the chance; twice this is a quantile of chi-square with 2a degrees of freedom."""
    return cast("FloatArray", _special().gammaincinv(shape, chance))


def beta_below(a: ArrayLike, b: ArrayLike, x: ArrayLike) -> FloatArray:
    """I_x(a, b), the regularised incomplete beta function."""
    return cast("FloatArray", _special().betainc(a, b, x))


def beta_quantile(a: ArrayLike, b: ArrayLike, chance: ArrayLike) -> FloatArray:
    """The x at which I_x(a, b) is the chance."""
    return cast("FloatArray", _special().betaincinv(a, b, chance))


def normal_quantile(chance: ArrayLike) -> FloatArray:
    """The quantile of the standard normal distribution."""
    return cast("FloatArray", _special().ndtri(chance))


def normal_below(x: ArrayLike) -> FloatArray:
    """The chance that a standard normal number is at most x."""
    return cast("FloatArray", _special().ndtr(x))
