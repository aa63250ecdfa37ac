"""Which hours of the week does `Mon-Fri 19:00-22:00 and Sat 09:00-17:00` name?

Days, then one or more times of day, and so on; commas and "and" may stand between any two of them:
`Mon, Wed and Fri 09:00-12:00, 13:00-17:00 and Sat 10:00-12:00`.
`daily` stands for all seven days, `always` for the whole week.
A time that ends at or before its start runs past midnight; so do days that run past Sunday.
"""

from __future__ import annotations

import re

from falsework.errors import Fault, LabError, nearest, shortened
from falsework.units import DAY_S, HOUR_S, WEEK_S
from falsework.where import Where

Windows = tuple[tuple[float, float], ...]

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NUMBER_OF = {name: day for day, full in enumerate(_DAYS) for name in (full, full[:3])}
_EXAMPLE = "Write for example Mon-Fri 19:00-22:00 and Sat 09:00-17:00."
_LONGEST = 400

_DASH = re.compile(r"\s*[-–]\s*")
_TOKEN = re.compile(r",|[^\s,]+")
_TIMES = re.compile(r"(\d{1,2}):(\d{2})-(\d{1,2}):(\d{2})", re.ASCII)
_BARE_HOURS = re.compile(r"(\d{1,2})(?::\d{2})?-(\d{1,2})(?::\d{2})?", re.ASCII)
_TWELVE_HOURS = re.compile(r"\d(:\d\d)?\s?[ap]\.?m", re.IGNORECASE)


def weekly(text: str, where: Where | None = None, path: str = "") -> Windows:
    """The windows of the week that a text names.

    Args:
        text: as written in the lab file.
        where: its place there, for the message.
        path: the way to it through the keys, for the message.

    Returns:
        From and to in seconds since Monday 00:00, in order, merged, at least one.
        One that runs past Sunday midnight is two: up to the end of the week, and from its start.

    Raises:
        LabError: nonsense; one fault, with the place and how to mend it.
    """
    try:
        return _merged(_read(text))
    except _Slip as slip:
        raise LabError([Fault(where, slip.what, slip.mend, path)]) from None


def together(*people: Windows) -> Windows:
    """The windows in which at least one of several may work, merged and in order; empty only if all are.

    Args:
        people: each as `weekly` gives it.
    """
    return _merged([window for windows in people for window in windows])


class _Slip(Exception):
    def __init__(self, what: str, mend: str = _EXAMPLE) -> None:
        self.what, self.mend = what, mend
        super().__init__(what)


def _read(text: str) -> list[tuple[float, float]]:
    if len(text) > _LONGEST:
        raise _Slip(f"'{shortened(text, 40)}' is too long to be hours of the week")
    if not text.strip():
        raise _Slip("no hours are written here")
    if _TWELVE_HOURS.search(text):
        raise _Slip(f"'{_shown(text)}' counts hours by twelve", "Write 19:00 for seven in the evening.")
    tokens = _TOKEN.findall(_DASH.sub("-", text.strip()))
    if [token.casefold() for token in tokens] == ["always"]:
        return [(0.0, WEEK_S)]
    days: list[int] = []
    spans: list[tuple[float, float]] = []
    times_seen = False
    joined = True  # nothing stands before the first, so nothing can be joined to it
    for token in tokens:
        if token == "," or token.casefold() == "and":
            if joined:
                raise _Slip(f"'{_shown(text)}' has '{token}' with nothing before it")
            joined = True
            continue
        joined = False
        if token[0].isdigit():
            if not days:
                raise _Slip(
                    f"'{_shown(text)}' does not say on which days", f"Write daily {token} for every day."
                )
            start, end = _times(token)
            spans += [(day * DAY_S + start, day * DAY_S + end) for day in days]
            times_seen = True
        else:
            if times_seen:
                days, times_seen = [], False
            days += _days(token)
    if joined:
        raise _Slip(f"'{_shown(text)}' ends in '{tokens[-1]}'", "Take it away, or write what follows.")
    if not times_seen:
        raise _Slip(
            f"'{_shown(text)}' names days without a time of day",
            f"Write {_last_days(tokens)} 09:00-17:00, or 00:00-24:00 for the whole day.",
        )
    return spans


def _times(token: str) -> tuple[float, float]:
    found = _TIMES.fullmatch(token)
    if found is None:
        bare = _BARE_HOURS.fullmatch(token)
        if bare:
            raise _Slip(
                f"'{shortened(token, 40)}' lacks minutes", f"Write {int(bare[1]):02}:00-{int(bare[2]):02}:00."
            )
        raise _Slip(
            f"'{shortened(token, 40)}' is not a time of day from and to", "Write for example 19:00-22:00."
        )
    hours, minutes = (int(found[1]), int(found[3])), (int(found[2]), int(found[4]))
    start, end = (hour * HOUR_S + minute * 60.0 for hour, minute in zip(hours, minutes, strict=True))
    if max(minutes) > 59 or start >= DAY_S or end > DAY_S:
        raise _Slip(f"'{token}' is not on the clock", "Write times from 00:00 to 24:00.")
    if start == end:
        raise _Slip(f"'{token}' begins when it ends", "Write 00:00-24:00 for the whole day.")
    return start, end if end > start else end + DAY_S


def _days(token: str) -> list[int]:
    if token.casefold() == "daily":
        return list(range(7))
    if token.casefold() == "always":
        raise _Slip("'always' stands beside other words", "Write always alone, or daily for every day.")
    first, dash, last = token.partition("-")
    start = _day(first, token)
    end = _day(last, token) if dash else start
    return [(start + step) % 7 for step in range((end - start) % 7 + 1)]


def _day(word: str, token: str) -> int:
    day = _NUMBER_OF.get(word.casefold())
    if day is None:
        close = nearest(word, (*(name[:3].title() for name in _DAYS), "daily", "always")) if word else None
        mend = f"Did you mean {close}?" if close else "Days are Mon, Tue, Wed, Thu, Fri, Sat, Sun, and daily."
        raise _Slip(f"'{shortened(word or token, 40)}' is not a day of the week", mend)
    return day


def _last_days(tokens: list[str]) -> str:
    return next(token for token in reversed(tokens) if token != "," and token.casefold() != "and")


def _merged(spans: list[tuple[float, float]]) -> Windows:
    """Fold what runs past the week to its start, and join what touches or overlaps."""
    folded = []
    for start, end in spans:
        folded.append((start, min(end, WEEK_S)))
        if end > WEEK_S:
            folded.append((0.0, end - WEEK_S))
    merged: list[tuple[float, float]] = []
    for start, end in sorted(folded):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return tuple(merged)


def _shown(text: str) -> str:
    return shortened(text.strip(), 60)
