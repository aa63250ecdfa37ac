"""Which keys ran out while the power was out, and what do they wait for then?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from falsework.model.lab import Lab
from falsework.model.services import Secret
from falsework.support.graph import LATER, Lean, Phase, Role, SupportGraph

DOUBT = 3.0
"""A key is renewed when a third of its time is left, at the latest: what was out for a third may have met that."""


def expired(lab: Lab, off_s: float | None) -> tuple[Secret, ...]:
    """Keys that ran out, counted from fresh: those that last no longer than the power was out."""
    return tuple(
        key for key in lab.of(Secret) if off_s is not None and key.lasts is not None and key.lasts <= off_s
    )


def doubtful(lab: Lab, off_s: float | None) -> tuple[Secret, ...]:
    """Keys that are good if they were fresh, and may have run out if they were not."""
    return tuple(
        key
        for key in lab.of(Secret)
        if off_s is not None and key.lasts is not None and key.lasts / DOUBT <= off_s < key.lasts
    )


def renewed(support: SupportGraph, keys: Iterable[Secret]) -> SupportGraph:
    """The same graph, in which these keys count only once what renews them serves."""
    things = dict(support.things)
    for key in keys:
        if key.renewed_by is not None:
            lean = Lean(
                on=key.renewed_by.ids,
                enough=1,
                role=Role.NEED,
                phases=frozenset((Phase.START,)),
                times=LATER,
                where=key.place("renewed_by"),
            )
            things[key.id] = replace(things[key.id], leans=(*things[key.id].leans, lean))
    return replace(support, things=things)
