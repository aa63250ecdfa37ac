"""Do the files shown on the reference page read as the page says?"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from falsework.engines.trees import draft, galileo, markup, opening
from falsework.engines.trees.engine import column
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.formulas import CONNECTIVES
from falsework.engines.trees.read import read
from falsework.engines.trees.values import OPERATIONS

PAGE = (Path(__file__).parents[3] / "docs" / "reference" / "fault-tree-files.md").read_text(encoding="utf-8")
XML, GALILEO = re.findall(r"^```\w*\n(.*?)^```", PAGE, re.DOTALL | re.MULTILINE)


def test_the_open_psa_example(tmp_path):
    """Its probability for a mission of 200 is 1 - (1 - 0.001) (1 - 0.02 (1 - exp(-0.02)))."""
    path = tmp_path / "f"
    path.write_text(XML, encoding="utf-8")
    tree = read(path, time=200.0)
    found = Enumeration(tree).probability(column(tree))[0]
    assert found == pytest.approx(0.001 + 0.999 * 0.02 * 0.0198013267, rel=1e-8)


def test_the_galileo_example(tmp_path):
    """It reads; with a time every event has its probability."""
    path = tmp_path / "f"
    path.write_text(GALILEO, encoding="utf-8")
    assert read(path).probabilities.count(None) == 2
    tree = read(path, time=100.0)
    assert dict(zip(tree.events, tree.probabilities, strict=True)) == {
        "tank empty": 0.001,
        "pump 1": pytest.approx(0.00995017),
        "pump 2": pytest.approx(0.00995017),
        "pump 3": pytest.approx(1e-4 / 0.1001),
    }


def test_all_that_is_read_is_told():
    """Every connective and every operation stands on the page, and every bound."""
    told = set(re.findall(r"`([\w-]+)[^`]*`", PAGE))
    assert {*CONNECTIVES, *OPERATIONS} <= told
    for number in (draft.MOST_NODES, draft.MOST_INPUTS, galileo._LONGEST_STATEMENT, galileo._MOST_WORDS):
        assert f"{number:,}" in PAGE
    assert f"{opening.LARGEST_BYTES // 2**20} MiB in XML" in PAGE
    assert f"{galileo._LARGEST_BYTES // 2**20} MiB in Galileo" in PAGE
    assert f"| {markup.DEEPEST};" in PAGE
