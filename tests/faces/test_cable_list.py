from __future__ import annotations

import csv
import io

from tests.strategies import lab_of

from falsework.analyses.wire.layout import layout
from falsework.faces.cable_list import HEAD, cable_list

LAB = """
falsework: 1
lab: x
places: {"hall": room}
machines:
  n1..2: {is: node, ports: {a: 1 Gb/s}, in: hall}
  s: {is: switch, ports: 4 x 1 Gb/s, in: hall}
wire:
  cables:
    - {run: n1 -- s, colour: 'red, "thick"', length: 2 m, group: =trunk}
    - n2 -- s
"""


def test_it_reads_back():
    """Lines end in CR LF, what holds commas or quotes is quoted (RFC 4180), and a program reads the same back."""
    text = cable_list(layout(lab_of(LAB)).runs)
    assert text.count("\r\n") == 3
    assert text.replace("\r\n", "").count("\n") == 0
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == HEAD
    assert rows[0]["label"] == "s.1"
    assert rows[0]["colour"] == 'red, "thick"'
    assert (rows[0]["length"], rows[0]["length is"]) == ("2 m", "said")
    assert (rows[1]["length"], rows[1]["length is"]) == ("7 m", "proposed")
    assert rows[1]["from room"] == "hall"


def test_a_cell_is_never_a_formula():
    """What begins like one gets an apostrophe."""
    text = cable_list(layout(lab_of(LAB)).runs)
    assert "'=trunk" in text
    assert ",=trunk" not in text
