from dataclasses import replace

from tests.faces.handmade_raising import fragile, plan, schedule, shed, stuck
from tests.faces.report.pictures import KITCHEN
from tests.faces.report.test_html import Read, studied

from falsework.analyses.raising.raised import Raised
from falsework.faces.report.html import report
from falsework.faces.report.raised import raising

WHOLE = Raised(plan=plan(), fragile=fragile(), schedule=schedule())


def page(found, **more) -> Read:
    """A report with this order of work in it, read."""
    read = Read()
    read.feed(report(studied(KITCHEN), raised=found, **more))
    return read


def said(read: Read) -> str:
    """What a reader sees."""
    return " ".join(" ".join(read.text).split())


def test_the_section():
    """Stand-ins with what takes over from them, steps with what to mind, loops, and both drawings are there."""
    read = page(WHOLE, loops=("installer needs desk-1 to start, and desk-1 needs installer to be built",))
    text = said(read)
    assert "raising" in read.ids
    for words in (
        *(
            "10 steps raise the whole lab with 1 stand-in, laptop",
            "names, installer from step 3 to step 9",
        ),
        *(
            "Names on desk-1 takes over from laptop (cut-over from laptop)",
            "no way back: from now on changes",
        ),
        *("interrupts names", "installer needs desk-1 to start", "What hangs on one part", "The calendar"),
    ):
        assert words.lower() in text.lower(), words
    assert read.tags.isdisjoint({"script", "iframe", "object", "link", "img"})


def test_without_a_calendar():
    """An order without days has its curve and no calendar."""
    found = raising(shed().lab, replace(WHOLE, schedule=None))
    assert len(found.figures) == 1
    assert len(raising(shed().lab, WHOLE).figures) == 2


def test_nothing_to_tell():
    """A lab that stands, and one that was not asked about, have no such section."""
    assert raising(shed().lab, None) is None
    assert raising(shed().lab, Raised(plan=replace(plan(), steps=()), fragile=())) is None
    assert "raising" not in page(None).ids


def test_what_can_not_be_raised():
    """The reason stands there in place of steps and drawings."""
    read = page(Raised(plan=stuck(), fragile=()))
    assert "No order of work raises desk-1" in said(read)
    assert "Each waits for the next: installer → desk-1 → installer" in said(read)
    assert raising(shed().lab, Raised(plan=stuck(), fragile=())).figures == ()


def test_a_long_order_is_cut():
    """Of more steps than a page reads the rest is counted."""
    step = plan().steps[0]
    many = replace(plan(), steps=tuple(replace(step, number=number) for number in range(1, 251)))
    found = raising(shed().lab, Raised(plan=many, fragile=()))
    assert (len(found.steps), found.more_steps) == (200, 50)
