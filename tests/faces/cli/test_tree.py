"""Does the terminal tell how likely a fault tree's top event is, by which sets, and refuse what is no tree?"""

import json

import pytest
from tests.faces.cli.typed import SHELF, typed

from falsework.analyses.trees import answer as answering
from falsework.engines.diagrams.limits import Bound, TooLarge

PUMP = "tests/faces/cli/trees/pump.dft"
WATER = "tests/faces/cli/trees/pump.xml"


def test_the_probability_comes_first():
    """Two pumps of ten and twenty percent and a tank of one in a thousand: 0.001 + 0.999 x 0.02."""
    said = typed("tree", WATER, "--top", "dry")
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("water: dry has probability 0.02098\n")
    answer = json.loads(typed("tree", WATER, "--top", "dry", "--json").out)
    assert answer["probability"] == pytest.approx(0.001 + 0.999 * 0.1 * 0.2, rel=1e-12)
    assert answer["likeliest"][0]["events"] == ["pump 1", "pump 2"]
    assert answer["likeliest"][0]["probability"] == pytest.approx(0.02)
    assert (answer["minimal_cut_sets"], answer["by_order"]) == (2, [1, 1])
    assert answer["unreached"] == ["flood"]


def test_the_weights_are_those_of_the_formulas():
    """For the tank: Birnbaum 1 - 0.02, and risk achievement worth 1 over the probability of the top event."""
    answer = json.loads(typed("tree", WATER, "--top", "dry", "--json").out)
    tank = next(each for each in answer["events_weighed"] if each["id"] == "tank")
    assert tank["birnbaum"] == pytest.approx(0.98)
    assert tank["risk_achievement_worth"] == pytest.approx(1 / 0.02098)
    assert tank["criticality"] == pytest.approx(0.001 * 0.98 / 0.02098)


def test_without_a_time_the_smallest_sets_are_listed():
    """Rates without a time give no probability; the sets are told all the same, and what to say."""
    said = typed("tree", PUMP)
    assert said.status == 0
    assert said.out.startswith("no water has no known probability\n")
    assert "no probability is known of pump 1, pump 2" in said.out
    assert "say --time" in said.out
    assert "\nThe smallest sets of events that cause it:\n  tank\n  pump 1, pump 2\n" in said.out


def test_what_is_too_large_is_told_with_bounds(monkeypatch):
    """Where a diagram outgrows its bounds, the answer says so and still bounds the probability."""

    def too_large(*_, **__):
        raise TooLarge(Bound.SECONDS, 120, "building a decision diagram")

    monkeypatch.setattr(answering, "diagram", too_large)
    said = typed("tree", WATER, "--top", "dry")
    assert said.status == 0
    assert "dry has a probability from 0.02" in said.out
    assert "limit     building a decision diagram takes more than the 120 seconds allowed" in said.out
    answer = json.loads(typed("tree", WATER, "--top", "dry", "--json").out)
    assert answer["probability"] is None
    assert answer["lower"] * (1 - 1e-12) <= 0.02098 <= answer["upper"] * (1 + 1e-12)
    assert answer["minimal_cut_sets"] is None


def test_a_worth_without_end_is_null(tmp_path):
    """Where the top event can't happen without an event, its reduction worth has no end: null, and in words."""
    path = tmp_path / "one.dft"
    path.write_text('toplevel "t";\n"t" and "a" "b";\n"a" prob=0.5;\n"b" prob=0.25;\n')
    answer = json.loads(typed("tree", str(path), "--json").out)
    assert [each["risk_reduction_worth"] for each in answer["events_weighed"]] == [None, None]
    assert "no end  a" in typed("tree", str(path)).out


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        (("tree", "nothing.xml"), "there is no file 'nothing.xml'."),
        (("tree", "docs"), "'docs' is not a file."),
        (
            ("tree", SHELF),
            f"'{SHELF}' looks like a lab file, and a fault tree is wanted. Ask `falsework odds",
        ),
        (("tree", WATER), f"{WATER}:6:5: 2 gates are used by no other, so any could be the top event"),
        (("tree", WATER, "--top", "dri"), f"{WATER}:1:1: no gate is called 'dri'. Did you mean 'dry'?"),
        (("tree", PUMP, "--top", "tank"), "a top event is named for a file that names its own."),
        (("tree", PUMP, "--time", "-1"), "--time -1 is no time."),
        (("tree", PUMP, "--time", "nan"), "--time nan is no time."),
        (("tree", PUMP, "--time", "inf"), "--time inf is no time."),
        (("tree", PUMP, "--most", "0"), "--most 0 cut sets can't be shown."),
        (("tree", PUMP, "--seconds", "0"), "--seconds 0 is no time to work in."),
        (("tree", PUMP, "--seconds", "nan"), "--seconds nan is no time to work in."),
        (
            ("odds", WATER),
            f"'{WATER}' looks like a fault tree, and a lab file is wanted. Ask `falsework tree",
        ),
        (("odds", PUMP), f"'{PUMP}' looks like a fault tree, and a lab file is wanted."),
        (("years", PUMP), f"'{PUMP}' looks like a fault tree, and a lab file is wanted."),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_is_wrong_is_told_plainly(words, begins):
    """One line on standard error, status 2, no trace."""
    said = typed(*words)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(begins)
    assert said.err.count("\n") == 1
    assert "defect" not in said.err
