"""What does a log say between two moments?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from falsework.logs.forms import said, time_of
from falsework.logs.framing import lines
from falsework.logs.line import LONGEST, LONGEST_NAME, Line, clean
from falsework.logs.seeking import first_at
from falsework.logs.source import BROKEN, SLACK_US, Source, opened
from falsework.logs.stamps import Stamps
from falsework.logs.syslog import Said

MOST_JOINED = 2_048
"""Letters up to which a line is gone on with by the lines after it that have no time."""
JOINT = " / "
"""Stands where the file began another line."""
_OFTEN = 8_191
_SURE = 500
"""Lines one after the other beyond the end of a stretch, for a file in order to have no more of it."""

Tell = Callable[[int], None]
"""Told where in a file the reading is, bytes of its text."""


@dataclass(slots=True)
class Tally:
    """What reading a file came upon; filled while it goes on.

    Attributes:
        lines: with a time, in the stretch or not.
        inside: of those, in the stretch.
        joined: without one, that go on with the line before.
        timeless: without one, and with no line before.
        back: how often the time went back by more than five minutes from one line to the next.
        broke: why it could not be read to its end; empty if it could.
    """

    lines: int = 0
    inside: int = 0
    joined: int = 0
    timeless: int = 0
    back: int = 0
    broke: str = field(default="")


def read(
    source: Source, stamps: Stamps, from_us: int, until_us: int, *, tally: Tally, tell: Tell | None = None
) -> Iterator[Line]:
    """Its lines from one moment until before another, in the order of the file.

    Args:
        source: the file.
        stamps: reads its times.
        from_us: the first moment, by the clock of whoever wrote.
        until_us: the moment after the last.
        tally: is filled.
        tell: told now and then.

    Cost:
        Of a file in order only the stretch is read, and five minutes on either side; of others all.
    """
    seeks = source.ordered and not source.packed
    held: Said | None = None
    place, number, host = 0, source.number, source.host
    before, beyond = -(1 << 62), 0
    limit = until_us + SLACK_US
    try:
        with opened(source.path) as stream:
            begin = 0
            if seeks:
                begin = first_at(stream, source.size, from_us - SLACK_US, lambda raw: time_of(raw, stamps))
                stream.seek(begin)
            for offset, raw in lines(stream, offset=begin):
                found = said(raw, stamps, host)
                if found is None:
                    if held is not None:
                        tally.joined += 1
                        if len(held.text) < MOST_JOINED:
                            more = raw[:MOST_JOINED].decode("utf-8", "replace").strip()
                            held = held._replace(text=f"{held.text}{JOINT}{more}"[: MOST_JOINED + 1])
                    else:
                        tally.timeless += 1
                    continue
                tally.lines += 1
                if tell is not None and not tally.lines & _OFTEN:
                    tell(offset)
                if held is not None and from_us <= held.at_us < until_us:
                    tally.inside += 1
                    yield _line(held, number, place)
                held, place = found, offset
                at = found.at_us
                if at < before - SLACK_US:
                    tally.back += 1
                before = at
                # One line alone may be of a clock that was not set yet.
                beyond = beyond + 1 if at > limit else 0
                if seeks and beyond > _SURE:
                    break
    except BROKEN as error:
        # What was read before stands: a log that was cut off by a power cut is evidence too.
        tally.broke = (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower()
    if held is not None and from_us <= held.at_us < until_us:
        tally.inside += 1
        yield _line(held, number, place)


def _line(found: Said, number: int, place: int) -> Line:
    at, host, app, severity, text, by, by_us = found
    if not (text.isprintable() and host.isprintable() and app.isprintable()) or len(text) > LONGEST:
        text, host, app, by = clean(text[:LONGEST]), clean(host), clean(app), clean(by)
    if len(host) > LONGEST_NAME or len(app) > LONGEST_NAME:
        # Kinds and hosts are remembered by them.
        host, app = host[:LONGEST_NAME], app[:LONGEST_NAME]
    return Line(at, number, place, host.lower(), app, severity, text.strip(), by.lower(), by_us)
