"""How does a moment of a run stand in the lab file?"""

from __future__ import annotations

import datetime


def written(moment: datetime.datetime) -> str:
    """A moment as it is written into the lab file: in UTC, to the second."""
    return moment.astimezone(datetime.UTC).strftime("%Y-%m-%d %H:%M:%S")


def is_later(moment: datetime.datetime, than: str) -> bool:
    """Whether a moment is later than one that is written in the lab file, in whatever form, or than none."""
    return not than or datetime.datetime.fromisoformat(written(moment)) > datetime.datetime.fromisoformat(
        than
    )
