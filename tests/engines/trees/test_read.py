from __future__ import annotations

import pytest

from falsework.engines.trees.engine import column
from falsework.engines.trees.read import read
from falsework.errors import LabError, QuestionError

XML = '\n<opsa-mef><define-fault-tree name="f">{}</define-fault-tree></opsa-mef>'
GATE = '<define-gate name="{}"><basic-event name="a"/></define-gate>'


def test_content_tells_the_format(tmp_path):
    """Not the name of the file, and not blanks or a byte order mark before its first sign."""
    path = tmp_path / "tree.txt"
    path.write_text(XML.format(GATE.format("t")), encoding="utf-8-sig")
    assert read(path).gate_names == ("t",)
    path.write_text('\n toplevel "A"; "A" or "B"; "B" lambda=1;', encoding="utf-8-sig")
    assert read(path, time=0.0).probabilities == (0.0,)


def test_top_is_for_files_that_leave_a_choice(tmp_path):
    """An Open-PSA file with two ends needs it; a Galileo file names its own."""
    path = tmp_path / "tree"
    path.write_text(XML.format(GATE.format("t") + GATE.format("u")))
    assert read(path, top="u").gate_names == ("u",)
    with pytest.raises(LabError, match="no gate is called 'v'"):
        read(path, top="v")
    path.write_text('toplevel "A"; "A" prob=1;')
    with pytest.raises(LabError, match="names its own"):
        read(path, top="u")


def test_missing_probabilities_are_named(tmp_path):
    """They are asked for before anything is worked out."""
    path = tmp_path / "tree"
    path.write_text('toplevel "A"; "A" or "B" "C"; "B" lambda=1; "C" prob=0.5;')
    with pytest.raises(QuestionError, match="no probability is known of B"):
        column(read(path))
    assert column(read(path, time=1.0)).shape == (2, 1)
