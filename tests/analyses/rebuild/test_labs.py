"""Do the traps about backups, sealed stores and installers come back, or not, as they must?

Each lab of `tests/labs/rebuilding` says in its first line what must come out; `expect.yaml` beside it says it again:
what becomes of what when something is lost, or what must be saved before all of it is taken down.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from falsework.analyses.rebuild.asking import Asking, losses
from falsework.analyses.rebuild.result import Teardown
from falsework.analyses.rebuild.teardown import teardown
from falsework.findings.rules.rebuilding import rebuilding
from falsework.model.build import load
from falsework.support.standing import Standing

LABS = Path(__file__).parents[2] / "labs" / "rebuilding"


def entries(key: str) -> list[Any]:
    """Every expectation that has this key, as parameters of a test."""
    return [
        pytest.param(
            path.parent / f"{entry['file']}.yaml", entry, id=f"{path.parent.name}/{entry['file']}-{number}"
        )
        for path in sorted(LABS.glob("*/expect.yaml"))
        for number, entry in enumerate(yaml.safe_load(path.read_text(encoding="utf-8")))
        if key in entry
    ]


@cache
def asking(path: Path) -> Asking:
    """A lab ready for questions."""
    return Asking(Standing(load(path)))


@cache
def down(path: Path) -> Teardown:
    """The whole lab taken down."""
    return teardown(asking(path))


@pytest.mark.parametrize(("path", "entry"), entries("lose"))
def test_a_loss(path, entry):
    """What is lost comes back in the way that is expected, from where, and with which stand-ins."""
    loss = losses(asking(path), entry["lose"])
    assert {name: loss.of(name).way.value for name in entry["fates"]} == entry["fates"]
    for name, places in entry.get("from", {}).items():
        source = loss.of(name).source
        assert source is not None
        assert list(source.to) == places
    if "stand-ins" in entry:
        assert list(loss.stand_ins) == entry["stand-ins"]
    if "circle" in entry:
        assert set(loss.of(entry["circle"][0]).circle) == set(entry["circle"])


@pytest.mark.parametrize(("path", "entry"), entries("save"))
def test_a_teardown(path, entry):
    """Just what is expected has to be saved, so many bytes; nothing else is gone, and these stand-ins it takes."""
    found = down(path)
    assert [save.thing for save in found.saves] == entry["save"]
    assert found.size == float(entry["bytes"])
    assert found.proven
    assert list(found.gone) == entry.get("gone", [])
    if "stand-ins" in entry:
        assert list(found.saved.stand_ins) == entry["stand-ins"]


@pytest.mark.parametrize(
    "path", sorted(LABS.glob("*/[ot]*.yaml")), ids=lambda path: f"{path.parent.name}/{path.stem}"
)
def test_what_is_gone_is_told_with_what_would_change_it(path):
    """Every fate that is no coming back has a mend and a reason; every other has none."""
    for loss in (down(path).unsaved, down(path).saved):
        for fate in loss.fates:
            comes_back = fate.way.value in ("made again", "restored") or bool(fate.stand_ins)
            assert bool(fate.mend) != comes_back
            assert comes_back or fate.reasons


@pytest.mark.parametrize(
    "path", sorted(LABS.glob("false-*/[ot]*.yaml")), ids=lambda path: f"{path.parent.name}/{path.stem}"
)
def test_a_false_alarm_stays_one(path):
    """Nothing is told in a check of labs that come back."""
    assert list(rebuilding(Standing(load(path)))) == []
