"""Does the page about checking an order say what the product says?"""

from __future__ import annotations

import re
from pathlib import Path

from tests.strategies import lab_of

from falsework.analyses.order import replay
from falsework.analyses.raising.fragile import fragile
from falsework.support.standing import Standing

PAGE = Path(__file__).parents[2] / "docs" / "explanation" / "order.md"


def test_the_example_by_hand_comes_out_as_written():
    """The lab of the page has no slip, and its table is what every single failure would do."""
    text = PAGE.read_text(encoding="utf-8")
    found = re.search(r"```yaml\n(.*?)```", text, re.DOTALL)
    assert found is not None
    standing = Standing(lab_of(f"falsework: 1\n{found.group(1)}"))
    order = replay(standing.lab, standing=standing)
    assert order.slips == ()
    said = [
        f"| {each.step} | "
        + ", ".join(each.serving).replace("names", "names, by the laptop" if each.step == 1 else "names")
        + " | "
        + ", ".join(f"{single.part} ({', '.join(single.services)})" for single in each.singles)
        + " |"
        for each in fragile(standing, order.moments)[1:]
    ]
    assert [line for line in text.splitlines() if re.match(r"\| \d", line)] == said
