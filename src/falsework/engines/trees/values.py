"""What number does an expression of the Open-PSA format stand for?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation.

    Attributes:
        least: fewest arguments.
        most: most arguments; None for any number.
        apply: the arguments to the value.
    """

    least: int
    most: int | None
    apply: Callable[..., float]


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter's number, in place of its value."""

    number: int


@dataclass(frozen=True, slots=True)
class Apply:
    """An operation over the last so many values."""

    tag: str
    count: int


Step = float | None | Parameter | Apply
"""One step of an expression written operands first; None is a value that nobody gave."""


def _difference(first: float, *others: float) -> float:
    return first - math.fsum(others)


def _quotient(first: float, *others: float) -> float:
    for other in others:
        first /= other
    return first


def _exponential(rate: float, time: float) -> float:
    return -math.expm1(-rate * time)


def _repaired(on_demand: float, rate: float, repair: float, time: float) -> float:
    both = rate + repair
    return (rate - (rate - on_demand * both) * math.exp(-both * time)) / both


def _weibull(scale: float, shape: float, shift: float, time: float) -> float:
    return -math.expm1(-math.pow((time - shift) / scale, shape)) if time > shift else 0.0


OPERATIONS = {
    "neg": Operation(1, 1, lambda a: -a),
    "add": Operation(1, None, lambda *a: math.fsum(a)),
    "sub": Operation(2, None, _difference),
    "mul": Operation(1, None, lambda *a: math.prod(a)),
    "div": Operation(2, None, _quotient),
    "pi": Operation(0, 0, lambda: math.pi),
    "abs": Operation(1, 1, abs),
    "exp": Operation(1, 1, math.exp),
    "log": Operation(1, 1, math.log),
    "log10": Operation(1, 1, math.log10),
    "pow": Operation(2, 2, math.pow),
    "sqrt": Operation(1, 1, math.sqrt),
    "min": Operation(1, None, lambda *a: min(a)),
    "max": Operation(1, None, lambda *a: max(a)),
    "mean": Operation(1, None, lambda *a: math.fsum(a) / len(a)),
    "exponential": Operation(2, 2, _exponential),
    "GLM": Operation(4, 4, _repaired),
    "Weibull": Operation(4, 4, _weibull),
    # A random deviate stands for its mean: "in a regular context they return a default value".
    "uniform-deviate": Operation(2, 2, lambda low, high: (low + high) / 2),
    "normal-deviate": Operation(2, 2, lambda mean, _deviation: mean),
    "lognormal-deviate": Operation(3, 3, lambda mean, _factor, _level: mean),
    "gamma-deviate": Operation(2, 2, lambda shape, scale: shape * scale),
    "beta-deviate": Operation(2, 2, lambda a, b: a / (a + b)),
}
"""By element name.

Source:
    Open-PSA Model Exchange Format, version 2.0, chapter "Stochastic Layer": tables of numerical operations,
    built-ins and random deviates.
"""


def evaluate(steps: Sequence[Step], parameters: Sequence[float | None]) -> float | None:
    """Return the value of an expression.

    Args:
        steps: operands first, so that no depth of nesting costs depth of stack.
        parameters: value of each parameter; of those used, all are known by now.

    Returns:
        None where something it needs was not given; else a finite number.

    Raises:
        ArithmeticError: a division by zero, or a number too large or not defined.
        ValueError: an operation is not defined there, such as the root of a negative number.
    """
    stack: list[float | None] = []
    for step in steps:
        if isinstance(step, Apply):
            cut = len(stack) - step.count
            given = stack[cut:]
            del stack[cut:]
            known = [value for value in given if value is not None]
            stack.append(OPERATIONS[step.tag].apply(*known) if len(known) == len(given) else None)
        elif isinstance(step, Parameter):
            stack.append(parameters[step.number])
        else:
            stack.append(step)
    (value,) = stack
    if value is not None and not math.isfinite(value):
        raise ArithmeticError("the value is not a finite number")
    return value
