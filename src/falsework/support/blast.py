"""Which probes fall silent with what they should see?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.evaluate import Evaluator
from falsework.support.probing import questions
from falsework.support.standing import Standing

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class InBlast:
    """A probe that falls silent with what it should see: it asks from within the blast.

    Attributes:
        probe: its name.
        from_: where it asks from.
        sees: what it sees.
        parts: those whose loss takes both.
    """

    probe: str
    from_: str
    sees: str
    parts: tuple[str, ...]


def in_blast(standing: Standing) -> Iterator[InBlast]:
    """Probes of the lab file that ask from a machine that falls with what they see, other than what they see itself.

    Where the machine that asks is the very thing that is asked about, that is said by the probe itself.
    """
    inside = [
        each for each in questions(standing.lab) if each.from_ and each.sees and each.from_ != each.sees
    ]
    things = list(dict.fromkeys(name for each in inside for name in (each.from_, each.sees)))
    stand, _ = answered(standing, [(part,) for part in standing.parts], things)
    row = dict(zip(things, stand, strict=True))
    for question in inside:
        both_fall = ~(row[question.from_] | row[question.sees])
        parts = [standing.parts[at] for at in np.flatnonzero(both_fall).tolist()]
        if parts:
            yield InBlast(probe=question.name, from_=question.from_, sees=question.sees, parts=tuple(parts))


def answered(
    standing: Standing, losses: Sequence[Sequence[str]], things: Sequence[str]
) -> tuple[Bools, Bools]:
    """Whether each thing stands once all has settled, in each loss, and when nothing is lost."""
    if not things:
        return np.zeros((0, len(losses)), dtype=np.bool_), np.zeros(0, dtype=np.bool_)
    graph = standing.gates.graph
    rows = np.array([standing.gates.back[thing] for thing in things], dtype=np.int64)
    engine = Evaluator(graph.keeping(graph.kept[rows]))
    found = engine.stands([*([standing.leaf[part] for part in loss] for loss in losses), ()])
    return found[:, :-1], found[:, -1]
