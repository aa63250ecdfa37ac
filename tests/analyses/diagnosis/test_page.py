"""Is what docs/explanation/diagnosis.md works out by hand what the program says?"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.diagnosis import diagnose
from falsework.support.standing import Standing

PAGE = (Path(__file__).parents[3] / "docs/explanation/diagnosis.md").read_text(encoding="utf-8")


def test_by_hand() -> None:
    """The lab of the page has the chances that the page works out."""
    found = re.search(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
    said = re.search(
        r"old box is out in ([\d.]+) of 100 cases, the new one in ([\d.]+), and nothing in ([\d.]+)\.", PAGE
    )
    assert found is not None
    assert said is not None
    told = diagnose(Standing(lab_of(f"falsework: 1\n{found.group(1)}")), ["mail"])
    old, new, nothing = (float(each) for each in said.groups())
    assert told.chance_of["old"] * 100 == pytest.approx(old, abs=0.05)
    assert told.chance_of["new"] * 100 == pytest.approx(new, abs=0.005)
    first, second = told.causes
    assert set(first.parts[0]) == {"old", "new", "names", "mail"}
    assert first.programs == {"names", "mail"}
    assert second.nothing
    assert second.posterior * 100 == pytest.approx(nothing, abs=0.001)
