"""Does the page's work on the record tell what the command tells?"""

import pytest
from tests.faces.cli.records.keeping import kept

from falsework.faces.page.recovery_work import work
from falsework.lab.digest import digest_of
from falsework.model.build import load

pytestmark = pytest.mark.slow


def test_the_table_is_set(tmp_path):
    """Every row and margin, with what failed marked."""
    lab = kept(tmp_path)
    made = work(str(lab), digest_of(load(lab).files), ("desk-2",), lambda what, done, of: None)
    assert "it did not come back in run 2" in made.html
    assert made.html.count(' bad">') >= 2
    assert "With <bdi>desk-2</bdi> out." in made.html
    assert "<h3>How many more failures until each service falls</h3>" in made.html
    assert made.answers["record"]["recovery"]
    assert "<script" not in made.html
    assert " style=" not in made.html
