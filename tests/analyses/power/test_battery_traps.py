"""Are the traps of batteries the same traps where a battery tells its energy instead of a curve?"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.shutdown import shutdowns
from falsework.model.parts import Ups
from falsework.support.power import Draws, runtime_s
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps"
FILES = [
    path
    for folder in ("13-switch-on-the-wall", "14-battery-too-short")
    for path in sorted((TRAPS / folder).glob("*.yaml"))
    if path.name != "expect.yaml"
]


def plain(load_w, lasts_s):
    """Energy that lasts so long at so much, 80 % of it usable and 90 % arriving: E = t P / (0.8 x 0.9)."""
    return f"battery: {lasts_s / 3600 * load_w / 0.72:.6f} Wh"


def lossy(load_w, lasts_s):
    """The same with a loss of 1.25 told over 20 h, 75 % left: E = H P / (left inverter) (t / (usable H))^(1/n)."""
    hours = lasts_s / 3600
    energy = 20 * load_w / 0.9 / 0.75 * (hours / (0.6 * 20)) ** (1 / 1.25)
    return f"battery: {energy:.6f} Wh, usable: 60 %, inverter: 90 %, left: 75 %, rated over: 20 h, exponent: 1.25"


@pytest.mark.parametrize("told", [plain, lossy])
@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name[:2]}-{path.stem}")
def test_the_same_verdicts(path, told):
    """At the load of the cut it lasts as long as the curve says, so every loss and every stop come out the same."""
    text = path.read_text(encoding="utf-8")
    by_curve = lab_of(text)
    draws = Draws(by_curve)
    figures = [told(draws.alone_w(ups.id), runtime_s(ups, draws.alone_w(ups.id))) for ups in by_curve.of(Ups)]
    assert len(re.findall(r"runs: \{", text)) == len(figures) > 0
    energies = iter(figures)
    by_energy = lab_of(re.sub(r"runs: \{[^}]*\}", lambda _: next(energies), text))
    one, other = Standing(by_curve), Standing(by_energy)
    lost = [(name,) for name in one.parts]
    views = one.views(lost), other.views(lost)
    for name in one.support.things:
        for mine, theirs in zip(*views, strict=True):
            assert mine.up(name) == theirs.up(name), (name, mine.lost)
            assert mine.back(name) == theirs.back(name), (name, mine.lost)
    assert one.falls(views[0]) == pytest.approx(other.falls(views[1]), rel=1e-5)
    for mine, theirs in zip(shutdowns(one), shutdowns(other), strict=True):
        assert mine.runtime_s == pytest.approx(theirs.runtime_s, rel=1e-5)
        assert mine.latest_signal_s == pytest.approx(theirs.latest_signal_s, rel=1e-5)
        assert mine.cut_hard == theirs.cut_hard
