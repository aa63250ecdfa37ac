"""Are the aims met by a lab as it is placed, with no more judged than they ask?"""

from __future__ import annotations

import numpy as np

from falsework.analyses.aims import AimResult, judge_aims, timed
from falsework.analyses.odds.odds import odds
from falsework.analyses.order import replay
from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import Singles, single_verdicts
from falsework.support.standing import Standing


def judged(standing: Standing) -> tuple[AimResult, ...]:
    """Every aim of a lab, in its order."""
    if not standing.lab.aims:
        return ()
    asked = timed(standing)
    likely = odds(standing, asked, draws=0) if asked else None
    return judge_aims(standing, _singles(standing), replay(standing.lab, standing=standing), likely)


def _singles(standing: Standing) -> Singles:
    """The single losses that the aims name; what is thin after them only where an aim asks that all stands.

    What is thin takes every pair of parts, which on a full pool means a packing for very many of them.
    """
    if any(aim.lose is not None and aim.at_most == "stands" for aim in standing.lab.aims):
        return singles(standing, all_pairs(standing))
    named = {part for aim in standing.lab.aims if aim.lose is not None for part in aim.lose.ids}
    parts = tuple(part for part in standing.parts if part in named)
    services = standing.support.services
    verdicts = single_verdicts(standing, parts) if parts else np.zeros((len(services), 0), dtype=np.int8)
    return Singles(parts=parts, services=services, verdicts=verdicts)
