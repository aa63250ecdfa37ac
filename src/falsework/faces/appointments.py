"""What do the calendar files that are made here have in common?

iCalendar (RFC 5545; the calendar's name and description RFC 7986). The same appointments make the same bytes, so that a
file can be kept under version control.
"""

from __future__ import annotations

import datetime

from icalendar import Calendar, vText


def begun(name: str, about: str, *, of: str) -> Calendar:
    """A calendar without appointments.

    Args:
        name: what a calendar program calls it.
        about: what it is, and what to mind.
        of: what made it, a few words.
    """
    found = Calendar()
    found.add("prodid", f"-//falsework//{of}//EN")
    found.add("version", "2.0")
    found.add("name", vText(clean(name)))
    found.add("description", about)
    return found


def text_of(calendar: Calendar) -> str:
    """The calendar as text, with the line ends that the standard wants: write it as it is."""
    return bytes(calendar.to_ical()).decode("utf-8")


def stamp(day: datetime.date) -> datetime.datetime:
    """When a calendar was made, as far as it may say so: a day that hangs on what is in it."""
    return datetime.datetime.combine(day, datetime.time.min, datetime.UTC)


def clean(text: str) -> str:
    """Text without the control characters that the standard does not allow."""
    return "".join(sign for sign in text if sign in "\n\t" or (sign >= " " and sign != "\x7f"))
