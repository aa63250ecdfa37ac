"""Does the report's piece on power say the worst first, with its table, its drawing and its caution?"""

from __future__ import annotations

import pytest
from tests.faces.report.pictures import MENDED, TRAP, standing

from falsework.analyses.power.whole import power
from falsework.faces.report.power_piece import power_piece
from falsework.findings.finding import POWER_CAUTION


def piece(name):
    """The piece of a lab."""
    return power_piece(standing(name).lab, power(standing(name)))


def test_what_is_too_much_is_said_first():
    """The trap: the lead names loss and source, each source its mend, and the piece is bad."""
    found = piece(TRAP)
    assert found.bad
    assert found.lead.startswith("Lose c2: c1 would have to carry 4,000 W")
    assert found.says[0].endswith("move machines off c1, or feed it from a stronger circuit")
    assert found.tables[0].rows[0][0] == "c1"


@pytest.mark.parametrize("name", [TRAP, MENDED])
def test_figures_have_their_caution(name):
    """Every row is as wide as its head; the drawing and the caution are there."""
    found = piece(name)
    assert all(len(row) == len(table.heads) for table in found.tables for row in table.rows)
    assert found.figures[0].svg.startswith("<svg")
    assert found.caution.startswith(POWER_CAUTION)
    assert found.taken


def test_nothing_to_tell():
    """A lab without a source of power has no such piece."""
    assert piece("hostile") is None
