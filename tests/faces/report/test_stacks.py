"""Are copies drawn as high as they are, where they are, with names that stay in their boxes?"""

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from tests.faces.handmade_placing import GIB, many, move, placing, six

from falsework.faces.report.piles import LEAST, Scale, lettering, piled
from falsework.faces.report.stacks import PRINTED, stack_print, stack_sheet
from falsework.faces.report.svg import width_of

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("hosts", [3, 30, 100])
def test_every_machine_is_drawn_once_and_nothing_leaves_the_sheet(hosts):
    """All machines, each a group of its own; no box and no text begins outside."""
    root = ElementTree.fromstring(stack_sheet(six(), many(hosts)))
    width, height = (float(root.attrib[side]) for side in ("width", "height"))
    groups = [each for each in root.iter(f"{SVG}g") if each.get("data-word") == "node"]
    assert [each.get("data-id") for each in groups] == [each.host for each in many(hosts).filled]
    for each in root.iter(f"{SVG}rect"):
        x, y = float(each.get("x", 0)), float(each.get("y", 0))
        assert x >= 0
        assert x + float(each.get("width", 0)) <= width
        # The signs of the key stand above a base line of their own.
        assert y >= -13
        assert y + float(each.get("height", 0)) <= height


def test_machines_do_not_overlap():
    """Beams of one height on a sheet of 100 machines are apart."""
    beams = re.findall(r'd="M([\d.]+) ([\d.]+)H([\d.]+)"', stack_sheet(six(), many(100)))
    assert len(beams) == 100
    rows: dict[float, list[tuple[float, float]]] = {}
    for start, y, end in beams:
        rows.setdefault(float(y), []).append((float(start), float(end)))
    for row in rows.values():
        row.sort()
        assert all(end < start for (_, end), (start, _) in itertools.pairwise(row))


def test_today_and_then_and_what_comes_are_told_apart_without_colour():
    """What leaves is hatched, what comes has a heavy edge, what restarts is dashed, what is lost says so in words."""
    drawn = stack_sheet(six(), placing())
    for says in ("today, and leaves", "comes from elsewhere", "restarts here then", "left out then, to make room", "is lost", "No room then for logs.1", "Left out then to make room: files.1"):  # fmt: skip
        assert says in drawn
    still = stack_sheet(six(), replace(placing(worst=False), filled=tuple(replace(each, before=each.copies) for each in placing().filled)))  # fmt: skip
    for says in ("leaves", "comes from", "restarts", "is lost", "left out"):
        assert says not in still


def test_what_comes_stays_under_the_beam_where_something_is_left_out_for_it():
    """The ghost lies on what stays, beside what is left out; both are drawn."""
    small = replace(
        placing(),
        filled=tuple(
            replace(each, has={"memory": 16 * GIB}) if each.host == "box-2.a" else each
            for each in placing().filled
        ),
    )
    root = ElementTree.fromstring(stack_sheet(six(), small))
    (host,) = (each for each in root.iter(f"{SVG}g") if each.get("data-id") == "box-2.a")
    (beam,) = (each.get("d") for each in host.iter(f"{SVG}path") if each.get("stroke-width") == "2.6")
    top = float(beam.split()[1].split("H")[0])
    boxes = [each for each in host.iter(f"{SVG}rect") if float(each.get("height")) > 6]
    assert all(float(each.get("y")) >= top - 0.2 for each in boxes)
    assert {"mail.1", "files.1", "pages.2"} <= {each.text for each in host.iter(f"{SVG}text")}


def test_a_pile_is_to_scale_with_small_copies_on_top():
    """Heights are those of the memory; small ones share a line that is stretched only where that stays under the beam."""
    size = {"large": 20 * GIB, "tiny": 0.5 * GIB, "small": GIB}
    scale = Scale(per_byte=2.0 / GIB, size=size)
    pile = piled(("tiny", "large", "small"), scale, 60.0)
    assert [name for name, _, _ in pile.slices] == ["large", "small", "tiny"]
    assert pile.slices[0] == ("large", 0.0, 40.0)
    assert pile.high == 40.0 + LEAST
    assert [names for names, _ in pile.labels] == [("large",), ("small", "tiny")]
    full = piled(("tiny", "large", "small"), scale, 44.0)
    assert full.high == pytest.approx(43.0)
    assert [names for names, _ in full.labels] == [("large",)]


def test_many_small_copies_take_as_many_lines_as_have_room():
    """Each is named in one line."""
    names = tuple(f"c{number}" for number in range(8))
    scale = Scale(per_byte=6.0 / GIB, size=dict.fromkeys(names, GIB))
    pile = piled(names, scale, None)
    assert pile.high == 48.0
    assert [name for line, _ in pile.labels for name in line] == list(names)
    assert len(pile.labels) == 4


def test_nobody_says_what_copies_take():
    """All are alike, and all named."""
    pile = piled(("a", "b"), Scale(per_byte=0.0, size={}), None)
    assert [names for names, _ in pile.labels] == [("a",), ("b",)]
    bare = replace(placing(), memory=dict.fromkeys(placing().memory, 0.0))
    assert "pages.3" in stack_sheet(six(), bare)


@pytest.mark.parametrize("room", [40.0, 60.0, 90.0, 200.0])
def test_letters_stay_in_their_box(room):
    """As many whole names as have room, the rest counted; a single one is cut in its middle."""
    for names in (("pages.1", "archive.12", "rota.1"), ("a-service-with-a-long-name.1",)):
        drawn = lettering(names, 0, 0, room, size=10.5)
        shown = re.sub("<title>.*?</title>|<[^>]*>", "", drawn)
        assert width_of(shown, 10.5) <= room
        assert shown[0] == names[0][0]
        assert len(names) == 1 or room > 150 or "+" in shown


def test_paper_is_white_and_shows_only_what_changes():
    """Many machines: sheets of at most so many, without those on which nothing changes, and that is said."""
    found = many(40)
    few_ = replace(found, filled=tuple(replace(each, before=each.copies) if number > 5 else each for number, each in enumerate(found.filled)), worst=None)  # fmt: skip
    ((drawn, says),) = stack_print(few_)
    assert drawn.count('data-word="node"') == 6
    assert "nothing changes are left out" in says
    assert "#f6f1e4" not in drawn
    assert len(stack_print(found)) == -(-40 // PRINTED)
    ((_, says),) = stack_print(placing())
    assert "left out." not in says


def test_what_nobody_says_of_today_is_not_drawn():
    """A place that was only assumed is no today: nothing leaves it, and what starts elsewhere does not come from there."""
    found = placing(moves=tuple(move(copy, "", host) for copy, host in placing().host_of.items()))
    drawn = stack_sheet(six(), found)
    for says in ("today", "leaves", "comes from"):
        assert f">{says}" not in drawn
    root = ElementTree.fromstring(stack_sheet(six(), placing()))
    (host,) = (each for each in root.iter(f"{SVG}g") if each.get("data-id") == "box-1.b")
    edges = [each for each in host.iter(f"{SVG}rect") if each.get("width") == "6"]
    assert len(edges) == 1  # logs.1 comes; of rota.1 nobody knows


def test_names_are_only_text():
    """Whatever signs are in them, the drawing stays well formed and nothing in it becomes markup."""
    bad = '<script>alert(1)</script> & "x" ]]> \u202egnp and-a-name-that-goes-on-and-on'
    found = placing()
    drawn = stack_sheet(
        six(),
        replace(
            found,
            filled=tuple(replace(each, host=bad, copies=(bad, *each.copies)) for each in found.filled[:1]),
            memory={**found.memory, bad: GIB * 4},
        ),
    )
    root = ElementTree.fromstring(drawn)
    assert not list(root.iter(f"{SVG}script"))
    assert any("alert" in "".join(each.itertext()) for each in root.iter(f"{SVG}text"))
