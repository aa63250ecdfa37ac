"""Do the drawings look as they did when somebody last looked?"""

import pytest
from tests.faces.report.pictures import GOLDEN, PICTURES


@pytest.mark.parametrize("name", PICTURES)
def test_drawing_is_as_accepted(name):
    """Each golden drawing is as accepted; `scripts/golden` draws them anew, to be looked at."""
    assert (GOLDEN / f"{name}.svg").read_text(encoding="utf-8") == PICTURES[name]() + "\n"


def test_no_golden_file_is_left_over():
    """Every file in the folder is one that is drawn."""
    assert {path.stem for path in GOLDEN.glob("*.svg")} == set(PICTURES)
