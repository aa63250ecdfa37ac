"""Which cold start do the aims of a lab speak of?"""

from __future__ import annotations

from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.cold_start.start import cold_start
from falsework.support.standing import Standing


def start_of(standing: Standing) -> ColdStart:
    """The cold start that the strictest aim speaks of; with hands where none does."""
    modes = {aim.cold_start for aim in standing.lab.aims if aim.cold_start}
    return cold_start(
        standing,
        hands=not modes or modes == {"at all"},
        outside="without outside help" not in modes,
    )
