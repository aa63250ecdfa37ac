"""What falls when one part is lost, and what is down already?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from falsework.analyses.explain import told
from falsework.analyses.verdicts import Loss, Singles, Verdict, losses
from falsework.errors import few
from falsework.findings.finding import Finding, Level
from falsework.findings.mends import mend
from falsework.support.standing import Standing


def down_already(standing: Standing) -> Iterator[Finding]:
    """Services and nodes that do not stand with nothing lost."""
    loss = losses(standing, [()])[0]
    for name in standing.support.things:
        thing = standing.support.things[name]
        if (
            name in loss.down
            and thing.word in ("service", "node", "store", "switch", "alarm")
            and name not in standing.out
        ):
            yield Finding(
                code="down already",
                level=Level.BROKEN if not standing.out else Level.REMARK,
                says=f"{name} does not stand although nothing {'more ' if standing.out else ''}is lost",
                why=(told(loss.why(name)),),
                mend="correct the lab file where the chain ends, or mend the part",
                where=thing.where,
                things=(name,),
            )


def single_points(singles: Singles, standing: Standing, known: Sequence[Finding]) -> Iterator[Finding]:
    """Parts whose loss brings something down, those that do the same told together, most services first."""
    hurt = singles.verdicts >= Verdict.FALLS
    groups: dict[bytes, list[int]] = {}
    for column in np.flatnonzero(hurt.any(axis=0)):
        groups.setdefault(singles.verdicts[:, column].tobytes(), []).append(int(column))
    told_of = {finding.things for finding in known}
    firsts = [(columns, singles.parts[_loudest(columns, singles, standing)]) for columns in groups.values()]
    results = losses(standing, [(first,) for _, first in firsts])
    for (columns, first), loss in zip(firsts, results, strict=True):
        services = [service for row, service in enumerate(singles.services) if hurt[row, columns[0]]]
        worst = max(services, key=lambda service: (loss.of(service).verdict, -loss.of(service).falls_s))
        others = [singles.parts[column] for column in columns if singles.parts[column] != first]
        alike = f" (so does losing {few(others, 3)})" if others else ""
        says = f"lose {first}: {_hurt(loss, services)}{alike}"
        if (first,) in told_of:
            continue
        yield Finding(
            code="single point",
            level=Level.REMARK,
            says=says,
            why=(told(loss.why(worst)),),
            mend=mend(loss, worst, standing),
            where=standing.support.things[first].where,
            things=(first, *others),
            services=tuple(services),
        )


def _hurt(loss: Loss, services: Sequence[str]) -> str:
    """`a and b fall, and c loses its data`."""
    gone = [service for service in services if loss.of(service).verdict is Verdict.LOST]
    down = [service for service in services if service not in gone]
    parts = []
    if gone:
        parts.append(f"{few(gone)} {'loses its' if len(gone) == 1 else 'lose their'} data")
    if down:
        parts.append(f"{few(down)} {'falls' if len(down) == 1 else 'fall'}")
    return ", and ".join(parts)


def _loudest(columns: Sequence[int], singles: Singles, standing: Standing) -> int:
    """Of parts that do the same, the one to name: what a person would pull, not a cable or supply inside it."""
    rank = {
        "enclosure": 0,
        "node": 1,
        "switch": 1,
        "strip": 2,
        "circuit": 3,
        "ups": 3,
        "outside": 4,
        "room": 5,
        "rack": 5,
    }
    return min(
        columns, key=lambda column: (rank.get(standing.support.things[singles.parts[column]].word, 9), column)
    )
