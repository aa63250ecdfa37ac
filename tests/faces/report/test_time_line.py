"""Is the drawing of a time line whole, whatever lies on it?"""

import datetime
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from falsework.analyses.evidence.result import Evidence, Point, Sort
from falsework.faces.report.time_line import MOST_HOSTS, MOST_STROKES, time_line

UTC = datetime.UTC
EMPTY = Evidence(
    moment=datetime.datetime(2026, 3, 14, 3, 12, 8, tzinfo=UTC),
    before_s=600.0,
    after_s=1_800.0,
    ordinary_s=86_400.0,
    run=None,
    lost=(),
    points=(),
    first=None,
    rivals=(),
    foretold=(),
    unforetold=(),
    clocks=(),
    reference="",
    tied=True,
    lines=0,
    ordinary_lines=0,
    kinds=0,
    chance_new=0.0,
    uncompared=(),
    unknown=(),
    files=1,
    refused=(),
    dropped=0,
    full=False,
    passed=(),
    quiet=(),
    guessed=False,
)


def said(at_s, whose="desk-1", sort=Sort.SAID, until_s=None, **more):
    """A point."""
    return Point(
        at_s=at_s, within_s=0.0, until_s=at_s if until_s is None else until_s, sort=sort, whose=whose, **more
    )


def drawn(*points, **more):
    """The drawing, read again."""
    text = time_line("two desks", replace(EMPTY, points=points, **more), UTC)
    assert not re.search(r"nan|inf(?!l)", re.sub(r">[^<]*<", "><", text))
    return ElementTree.fromstring(text)


def titles(root):
    """All titles, joined."""
    return " | ".join(each.text or "" for each in root.iter("{http://www.w3.org/2000/svg}title"))


def test_nothing_is_drawn_of_nothing():
    """A sheet with its axis."""
    assert "no line is in the time asked about" in titles(drawn())


@pytest.mark.parametrize("sort", list(Sort))
def test_every_sort_has_its_shape(sort):
    """Each sort of point, one that ends and one that does not."""
    root = drawn(
        said(3.0, sort=sort, says="x y", until_s=9.0), said(5.0, sort=sort, says="x y", until_s=math.inf)
    )
    assert "x y" in " ".join(root.itertext())


def test_times_lie_in_their_order():
    """The later a line the farther to the right, on both sides of the moment and close to it."""
    times = [-500.0, -60.0, -1.0, -0.01, 0.0, 0.01, 2.0, 90.0, 1_799.0]
    root = drawn(*(said(each, says=f"line {n}") for n, each in enumerate(times)))
    found = {}
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        name = group.find("{http://www.w3.org/2000/svg}title")
        if name is not None and "line " in (name.text or ""):
            number = int(re.search(r"line (\d)", name.text)[1])
            found[number] = float(group.find("{http://www.w3.org/2000/svg}line").get("x1"))
    assert [found[n] for n in range(len(times))] == sorted(found.values())
    assert len(set(found.values())) >= len(times) - 2


def test_much_is_counted_and_not_drawn():
    """Hosts beyond those that have a course, and strokes beyond those that are drawn."""
    many = [said(float(n), whose=f"host-{n}") for n in range(MOST_HOSTS + 7)]
    assert "7 more have no course" in " ".join(drawn(*many).itertext())
    root = drawn(*(said(float(n)) for n in range(MOST_STROKES * 2)))
    assert titles(root).count("desk-1") == MOST_STROKES
    assert f"{MOST_STROKES} more points are not drawn." in " ".join(root.itertext())


def test_what_comes_after_much_talk_is_drawn():
    """A host that said much before the moment: what is left out is far from it, not what comes after it."""
    talk = [said(float(n - 2_000), says=f"talk {n}") for n in range(MOST_STROKES * 2)]
    shown = titles(drawn(*talk, said(3.0, says="it broke")))
    assert "it broke" in shown
    assert "talk 0," not in shown


def test_hostile_names_are_text():
    """Markup and signs that turn text in hosts and lines."""
    root = drawn(said(1.0, whose="<script>\u202ex", says="</title><script>alert(1)</script>"))
    assert not list(root.iter("{http://www.w3.org/2000/svg}script"))
    assert "alert(1)" in titles(root)


def test_a_window_of_nothing_is_no_error():
    """Neither before nor after."""
    drawn(said(0.0), before_s=0.0, after_s=0.0)
