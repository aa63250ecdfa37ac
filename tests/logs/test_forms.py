"""Is a file in which all forms are mixed read line by line?"""

from pathlib import Path

from falsework.logs.line import UNSAID
from falsework.logs.reading import Tally, read
from falsework.logs.source import Source, source
from falsework.logs.stamps import SECOND, Stamps

MIXED = Path(__file__).parents[1] / "data" / "logs" / "mixed.log"
BEGIN = 1_773_457_928
"""2026-03-14 03:12:08 UTC."""


def test_every_form_in_one_file():
    """Both standards, both ways of framing, journals, plain lines, a line that was taken in: made by hand for this."""
    found = source(MIXED, 0, Stamps(near_us=BEGIN * SECOND))
    assert isinstance(found, Source)
    tally = Tally()
    lines = read(found, Stamps(near_us=BEGIN * SECOND), BEGIN * SECOND, (BEGIN + 60) * SECOND, tally=tally)
    assert [
        ((each.at_us - BEGIN * SECOND) / SECOND, each.host, each.app, each.severity, each.text)
        for each in lines
    ] == [
        (0.0, "desk-1", "mailer", 3, "the file begins with a mark of its letters"),
        (1.25, "desk-1", "mailer", 4, "queue is full"),
        (2.000003, "mixed", "", 5, ""),
        (2.0, "desk-2", "su", 2, "failed for jo"),
        (3.5, "desk-2", "names", 6, "two lines in one frame"),
        (4.0, "desk-2", "names", 6, "back to back, no end"),
        (4.1, "desk-2", "names", 5, "an end"),
        (5.0, "twin-1a", "kernel", 2, "input lost"),
        (5.5, "twin-1a", "pages", UNSAID, "café\ufffd"),
        (6.000001, "desk-3.rock.home.arpa", "files", 3, "ERROR: disk d2"),
        (7.0, "desk-3", "files", UNSAID, "plain and old"),
        (8.12, "mixed", "", 4, "WARN cache is cold / at step one / at step two"),
        (9.5, "mixed", "", UNSAID, "up again"),
        (10.0, "mixed", "", UNSAID, '192.0.2.7 "GET / HTTP/1.1" 503 12'),
        (10.9, "desk-4", "relay", 6, "taken in by the store"),
    ]
    assert (tally.lines, tally.joined, tally.timeless) == (15, 2, 0)
