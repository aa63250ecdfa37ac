"""Do answers on drives hold their schema, and do picture and report say the same?"""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import jsonschema
import pytest
from tests.model.texts import lab_of

from falsework.analyses.drives.whole import drives
from falsework.faces.answers import answers_schema
from falsework.faces.plain_drives import drives_answer
from falsework.faces.report.drives_piece import drives_piece
from falsework.faces.report.layouts import layouts_sheet
from falsework.findings.finding import DATA_CAUTION
from falsework.model.build import load

OBSERVATORY = Path("examples/observatory")

LABS = {
    "no bays": "lab: l\nkinds: {d: {is: drive, size: 2 TB}}\nmachines: {a: {is: node}}\nheaps: {crate: {drives: [3 d]}}\n",
    "no sizes": "lab: l\nkinds: {d: {is: drive}}\nmachines: {a: {is: node, bays: 4}}\nheaps: {crate: {drives: [3 d]}}\n"
    "stores: {}\n",
    "too much": "lab: l\nkinds: {d: {is: drive, size: 2 TB, batch: b}}\nmachines: {a: {is: node, bays: 4}}\n"
    "heaps: {crate: {drives: [4 d], wanted: 90 TB}, other: {drives: [2 d], most lost: 0}}\n",
    "a store": "lab: l\nkinds: {d: {is: drive, size: 2 TB}, e: {is: drive}}\nmachines: {a: {is: node, drives: [2 d, 2 e]}}\n"
    "stores: {s: {drives: [a.d1, a.d2], layout: mirror}, t: {drives: [a.d3, a.d4], layout: mirror}}\n",
    'a name <&"': 'lab: "<&\\"\'"\nkinds: {d: {is: drive, size: 2 TB}}\nmachines: {a: {is: node, bays: 2}}\nheaps: {crate: {drives: [2 d]}}\n',
}


def labs():
    """Every lab to be told."""
    yield from ((name, lab_of(text)) for name, text in LABS.items())
    yield from ((name, load(OBSERVATORY / f"{name}.yaml")) for name in ("draft", "mended"))


@pytest.mark.parametrize(
    ("name", "lab"), list(labs()), ids=lambda each: each if isinstance(each, str) else ""
)
def test_answers_hold_the_schema(name, lab):
    """Whatever there is to lay out, or not: the answer is JSON without NaN, as the schema says."""
    found = drives(lab)
    answer = json.loads(json.dumps(drives_answer(lab, found, 0 if found.met else 1), allow_nan=False))
    jsonschema.Draft202012Validator(answers_schema()).validate(answer)
    assert answer["caution"] == DATA_CAUTION


@pytest.mark.parametrize(
    ("name", "lab"), list(labs()), ids=lambda each: each if isinstance(each, str) else ""
)
def test_the_picture_can_be_read_and_bears_the_caution(name, lab):
    """Well-formed, the caution below each heap, every layout of the front a sign."""
    found = drives(lab)
    sheet = layouts_sheet(lab, found)
    ElementTree.fromstring(sheet)
    assert sheet.count('data-word="layout"') == sum(e.front for h in found.heaps for e in h.layouts)
    if found.heaps:
        assert DATA_CAUTION in sheet


def test_the_piece_of_the_report_leads_with_the_recommendation():
    """The same sentence as in the terminal, with caution, a figure and both tables."""
    lab = load(OBSERVATORY / "mended.yaml")
    piece = drives_piece(lab, drives(lab))
    assert piece.lead == "Lay crate out as 2 copies, apart by node: 6.0 TB"
    assert (piece.bad, piece.caution) == (False, DATA_CAUTION)
    assert len(piece.figures) == 1
    for table in piece.tables:
        assert all(len(row) == len(table.heads) for row in table.rows)
