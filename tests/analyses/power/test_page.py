"""Is what docs/explanation/power.md works out by hand what the program says?"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from falsework.analyses.power.sheet import feeds
from falsework.engines.electrical import LEVELS
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[3]
PAGE = (ROOT / "docs/explanation/power.md").read_text(encoding="utf-8")


@cache
def sheet():
    """The sheet of the observatory."""
    return feeds(Standing(load(ROOT / "examples/observatory/mended.yaml")))


def feed(name):
    """One source of it."""
    return next(each for each in sheet().feeds if each.id == name)


def rows():
    """The table of strip B, as numbers."""
    table = PAGE.split("| on strip B |")[1].split("\n\n")[0]
    lines = [line.strip("|").split("|") for line in table.splitlines()[2:]]
    return [[float(cell.strip(" *")) for cell in line[1:]] for line in lines]


def test_the_table_adds_up():
    """Each column of the page is the sum of its rows."""
    *parts, together = rows()
    assert [sum(column) for column in zip(*parts, strict=True)] == together


def test_the_sums_are_those_of_the_program():
    """Idle, usual, busy, and after the worst loss, which takes strip A's power."""
    b = feed("B")
    assert [b.idle.watts, b.usual.watts, b.busy.watts, b.worst.carried.watts] == rows()[-1]
    assert b.worst.lost == "c1"
    assert next(each for each in sheet().lost if each.lost == "A").carries[-1] == ("B", 942)


def test_the_figures_in_the_text():
    """Volt-amperes, amperes, the circuit's share and the twin's supply are as the text says."""
    b, c2 = feed("B"), feed("c2")
    assert round(b.worst.carried.volt_amperes) == 992
    assert round(b.worst.carried.amperes, 1) == 4.3
    assert c2.worst.carried.watts == 1046
    assert round(c2.worst.carried.share, 2) == 0.28
    assert feed("C").busy.watts == 104
    twin = next(each for each in sheet().supplied if each.machine == "twin-1")
    assert round(twin.gives[0].alone) == 210
    assert 0.87 < twin.gives[0].alone / 240 < 0.88


@pytest.mark.parametrize("level", LEVELS)
def test_the_levels_of_the_page_are_those_of_the_program(level):
    """The table of levels is printed as it is used."""
    row = re.search(rf"\| {level} \|(.*)\|", PAGE)[1]
    printed = [int(cell) for cell in row.split("|") if cell.strip()]
    assert printed == [round(100 * efficiency) for _, efficiency in LEVELS[level]]
