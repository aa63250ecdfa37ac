"""Does the failure map say what the verdicts say?"""

from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.faces.report.pictures import DRAFT, KITCHEN, MENDED, alone, words

from falsework.analyses.verdicts import Singles, Verdict
from falsework.faces.report.blocks import MOST_COLUMNS, MOST_ROWS, sorted_map
from falsework.faces.report.failure_map import Links, failure_map, map_sheet

NS = "{http://www.w3.org/2000/svg}"


def singles(table, parts=None, services=None):
    """Singles from rows of services."""
    array = np.array(table, dtype=np.int8)
    return Singles(
        parts=tuple(parts or (f"p{number}" for number in range(array.shape[1]))),
        services=tuple(services or (f"s{number}" for number in range(array.shape[0]))),
        verdicts=array,
    )


tables = st.integers(1, 6).flatmap(
    lambda wide: st.lists(st.lists(st.integers(0, 4), min_size=wide, max_size=wide), min_size=1, max_size=6)
)


@given(tables)
def test_sorting_loses_no_verdict(table):
    """Each part is in one row or counted as quiet, and each cell holds the verdict of its part and service."""
    given_ = singles(table)
    found = sorted_map(given_)
    shown = [part for row in found.rows for part in row.parts]
    assert len(shown) == len(set(shown))
    assert len(shown) + found.quiet == len(given_.parts)
    for row in found.rows:
        for part in row.parts:
            for column, verdict in zip(found.columns, row.verdicts, strict=True):
                for service in column:
                    at = given_.services.index(service), given_.parts.index(part)
                    assert given_.verdicts[at] == verdict


@given(tables)
def test_the_worst_rows_come_first(table):
    """Rows are in falling order of the worst that they do."""
    worst = [row.worst for row in sorted_map(singles(table)).rows]
    assert worst == sorted(worst, reverse=True)
    assert Verdict.STANDS not in worst


def test_like_rows_are_one():
    """Parts that do the same share a row, which says how many there are."""
    text = failure_map(singles([[3, 3, 3, 3, 0, 2, 2]]), dict.fromkeys(("p0", "p1", "p2", "p3"), "cable"))
    assert "4 cables like p0" in text
    assert ">p5 or p6<" in text
    assert "7 single losses: 4 bring something down, 2 interrupt something" in text
    assert "1 change nothing" in text


@pytest.mark.parametrize("name", [KITCHEN, DRAFT, MENDED])
def test_the_map_is_well_formed(name):
    """The map of each example parses, with a group for each row that names its parts."""
    made = ElementTree.fromstring(failure_map(alone(name), words(name)))
    rows = [
        each.get("data-id") for each in made.iter(f"{NS}g") if each.get("data-word") not in (None, "service")
    ]
    assert len(rows) == len(sorted_map(alone(name)).rows)


def test_like_services_share_a_column_only_where_they_must():
    """On a small map each service keeps its column; on a large one those that fare alike share it."""
    assert len(sorted_map(singles([[3], [3]])).columns) == 2
    wide = sorted_map(singles([[3]] * (MOST_COLUMNS + 1)))
    assert [len(column) for column in wide.columns] == [MOST_COLUMNS + 1]


def test_hostile_names_stay_names():
    """Markup in names is text on the map."""
    given_ = singles([[3, 2]], parts=["<script>", "a&b\u202e"], services=['"><script>'])
    made = ElementTree.fromstring(failure_map(given_, {"<script>": "<i>"}))
    assert not list(made.iter("script"))
    assert any(each.get("data-id") == "<script>" for each in made.iter(f"{NS}g"))


def test_a_map_too_large_for_a_sheet_counts_the_rest():
    """More rows and columns than fit are left out, the quietest, and counted in words."""
    size = 100
    table = np.where(np.arange(size)[:, None] <= np.arange(size)[None, :], 3, 0)
    found = sorted_map(singles(table))
    assert (len(found.rows), len(found.columns)) == (MOST_ROWS, MOST_COLUMNS)
    assert found.left_out == (size - MOST_ROWS, size - MOST_COLUMNS)
    assert f"{size - MOST_ROWS} rows and {size - MOST_COLUMNS} columns" in failure_map(singles(table), {})


def test_no_service_no_map_to_break():
    """A lab without services has an empty map, not a fault."""
    assert ElementTree.fromstring(failure_map(singles(np.zeros((0, 3)), services=()), {})) is not None


def test_a_map_for_a_page_leads_everywhere():
    """Each row and each column is one link, each mark one for every service that is interrupted or down."""
    found = sorted_map(alone(KITCHEN))
    links = Links(
        row=lambda losses: f"row {losses[0]}",
        cell=lambda losses, services: f"cell {losses[0]} {services[0]}",
        column=lambda services: f"column {services[0]}",
    )
    made = ElementTree.fromstring(map_sheet(found, words(KITCHEN), says="a map", links=links))
    hrefs = [each.get("href") for each in made.iter(f"{NS}a")]
    assert len(hrefs) == len(set(hrefs))
    expected = {f"row {row.parts[0]}" for row in found.rows} | {f"column {each[0]}" for each in found.columns}
    expected |= {
        f"cell {row.parts[0]} {column[0]}"
        for row in found.rows
        for column, verdict in zip(found.columns, row.verdicts, strict=True)
        if verdict >= Verdict.BLINKS
    }
    assert set(hrefs) == expected
    assert all(each.get("aria-label") for each in made.iter(f"{NS}a"))
    assert made.find(f"{NS}style") is None


def test_notes_stand_behind_the_counts():
    """What is noted of a loss is said in its row, once for losses alike."""
    found = sorted_map(singles([[3, 3, 0]]))
    text = map_sheet(found, {}, says="a map", notes={"p0": "breaks it", "p1": "breaks it"})
    assert text.count("1 falls · breaks it<") == 1
