"""Does the page on loops say what the product says?"""

from __future__ import annotations

import re
from pathlib import Path

from tests.strategies import lab_of

from falsework.analyses.loops import loops
from falsework.support.standing import Standing

PAGE = Path(__file__).parents[3] / "docs" / "explanation" / "loops.md"


def test_the_example_by_hand_comes_out_as_written():
    """Three rings through the password and the store, and one cut for all of them."""
    match = re.search(r"```yaml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert match is not None
    found = loops(Standing(lab_of(f"falsework: 1\n{match.group(1)}")))
    assert [loop.ring for loop in found.loops] == [
        (host, "storage password", "secrets", host) for host in ("h1", "h2", "h3")
    ]
    (cuts,) = found.cheapest
    assert [cut.says for cut in cuts.cuts] == ["keep storage password somewhere else too, such as on paper"]
    assert cuts.proven
