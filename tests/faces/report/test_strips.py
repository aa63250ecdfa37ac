"""How the probes of a run look on paper."""

import datetime
import xml.etree.ElementTree as ET

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.analyses.drilling import Foretold
from falsework.analyses.verdicts import Verdict
from falsework.faces.report.strips import MOST_ROWS, NAMES, WIDTH, Strips, first, strips_svg
from falsework.record.observed import NEVER, Observed, Outage, ProbeSeen, Run
from falsework.record.seen import Gap, Mark, Marked, Told, Why


def outage(from_s, until_s, told=Told.SILENT):
    """One that is known to the moment."""
    return Outage(good_s=from_s, bad_s=from_s, last_bad_s=until_s, good_again_s=until_s, told=told, says="x")


def seen(*outages, names=("web",), marks=(), gaps=(), until_s=100.0):
    """A run; its first probe saw the outages."""
    run = Run(
        number=1, lab="L", digest="", drill="d", tries="loss", lost=("a",), out=(), machine="m",
        began=datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC), until_s=until_s, ended=True,
        marks=marks, gaps=gaps, jumps=(),
    )  # fmt: skip
    return Observed(
        run=run,
        probes=tuple(
            ProbeSeen(
                probe=name, sees=name, asks="", every_s=0.1, asked=9, yes=9, outages=outages if not number else (),
                usual_s=0.01, worst_s=0.1,
            )
            for number, name in enumerate(names)
        ),
    )  # fmt: skip


def drawn(run, *effects, from_s=0.0):
    """The drawing as a tree."""
    strips = Strips(
        seen=run, effects={each.service: each for each in effects}, from_s=from_s, until_s=run.run.until_s
    )
    return ET.fromstring(strips_svg(strips, says="it"))


def boxes(tree, name):
    """The sides of what is drawn for outages, gaps or brackets: left and right."""
    found = []
    for group in tree.iter():
        if group.get(name):
            rect = next(each for each in group if each.tag.endswith("rect"))
            found.append((float(rect.get("x")), float(rect.get("x")) + float(rect.get("width"))))
    return found


DONE = Marked(at_s=20.0, mark=Mark.DONE)
BACK = Marked(at_s=60.0, mark=Mark.PUT_BACK)


def test_an_outage_lies_where_it_was():
    """On a run of 100 s an outage from 20 s to 60 s takes the two middle fifths of its strip."""
    (sides,) = boxes(drawn(seen(outage(20.0, 60.0))), "data-outage")
    span = WIDTH - NAMES - 24
    assert sides[0] == NAMES + round(0.2 * span, 1)
    assert abs(sides[1] - (NAMES + 0.6 * span)) < 0.2


def test_what_was_foretold_is_a_bracket_under_it():
    """It runs from the foretold fall to the foretold return, and is open where hands are waited for."""
    blinks = Foretold(service="web", verdict=Verdict.BLINKS, falls_s=0.0, back_s=10.0)
    falls = Foretold(service="web", verdict=Verdict.FALLS, falls_s=0.0, back_s=NEVER)
    run = seen(outage(20.0, 60.0), marks=(DONE, BACK))
    text = ET.tostring(drawn(run, blinks), encoding="unicode")
    assert "back by 10 s" in text
    assert "out for 40 s" in text
    text = ET.tostring(drawn(run, falls), encoding="unicode")
    assert "until it is put back" in text


def test_a_gap_is_told_apart():
    """Where the stopwatch did not run, dots stand on bare paper."""
    tree = drawn(seen(gaps=(Gap(from_s=10.0, until_s=20.0, why=Why.ASLEEP),)))
    assert len(boxes(tree, "data-gap")) == 1
    assert boxes(tree, "data-outage") == []


def test_of_very_many_those_that_saw_most():
    """No more rows than people read, and the one with the outage among them."""
    names = tuple(f"p{number}" for number in range(90))
    run = seen(outage(20.0, 60.0), names=names)
    turned = Observed(run=run.run, probes=tuple(reversed(run.probes)))
    kept = first(turned.probes)
    assert len(kept) == MOST_ROWS
    assert kept[-1].probe == "p0"


moments = st.floats(-10, 200, allow_nan=False)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(moments, st.floats(0, 300)), max_size=6),
    st.floats(0.1, 150),
    st.floats(0, 90),
    st.booleans(),
)
def test_nothing_leaves_the_drawing(times, until_s, from_s, lasts):
    """Whatever is seen, and from whenever on it is drawn, it is well formed and within its frame."""
    outages = [outage(start, NEVER if lasts else start + length) for start, length in times]
    tree = drawn(seen(*outages, marks=(DONE, BACK), until_s=until_s), from_s=min(from_s, until_s - 0.05))
    for left, right in boxes(tree, "data-outage"):
        assert NAMES - 0.1 <= left <= right <= WIDTH
