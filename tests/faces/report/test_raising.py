import datetime
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.handmade_raising import fragile, plan, schedule, shed, steps, stuck

from falsework.analyses.raising.result import Doing, Fragile, Single
from falsework.faces.report.folded import folded
from falsework.faces.report.raising import raising_sheet

SVG = "{http://www.w3.org/2000/svg}"
MONDAY = datetime.datetime(2026, 12, 7)
HOUR = datetime.timedelta(hours=1)


def sheet(*, of=None, shaky=None, dated=None, width: float = 1400.0) -> ET.Element:
    """A drawn sheet, read as XML."""
    text = raising_sheet(shed().lab, of or plan(), fragile() if shaky is None else shaky, dated, width=width)
    return ET.fromstring(text)


def said(drawn: ET.Element) -> str:
    """All of its words, titles too."""
    return " | ".join(text for text in drawn.itertext() if text.strip())


def things(drawn: ET.Element, word: str) -> list[str]:
    """The things of one sort that have a drawing of their own."""
    return [each.get("data-id", "") for each in drawn.iter(f"{SVG}g") if each.get("data-word") == word]


def test_every_step_has_its_course_from_the_ground_up():
    """With a calendar each step is drawn once, the first lowest; without one there are no courses."""
    drawn = sheet(dated=schedule())
    assert things(drawn, "step") == [f"step {step.number}" for step in steps()]
    names = [
        (float(each[1].get("y", "0")), each.get("data-id"))
        for each in drawn.iter(f"{SVG}g")
        if each.get("data-word") == "step"
    ]
    assert [name for _, name in sorted(names, reverse=True)] == [f"step {step.number}" for step in steps()]
    assert things(sheet(), "step") == []


def test_every_stand_in_has_its_row():
    """A stand-in is told with its first and last step and what it hands over; one that stays is marked."""
    drawn = sheet()
    assert things(drawn, "stand-in") == ["laptop"]
    assert "laptop: set up in step 3, taken away in step 9; hands over names, installer" in said(drawn)
    kept = replace(plan(), steps=tuple(step for step in steps() if step.doing is not Doing.RETIRE))
    assert "never taken away" in said(sheet(of=kept))


def test_the_worst_moment_and_the_stretch_are_told():
    """The head says how many parts at most and after which step; the shaded stretch says how long."""
    text = said(sheet(dated=schedule()))
    assert "at most 3 parts at once, after step 7; desk-1 stops most" in text
    assert "longest fragile stretch, 2 days 10 h" in text
    assert "after step 3: laptop, sw-1" in text


def test_nothing_fragile():
    """A build that never hangs on one part says so, and shades nothing."""
    calm = tuple(Fragile(step=number, serving=(), missing=(), singles=(), margin=0) for number in range(11))
    text = said(sheet(shaky=calm))
    assert "never does anything that serves hang on one part" in text
    assert "stretch" not in text


def test_no_steps():
    """What can't be raised, and what needs no raising, is one line."""
    assert "it can't be raised as it is" in said(sheet(of=stuck(), shaky=()))
    assert "nothing is left to raise" in said(sheet(of=replace(plan(), steps=()), shaky=()))


@pytest.mark.parametrize("width", [420.0, 700.0, 1400.0])
def test_a_sheet_of_any_width_keeps_what_it_draws(width):
    """Nothing is drawn left of the sheet or right of it."""
    drawn = sheet(dated=schedule(), width=width)
    for each in drawn.iter(f"{SVG}rect"):
        left, wide = float(each.get("x", "0")), float(each.get("width", "0"))
        assert left >= -0.1
        assert left + wide <= width + 0.1
    assert all(-0.1 <= float(each.get("x", "0")) <= width + 0.1 for each in drawn.iter(f"{SVG}text"))


def test_hostile_names():
    """Names that look like markup are words, and the drawing is still well-formed."""
    evil = "<script>&\"' \u202e]]>"
    done = tuple(replace(step, says=evil) for step in steps())
    shaky = tuple(
        replace(each, singles=(Single(part=evil, services=(evil,)),)) if each.step == 5 else each
        for each in fragile()
    )
    drawn = sheet(of=replace(plan(), steps=done), shaky=shaky, dated=schedule())
    assert evil.replace("\u202e", "\ufffd") in said(drawn)
    assert not list(drawn.iter(f"{SVG}script"))


@given(
    st.lists(
        st.tuples(st.integers(0, 400), st.integers(0, 30)).map(
            lambda pair: (MONDAY + pair[0] * HOUR, MONDAY + (pair[0] + pair[1]) * HOUR)
        ),
        min_size=1,
        max_size=12,
    ),
    st.lists(st.integers(-10, 450), min_size=2, max_size=20),
)
@settings(max_examples=80, deadline=None)
def test_an_axis_with_breaks_keeps_the_order_of_time(spans, moments):
    """Later moments never lie further left, all lie between the ends, and every span has width where it has length."""
    of = folded(spans, left=100.0, right=900.0, apart=HOUR)
    at = [of.x(MONDAY + hours * HOUR) for hours in sorted(moments)]
    assert at == sorted(at)
    assert all(100.0 - 1e-6 <= x <= 900.0 + 1e-6 for x in at)
    assert of.pieces[0].left == pytest.approx(100.0)
    assert of.pieces[-1].right == pytest.approx(900.0)
    assert all(of.x(ends) > of.x(begins) for begins, ends in spans if ends > begins)


def test_idle_hours_are_cut_out():
    """A night between two evenings takes no more room than a break."""
    evenings = [(MONDAY + 19 * HOUR, MONDAY + 22 * HOUR), (MONDAY + 43 * HOUR, MONDAY + 46 * HOUR)]
    of = folded(evenings, left=0.0, right=1000.0, apart=HOUR)
    assert of.x(evenings[1][0]) - of.x(evenings[0][1]) == pytest.approx(13.0)
    assert of.x(evenings[0][1]) - of.x(evenings[0][0]) == pytest.approx(493.5)
