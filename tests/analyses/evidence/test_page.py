"""Does the page on evidence speak of what there is?"""

import importlib
import re
from pathlib import Path

from falsework.logs import bounds, folding, line, merging, seeking, source, thinning, ties
from falsework.logs.stamps import SECOND

PAGE = (Path(__file__).parents[3] / "docs" / "explanation" / "evidence.md").read_text(encoding="utf-8")


def test_functions_that_it_names_exist():
    """Each `module.name` is in that module of the reading of logs."""
    named = re.findall(r"`(\w+)\.(\w+)`", PAGE)
    assert len(named) >= 8
    for module, name in named:
        assert hasattr(importlib.import_module(f"falsework.logs.{module}"), name), f"{module}.{name}"


def test_bounds_that_it_tells_are_those_of_the_code():
    """Figures of the page against the constants that hold them."""
    for figure in (
        f"{bounds.DRIFT * 1e6:.0f} parts in a million",
        f"{seeking.LOOKS} places",
        f"{merging.MOST_HELD >> 20} MiB",
        f"{thinning.MOST_KINDS:,} kinds",
        f"{folding.MOST_ENTRIES:,} entries",
        f"{ties.MOST_NAMES:,} names",
        f"{line.LONGEST:,} letters",
        f"{thinning.ALARM:g} over twice the number of kinds",
    ):
        assert figure in PAGE
    assert source.SLACK_US == 5 * 60 * SECOND
    assert "five minutes late" in PAGE
    assert folding.GAP_US == 60 * SECOND
    assert "within a minute of each other" in PAGE
