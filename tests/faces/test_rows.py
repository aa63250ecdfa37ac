"""Tables as CSV are read back by another reader, and no cell is a formula."""

import csv
import io

from falsework.faces.rows import LEADS, csv_rows


def test_it_is_read_back():
    """Commas, quotes, blanks and line ends inside a cell survive."""
    rows = [["a,b", 'c "d"', "e\nf"], [1, "", None]]
    read = list(csv.reader(io.StringIO(csv_rows(("x", "y", "z"), rows), newline="")))
    assert read == [["x", "y", "z"], ["a,b", 'c "d"', "e\nf"], ["1", "", "None"]]


def test_a_cell_is_never_a_formula():
    """What begins like one gets an apostrophe, whatever it is."""
    text = csv_rows(("x",), [[f"{lead}1"] for lead in LEADS])
    read = list(csv.reader(io.StringIO(text, newline="")))[1:]
    assert [cell for (cell,) in read] == [f"'{lead}1" for lead in LEADS]
