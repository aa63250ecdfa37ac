"""Are lines that repeat told once, with little memory?"""

from falsework.logs import folding
from falsework.logs.folding import Folding
from falsework.logs.kinds import Kind
from falsework.logs.line import Line
from falsework.logs.stamps import SECOND
from falsework.logs.thinning import Why


def line(at_s, text):
    """A line, seconds from the moment."""
    return Line(at_s * SECOND, 0, 0, "h", "app", 6, text)


def test_repeats_are_folded():
    """Within a minute of each other they are one entry with its count and last moment; after a silence another."""
    found = Folding()
    kind = Kind("h", "app", "x #")
    for at in (0, 10, 65, 300, 301):
        found.add(line(at, f"x {at}"), kind, Why.NEW)
    assert [(each.line.text, each.count, each.until_us // SECOND) for each in found.entries] == [
        ("x 0", 3, 65),
        ("x 300", 2, 301),
    ]


def test_folding_holds_little(monkeypatch):
    """Many bursts of one kind end in one, and of many kinds those that find no room are counted."""
    found = Folding()
    for at in range(0, 100_000, 100):
        found.add(line(at, "x"), Kind("h", "", "x"), Why.MORE)
    assert len(found.entries) == folding.MOST_BURSTS
    assert sum(each.count for each in found.entries) == 1_000
    monkeypatch.setattr(folding, "MOST_ENTRIES", 20)
    for each in range(100):
        found.add(line(0, "y"), Kind("h", "", f"y{each}"), Why.MORE)
    assert (len(found.entries), found.dropped) == (20, 92)
