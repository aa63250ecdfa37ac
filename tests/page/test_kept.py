"""Is the lab that is shown kept well: out of the collector's way, and gone when it is read anew?"""

import gc

import pytest
from tests.page.conftest import KITCHEN

from falsework.faces.page.kept import Keeper


@pytest.fixture
def lab(tmp_path):
    """A lab file of its own; afterwards the collector looks through everything again."""
    file = tmp_path / "lab.yaml"
    file.write_text(KITCHEN.read_text(encoding="utf-8"), encoding="utf-8")
    yield file
    gc.unfreeze()


def test_what_is_read_is_not_looked_through(lab):
    """After the lab was read, the collector has nothing of it left to go through."""
    keeper = Keeper(lab)
    keeper.read()
    assert gc.get_freeze_count() > 1_000
    assert not any(each is keeper.good.standing for each in gc.get_objects())


@pytest.mark.slow  # twenty readings
def test_a_lab_that_is_read_again_leaves_nothing_behind(lab):
    """Twenty readings later there is no more than after the second."""
    keeper = Keeper(lab)
    text = lab.read_text(encoding="utf-8")
    counts = []
    for number in range(20):
        lab.write_text(f"{text}# {number}\n", encoding="utf-8")
        assert keeper.read()
        keeper.good.lost((keeper.good.standing.parts[0],))
        counts.append(gc.get_freeze_count())
    assert counts[-1] < counts[1] + 5_000
