from dataclasses import replace

from tests.faces.handmade_placing import placing, six
from tests.faces.report.pictures import KITCHEN
from tests.faces.report.test_html import Read, studied

from falsework.analyses.placing.result import Reason
from falsework.faces.report.html import report
from falsework.faces.report.places import MOST_MOVES, places


def page(found) -> Read:
    """A report with this placement in it, read."""
    read = Read()
    read.feed(report(studied(KITCHEN), placing=found))
    return read


def said(read: Read) -> str:
    """What a reader sees."""
    return " ".join(" ".join(read.text).split())


def test_the_section():
    """The short answer, levels with what they count, moves with their caution, and the drawing."""
    read = page(placing())
    text = said(read)
    assert "places" in read.ids
    for words in (
        "8 copies placed, all aims are met (1 aim broken today), 4 copies to move",
        "losses after which an aim is not met",
        "proven least",
        "out until there is room",
        "Disks move too.",
        "Where these run today nobody says ( placed ): rota.1",
        "restarts here then",
    ):
        assert words in text, words
    assert read.tags.isdisjoint({"script", "iframe", "object", "link", "img"})


def test_reasons_come_before_all_else():
    """What contradicts itself with its place, and what would do."""
    reason = Reason(says="room without <box-1>", where=six().where)
    text = said(page(placing(met=False, why_not=(reason,))))
    assert "no fewer of them do." in text
    assert "room without <box-1> lab.yaml:2:1" in text
    assert "What would do: give desk-1 8 GiB more memory ." in text
    assert text.index("What would do") < text.index("judged by")


def test_no_section_where_none_was_asked_for_or_nothing_has_a_choice():
    """And the page is then the same as ever."""
    assert places(six(), None) is None
    assert places(six(), replace(placing(), memory={})) is None
    assert "places" not in page(None).ids


def test_nothing_can_be_placed():
    """Reasons without a drawing."""
    none = replace(placing(moves=(), worst=False), host_of={}, levels=())
    found = places(six(), none)
    assert found.bad
    assert found.figure is None
    assert "Where copies should run" in said(page(none))


def test_many_moves_are_counted():
    """The first are listed."""
    found = places(six(), placing(moves=placing().moves[1:2] * (MOST_MOVES + 5)))
    assert len(found.moves) == MOST_MOVES
    assert found.more_moves == 5
