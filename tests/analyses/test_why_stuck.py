"""Is each stuck thing followed to its root, and does what is told to unstick it unstick it?

Each lab of `tests/labs/starting` says in its first line what must come out; `expect.yaml` beside it says it
again: what is stuck, on which roots, what hangs on each, which mend, and when all is up with them.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.cold_start import Why, cold_start, why_stuck
from falsework.model.build import load
from falsework.support.standing import Standing
from falsework.units import Dimension, parse

LABS = Path(__file__).parents[1] / "labs" / "starting"
ENTRIES = [
    pytest.param(
        sidecar.parent / f"{entry['file']}.yaml", entry, id=f"{sidecar.parent.name}/{entry['file']}-{at}"
    )
    for sidecar in sorted(LABS.glob("*/expect.yaml"))
    for at, entry in enumerate(yaml.safe_load(sidecar.read_text(encoding="utf-8")))
]


@pytest.mark.parametrize(("path", "entry"), ENTRIES)
def test_the_traps_of_a_cold_start(path, entry):
    """What is stuck, on which root, and what unsticks it; with all mends it comes up, when expected."""
    standing = Standing(load(path))
    off_s = parse(entry["without power"], Dimension.TIME) if "without power" in entry else None
    outside = not entry.get("no outside", False)
    found = cold_start(standing, outside=outside, off_s=off_s)
    blocked = why_stuck(standing, found, outside=outside)
    assert list(found.stuck) == entry["stuck"]
    assert len(blocked.roots) == len(entry["roots"])
    for root, wanted in zip(blocked.roots, entry["roots"], strict=True):
        assert root.mend is not None
        assert root.why.value == wanted["why"]
        assert root.mend.how.value == wanted.get("mend", root.mend.how.value)
        assert set(wanted.get("of", ())) <= set(root.mend.things)
        assert list(root.hangs) == wanted.get("hangs", list(root.hangs))
        assert wanted.get("says", "") in root.mend.says
    assert blocked.left == ()
    for name, at in entry.get("up", {}).items():
        assert blocked.up_s[name] == pytest.approx(parse(at, Dimension.TIME)), name


@given(texts())
@settings(max_examples=25, deadline=None)
def test_every_chain_is_unbroken_and_ends_at_a_root(text):
    """Each reason goes on where the last one ended; nothing on a chain is up; a chain ends at what is mended."""
    standing = Standing(lab_of(text))
    found = cold_start(standing)
    blocked = why_stuck(standing, found)
    assert [each.thing for each in blocked.stuck] == list(found.stuck)
    for each in blocked.stuck:
        for one, other in zip(each.because, each.because[1:], strict=False):
            assert one.on == other.thing
        assert not any(step.thing in found.up_s for step in each.because)
        assert not each.because or each.because[0].thing == each.thing
        if each.thing not in blocked.left:
            assert each.root is not None
            assert each.unsticks
            end = each.because[-1]
            assert (end.on or end.thing) in blocked.roots[each.root].things
    for root in blocked.roots:
        assert root.why is not Why.LOOP or root.things[0] == root.things[-1]
