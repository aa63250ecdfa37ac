"""Is every port of every switch drawn, with what it goes to?"""

from __future__ import annotations

from xml.etree import ElementTree

from tests.strategies import lab_of

from falsework.analyses.wire.whole import wire
from falsework.faces.report.ports import MOST, ports_print, ports_sheet
from falsework.faces.report.wire_piece import wire_piece
from falsework.support.standing import Standing

SVG = "{http://www.w3.org/2000/svg}"
TEXT = """
falsework: 1
lab: <Two> & more
machines:
  n1: {is: node, ports: {a: 1 Gb/s, m: 1 Gb/s}, controller: m}
  s1..2: {is: switch, ports: {1..6: 1 Gb/s, up1..2: 10 Gb/s}}
wire:
  cables:
    - n1.a -- s1
    - n1.m -- s2
    - {run: s1.up1..2 -- s2.up1..2, group: trunk}
"""


def found_in(text):
    """The lab of a text and what is told of its wire."""
    lab = lab_of(text)
    return lab, wire(Standing(lab))


def test_each_switch_with_its_ports():
    """A group a switch, a square and a title a port, both ends named, inside the sheet."""
    root = ElementTree.fromstring(ports_sheet(*found_in(TEXT)))
    switches = [each for each in root.iter(f"{SVG}g") if each.get("data-word") == "switch"]
    assert [each.get("data-id") for each in switches] == ["s1", "s2"]
    titles = [each.text for each in switches[0].iter(f"{SVG}title")]
    assert "1: n1.a, label s1.1" in titles
    assert "up1: s2.up1, label s1.up1" in titles
    assert sum(1 for each in titles if each.endswith("free")) == 5
    width, height = float(root.attrib["width"]), float(root.attrib["height"])
    for each in root.iter(f"{SVG}rect"):
        assert 0 <= float(each.get("x", 0)) <= width
        assert float(each.get("y", 0)) + float(each.attrib["height"]) <= height


def test_states_are_told_without_colour():
    """Free ports are dashed, controllers slanted, switches dark, groups on a bar."""
    drawn = ports_sheet(*found_in(TEXT))
    assert 'stroke-dasharray="3 2"' in drawn
    assert "work as one group" in drawn
    assert "to a management controller" in drawn


def test_a_wide_switch_takes_more_lines():
    """Of 200 ports all are drawn, none beyond the edge."""
    text = TEXT.replace("{1..6: 1 Gb/s, up1..2: 10 Gb/s}", "{1..200: 1 Gb/s, up1..2: 10 Gb/s}")
    root = ElementTree.fromstring(ports_sheet(*found_in(text), width=700))
    for each in root.iter(f"{SVG}rect"):
        assert float(each.get("x", 0)) + float(each.attrib["width"]) <= 700


def test_of_very_many_the_middle_is_drawn():
    """More switches than fit are counted in words."""
    text = f"falsework: 1\nlab: x\nmachines:\n  s1..{MOST + 3}: {{is: switch, ports: 4}}\n  m: {{is: switch, ports: 99}}\nwire: {{cables: [s* -- m]}}\n"
    _, found = found_in(text)
    drawn, says = ports_print(found)
    assert "4 more switches" in says
    assert 'data-id="m"' in drawn


def test_the_piece_of_the_report():
    """Its lead, its tables and its drawing; none where no cable is described."""
    lab, found = found_in(TEXT)
    piece = wire_piece(lab, found)
    assert piece is not None
    assert piece.lead.startswith("4 cables, 2 switches with 10 free ports")
    assert [table.says for table in piece.tables][-1].startswith("Cables")
    assert "<svg" in piece.figures[0].svg
    lab, found = found_in("falsework: 1\nlab: x\nmachines: {n: node}\n")
    assert wire_piece(lab, found) is None
