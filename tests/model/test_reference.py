"""The reference page: made from the declarations, whole, and up to date."""

import re
from pathlib import Path

from falsework.model.declare import declared, definition, reachable
from falsework.model.defaults import DEFAULTS
from falsework.model.reference import reference
from falsework.model.sections import CABLES, ORDER, RECORDS, SPARES
from falsework.units import Dimension

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "lab-file.md"


def test_the_page_is_up_to_date():
    """The page in the repository is the one that the declarations make; scripts/reference writes it."""
    assert PAGE.read_text(encoding="utf-8") == reference()


def test_every_section_and_record_has_a_heading():
    """Nothing that a file may hold is left out."""
    headings = set(re.findall(r"^#+ (.+)$", reference(), re.MULTILINE))
    assert set(ORDER) <= headings
    every = reachable((*RECORDS, *CABLES.records(), *SPARES.records()))
    assert {definition(record) for record in every} <= headings


def test_every_key_is_told():
    """Each declared key has a row with its meaning."""
    page = reference()
    for record in reachable((*RECORDS, *CABLES.records(), *SPARES.records())):
        for name, key in declared(record).items():
            assert re.search(rf"^\| `{re.escape(name)}` \|.*{re.escape(key.meaning)}", page, re.MULTILINE), (
                name
            )


def test_every_assumed_figure_is_told_with_its_source():
    """Each source of an assumed figure, and each unit's dimension, stands on the page."""
    page = reference()
    assert all(default.source in page for defaults in DEFAULTS.values() for default in defaults)
    assert all(each.value in page for each in Dimension if each is not Dimension.NUMBER)


def test_every_row_has_as_many_cells_as_its_heading():
    """No table is broken by a sign in a text."""
    width = 0
    for line in reference().splitlines():
        cells = len(re.findall(r"(?<!\\)\|", line))
        if not line.startswith("|"):
            width = 0
        elif width == 0:
            width = cells
        assert not line.startswith("|") or cells == width, line


def test_every_link_on_the_page_leads_to_a_heading():
    """Links within the page name headings that are there."""
    page = reference()
    anchors = {each.lower().replace(" ", "-") for each in re.findall(r"^#+ (.+)$", page, re.MULTILINE)}
    assert set(re.findall(r"\(#([^)]+)\)", page)) <= anchors
