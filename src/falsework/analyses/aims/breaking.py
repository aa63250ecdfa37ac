"""Which single losses break which aims: all of them, not only the worst?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.analyses.aims.losing import counts, exceeding
from falsework.analyses.aims.result import about
from falsework.analyses.verdicts import Loss, Singles, Verdict, losses
from falsework.model.people import Aim
from falsework.support.standing import Standing

_AT_ONCE = 256


def breaking(standing: Standing, singles: Singles) -> Mapping[str, tuple[str, ...]]:
    """By part, the aims that losing it alone breaks, in the order of the aims; parts that break none are left out.

    Only aims about the loss of one thing at a time are looked at; what several do together, the aim itself tells.

    Args:
        standing: the lab.
        singles: verdicts of every single loss, `thin` included.
    """
    found: dict[str, list[str]] = {}
    for aim in standing.lab.aims:
        if aim.lose is None or aim.told or aim.at_once != 1:
            continue
        for part in _breakers(aim, standing, singles):
            found.setdefault(part, []).append(aim.name)
    return {part: tuple(names) for part, names in found.items()}


def _breakers(aim: Aim, standing: Standing, singles: Singles) -> Iterator[str]:
    candidates = [name for name in (aim.lose.ids if aim.lose else ()) if name not in standing.out]
    # The worst first, each part once.
    parts = [lost[0] for _, _, lost in sorted(exceeding(aim, standing, singles, candidates))]
    if aim.within is None and aim.blinks_under is None:
        yield from parts
        return
    for first in range(0, len(parts), _AT_ONCE):  # times are dear, and only these aims speak of them
        some = parts[first : first + _AT_ONCE]
        for part, loss in zip(some, losses(standing, [(part,) for part in some]), strict=True):
            if _breaks(aim, standing, loss):
                yield part


def _breaks(aim: Aim, standing: Standing, loss: Loss) -> bool:
    services, data = about(aim, standing)
    if any(standing.baseline.kept(f"kept:{name}") and not loss.view.kept(f"kept:{name}") for name in data):
        return True
    allowed = Verdict[aim.at_most.upper()]
    return any(counts(aim, loss.of(service), allowed) for service in services)
