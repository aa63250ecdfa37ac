"""Which moment does a written time mean?

Times without an offset are read in a zone that is asked for; where a clock that is set back says a time twice, the
first is taken. Times without a year are given the one that brings them nearest to a moment that is asked for.
"""

from __future__ import annotations

import datetime
import re
from calendar import timegm

SECOND = 1_000_000
"""Microseconds."""
DAY_S = 86_400
_MONTHS = {
    name: number
    for number, name in enumerate(
        ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"), 1
    )
}
ISO = r"(\d{4}[-/]\d\d[-/]\d\d[Tt ]\d\d):(\d\d):(\d\d)(?:[.,](\d{1,9}))?((?: ?(?:Z|z|UTC|GMT|[+-]\d\d:?\d\d)|[+-]\d\d)(?![\w:]))?"
OLD = (
    r"((?:Mon|Tue|Wed|Thu|Fri|Sat|Sun),? )?(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) ([ 0-3]?\d) (?:(\d{4}) )?"
    r"(\d\d:\d\d):(\d\d)(?:\.(\d{1,9}))?"
)
_YEAR = re.compile(r" (\d{4})(?=[\s\]]|$)")
COMMON = r"(\d\d)/(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)/(\d{4}):(\d\d:\d\d):(\d\d) ([+-]\d{4})"
EPOCH = r"(\d{9,10})(?:\.(\d{1,9}))?(?=[\s:\]]|$)"
_ISO, _OLD, _COMMON, _EPOCH = (re.compile(each) for each in (ISO, OLD, COMMON, EPOCH))
_UTC = datetime.UTC
_MOST_KEPT = 4_096
Found = tuple[int, int]
"""Microseconds since 1970, and where the text goes on."""


class Stamps:
    """Reads times.

    Args:
        zone: of times that do not say an offset.
        near_us: of times that do not say a year, microseconds since 1970.
    """

    def __init__(self, zone: datetime.tzinfo = _UTC, near_us: int = 0) -> None:
        self.zone = zone
        self.guessed = False  # whether any time said no offset
        self._near = near_us
        self._near_year = (datetime.datetime(1970, 1, 1) + datetime.timedelta(microseconds=near_us)).year
        # Lines come a thousand to an hour, so most of a time has been worked out before.
        self._begins: dict[tuple[str, str | None], int] = {}

    def at(self, text: str, start: int = 0) -> Found | None:
        """The time that stands at a place of a text; None where none does."""
        first = text[start : start + 1]
        if first.isdigit():
            return self.iso(text, start) or self.epoch(text, start)
        return self.old(text, start) if first.isupper() else None

    def iso(self, text: str, start: int = 0) -> Found | None:
        """A time as ISO 8601 and RFC 3339 have it, with a blank for the T, a comma for the point or no offset too."""
        found = _ISO.match(text, start)
        if found is None:
            return None
        hour, minute, second, fraction, offset = found.groups()
        if offset is not None and offset[0] == " ":
            offset = offset[1:]
        # A zone may change its offset within an hour; an offset that is said does not.
        key, into = (
            (hour, int(minute)) if offset is not None or self.zone is _UTC else (f"{hour}:{minute}", 0)
        )
        seconds = int(second)
        try:
            at = self._begins[key, offset]
        except KeyError:
            try:
                at = self._begin(key, offset)
            except (ValueError, OverflowError):
                return None
        if seconds > 60 or into > 59:
            return None
        at += (into * 60 + seconds) * SECOND
        if fraction:
            at += int(fraction[:6]) * 10 ** (6 - len(fraction[:6]))
        return at, found.end()

    def old(self, text: str, start: int = 0) -> Found | None:
        """A time such as `Mar  1 04:05:06`, as RFC 3164 section 4.1.2 has it; a year, a fraction or the day of the week may be in it."""
        found = _OLD.match(text, start)
        if found is None:
            return None
        weekday, month, day, year, clock, second, fraction = found.groups()
        end = found.end()
        if weekday is not None and year is None and (last := _YEAR.match(text, end)):
            year, end = last[1], last.end()
        key = f"{month}{day}{year} {clock}"
        try:
            at = self._begins[key, None]
        except KeyError:
            try:
                at = self._nearest(_MONTHS[month], int(day), clock, int(year) if year else None)
            except (ValueError, OverflowError):
                return None
            self._keep(key, None, at)
        seconds = int(second)
        if seconds > 60:
            return None
        at += seconds * SECOND
        if fraction:
            at += int(fraction[:6]) * 10 ** (6 - len(fraction[:6]))
        return at, end

    def common(self, text: str, start: int = 0) -> Found | None:
        """A time such as `10/Oct/2000:13:55:36 -0700`, as servers of pages write it."""
        found = _COMMON.match(text, start)
        if found is None:
            return None
        day, month, year, clock, second, offset = found.groups()
        whole = self.iso(f"{year}-{_MONTHS[month]:02d}-{day}T{clock}:{second}{offset}")
        return None if whole is None else (whole[0], found.end())

    def epoch(self, text: str, start: int = 0) -> Found | None:
        """Seconds since 1970 with or without a fraction."""
        found = _EPOCH.match(text, start)
        if found is None:
            return None
        fraction = (found[2] or "")[:6]
        return int(found[1]) * SECOND + (
            int(fraction) * 10 ** (6 - len(fraction)) if fraction else 0
        ), found.end()

    def _begin(self, key: str, offset: str | None) -> int:
        year, month, day = int(key[:4]), int(key[5:7]), int(key[8:10])
        at = self._moment(year, month, day, key[11:] if len(key) > 13 else f"{key[11:]}:00", offset)
        self._keep(key, offset, at)
        return at

    def _moment(self, year: int, month: int, day: int, clock: str, offset: str | None = None) -> int:
        hour, minute = int(clock[:2]), int(clock[3:5])
        wall = datetime.datetime(year, month, day, hour, minute)
        if offset is None:
            self.guessed = True
            if self.zone is not _UTC:
                wall = wall.replace(tzinfo=self.zone).astimezone(_UTC)
            return timegm(wall.timetuple()) * SECOND
        east = 0
        if offset[0] in "+-":
            digits = offset[1:].replace(":", "")
            hours, minutes = int(digits[:2]), int(digits[2:] or 0)
            if hours > 23 or minutes > 59:
                raise ValueError(offset)
            east = (hours * 60 + minutes) * (-1 if offset[0] == "-" else 1)
        return (timegm(wall.timetuple()) - east * 60) * SECOND

    def _nearest(self, month: int, day: int, clock: str, year: int | None) -> int:
        if year is not None:
            return self._moment(year, month, day, clock)
        found = []
        # A leap day may be up to eight years from the year that is asked for.
        for each in sorted(
            range(self._near_year - 8, self._near_year + 9), key=lambda y: abs(y - self._near_year)
        ):
            try:
                found.append(self._moment(each, month, day, clock))
            except (ValueError, OverflowError):
                continue
            if len(found) == 3:
                break
        if not found:
            raise ValueError(day)
        return min(found, key=lambda at: abs(at - self._near))

    def _keep(self, key: str, offset: str | None, at: int) -> None:
        if len(self._begins) >= _MOST_KEPT:
            self._begins.clear()
        self._begins[key, offset] = at
