"""Which room is too loud for those who stay in it?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.noise.telling import above_mend, above_says, dose_said
from falsework.analyses.noise.whole import room_levels
from falsework.errors import few
from falsework.findings.finding import NOISE_CAUTION, Finding, Level
from falsework.model.lab import Lab


def loud(lab: Lab) -> Iterator[Finding]:
    """Rooms in which somebody is said to stay longer than a published limit allows; others are left alone."""
    for room in room_levels(lab):
        if room.broken:
            loudest = room.heard[0].things if room.heard else ()
            yield Finding(
                code="too loud",
                level=Level.REMARK,
                says=above_says(room),
                why=(
                    *(
                        (f"{few(loudest, 4)} alone make {room.heard[0].all_db:.0f} dB of it",)
                        if loudest
                        else ()
                    ),
                    *(f"that stay is {dose_said(each)} by {each.by}" for each in room.allowed if each.above),
                ),
                mend=above_mend(room),
                where=room.where,
                things=(room.room, *loudest),
                caution=NOISE_CAUTION,
            )
