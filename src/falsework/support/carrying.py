"""Does a source of power carry what hangs on it, given which other supplies stand?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray
from falsework.support.graph import Load

_SLACK = 1 + 1e-9
"""Of sums of watts."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carrying:
    """A rule for many scenarios at once.

    A machine shares its draw equally among its standing supplies. Those through this source are counted as
    standing: what it would have to carry, not what is left after it has tripped.

    Attributes:
        limit_w: what the source can carry, W.
        draws: W, by consumer.
        mine: supplies through this source, by consumer.
        member: which of the other supplies are a consumer's, (n_consumers, n_others).
    """

    limit_w: float
    draws: NDArray[np.float64]
    mine: NDArray[np.float64]
    member: NDArray[np.float64]

    def __call__(self, given: BoolArray) -> BoolArray:
        """Whether it carries, (1, n_scenarios).

        Args:
            given: which other supplies stand, and if there are more rows, which consumers are there at all.
        """
        n_others = self.member.shape[1]
        live = self.member @ given[:n_others].astype(float)
        drawn = self.draws[:, None] * self.mine[:, None] / (self.mine[:, None] + live)
        if len(given) > n_others:
            drawn = drawn * given[n_others:]
        return np.asarray(drawn.sum(axis=0) <= self.limit_w * _SLACK)[None, :]


def others_of(load: Load) -> tuple[str, ...]:
    """The supplies that share a load while they stand."""
    return tuple(dict.fromkeys(other for _, _, supplies in load.draws for other in supplies))


def carrying(load: Load, others: Sequence[str]) -> Carrying:
    """The rule of one source; `others` are those of `others_of`, in the order in which they will be given."""
    row = {other: number for number, other in enumerate(others)}
    member = np.zeros((len(load.draws), len(others)))
    for number, (_, _, supplies) in enumerate(load.draws):
        for supply in supplies:
            member[number, row[supply]] = 1.0
    return Carrying(
        limit_w=load.limit_w,
        draws=np.array([draw for draw, _, _ in load.draws], dtype=float),
        mine=np.array([count for _, count, _ in load.draws], dtype=float),
        member=member,
    )
