from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from falsework.analyses.cold_start import cold_start
from falsework.analyses.raising.plan import plan
from falsework.analyses.shutdown import shutdowns
from falsework.analyses.verdicts import NEVER, Effect, lose
from falsework.model.build import load
from falsework.model.lab import Lab
from falsework.model.people import Alarm
from falsework.model.sections import ORDER
from falsework.study import Study, study
from falsework.support.standing import Standing
from falsework.units import Dimension, parse

ROOT = Path(__file__).parent.parent
DRAFT, MENDED, BARE = (
    ROOT / "examples" / "observatory" / f"{name}.yaml" for name in ("draft", "mended", "bare")
)
EXAMPLES = sorted((ROOT / "examples").rglob("*.yaml"))
FOLDERS = sorted(path.parent for path in (ROOT / "tests" / "labs" / "traps").glob("*/expect.yaml"))
TRAPS = sorted(path for folder in FOLDERS for path in folder.glob("*.yaml") if path.name != "expect.yaml")
CATCHES = ("falls", "lost")


def short(path: Path) -> str:
    """How a lab is called in the list of tests."""
    return f"{path.parent.name}/{path.stem}"


def plain(path: Path) -> Any:
    """A file as plain lists and mappings, read by somebody else's reader."""
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def expectations(folder: Path) -> list[dict[str, Any]]:
    """What the sidecar of a trap expects, an entry each."""
    found: list[dict[str, Any]] = plain(folder / "expect.yaml")
    return found


def entries_with(*keys: str) -> list[Any]:
    """Every expectation of every trap that has one of these keys, as parameters of a test."""
    return [
        pytest.param(folder, entry, id=f"{folder.name}/{entry['file']}-{number}")
        for folder in FOLDERS
        for number, entry in enumerate(expectations(folder))
        if any(key in entry for key in keys)
    ]


FOUND = entries_with("finding", "no finding")


@cache
def lab(path: Path) -> Lab:
    """A lab, read once."""
    return load(path)


@cache
def studied(path: Path) -> Study:
    """Everything that a check finds out."""
    return study(path)


@cache
def standing(path: Path) -> Standing:
    """A lab ready for questions."""
    return Standing(lab(path))


@pytest.mark.parametrize("path", [*EXAMPLES, *TRAPS], ids=short)
def test_every_lab_loads_without_a_fault(path):
    """Every example and every trap is a lab without a fault."""
    assert lab(path).things


def test_the_kitchen_shelf_fits_one_screen():
    """The smallest example takes no more than 40 lines of 100 characters."""
    lines = (ROOT / "examples" / "kitchen-shelf.yaml").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("path", TRAPS, ids=short)
def test_a_trap_takes_fewer_than_25_lines(path):
    """A trap can be said in fewer than 25 lines, the first of which tells a reader what must come out."""
    lines = path.read_text(encoding="utf-8").splitlines()
    assert len(lines) < 25
    assert lines[0].startswith("# ")
    assert max(map(len, lines)) <= 125


def test_the_observatory_uses_every_section():
    """The mended observatory shows every section of the language."""
    assert set(plain(MENDED)) == set(ORDER)


def test_the_observatory_has_about_thirty_of_each():
    """The observatory is as large as the labs that the tool is for: some thirty of each."""
    words = [thing.IS for thing in lab(MENDED).things.values()]
    assert 25 <= words.count("node") + words.count("switch") <= 40
    assert 25 <= words.count("service") <= 40


def test_draft_and_mended_want_the_same():
    """The draft is measured by the same aims as the mended lab, so that the two can be compared."""
    assert plain(DRAFT)["aims"] == plain(MENDED)["aims"]


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_sidecar_speaks_of_every_file_and_of_what_is_there(folder):
    """Each lab of a trap has two expectations at least, and they name things that the lab has."""
    entries = expectations(folder)
    files = {path.stem for path in folder.glob("*.yaml")} - {"expect"}
    assert {entry["file"] for entry in entries} == files
    for name in files:
        assert sum(entry["file"] == name for entry in entries) >= 2
    for entry in entries:
        cold = entry.get("cold start", entry.get("cold start with hands", {}))
        named = [*entry.get("lose", ()), *entry.get("breaks", ())]
        named += [*cold.get("stuck", ()), *cold.get("up", ())]
        named += [entry[key] for key in ("service", "where", "alarm", "shutdown on") if key in entry]
        for name in named:
            assert name in lab(folder / f"{entry['file']}.yaml").things, entry


@pytest.mark.parametrize(("folder", "entry"), entries_with("lose"))
def test_a_loss_does_what_the_trap_says(folder, entry):
    """What must be caught is caught, and what must not be reported as a failure is none."""
    effects = lose(standing(folder / f"{entry['file']}.yaml"), entry["lose"]).effects
    effect = next(each for each in effects if each.service == entry.get("service", entry.get("alarm")))
    word = effect.verdict.word
    if "alarm" in entry:
        assert isinstance(lab(folder / f"{entry['file']}.yaml").things[entry["alarm"]], Alarm)
        assert (word not in CATCHES) == entry["leaves"]
    elif "within" in entry:
        assert _within(effect, parse(entry["within"], Dimension.TIME)) == entry["verdict"]
    elif entry["verdict"] == "not-falls":
        assert word not in CATCHES
    else:
        assert word == entry["verdict"]
    if "falls after" in entry:
        assert effect.falls_s == pytest.approx(parse(entry["falls after"], Dimension.TIME))


@pytest.mark.parametrize(("folder", "entry"), entries_with("cold start", "cold start with hands"))
def test_a_cold_start_does_what_the_trap_says(folder, entry):
    """What waits for itself is stuck, what waits for nothing comes up, and what needs a hand is named."""
    hands = "cold start with hands" in entry
    wanted = entry["cold start with hands" if hands else "cold start"]
    found = cold_start(standing(folder / f"{entry['file']}.yaml"), hands=hands)
    assert set(wanted.get("stuck", ())) <= set(found.stuck)
    assert set(wanted.get("up", ())) <= set(found.up_s)
    assert found.whole == wanted.get("comes back", False)
    if "needs hands" in wanted:
        assert list(found.by_hand) == wanted["needs hands"]
    if "tried once" in wanted:
        assert {copy.rpartition(".")[0] for copy in found.too_early} == set(wanted["tried once"])


@pytest.mark.parametrize(("folder", "entry"), entries_with("shutdown on"))
def test_a_stop_on_battery_does_what_the_trap_says(folder, entry):
    """A battery is too short by so much, and the latest good moment for its signal is known."""
    (found,) = shutdowns(standing(folder / f"{entry['file']}.yaml"))
    assert found.ups == entry["shutdown on"]
    short_s = max(*found.done_s.values(), found.runtime_s) - found.runtime_s
    assert short_s == pytest.approx(parse(entry["short by"], Dimension.TIME))
    assert found.latest_signal_s == pytest.approx(parse(entry["signal at most"], Dimension.TIME))
    assert list(found.cut_hard) == entry["cut hard"]


@pytest.mark.parametrize(("folder", "entry"), [each for each in FOUND if "step" not in each.values[1]])
def test_a_finding_is_told_where_it_belongs_and_only_there(folder, entry):
    """What is worth telling is told of the right thing, and the near miss beside it is left in peace."""
    told = {
        (each.code, thing)
        for each in studied(folder / f"{entry['file']}.yaml").findings
        for thing in each.things
    }
    if "finding" in entry:
        assert (entry["finding"], entry["where"]) in told
    else:
        assert (entry["no finding"], entry["where"]) not in told


@pytest.mark.parametrize(("folder", "entry"), entries_with("step"))
def test_a_step_does_what_the_trap_says(folder, entry):
    """What a step stops is caught at that step, and so is a stand-in that serves on too long."""
    order = studied(folder / f"{entry['file']}.yaml").order
    slips = {(each.what, each.thing) for each in order.slips if each.step == entry["step"]}
    if "breaks" in entry:
        assert list(order.broken[entry["step"] - 1]) == entry["breaks"]
    elif "finding" in entry:
        assert (entry["finding"], entry["where"]) in slips
    else:
        assert (entry["no finding"], entry["where"]) not in slips


@pytest.mark.parametrize(("folder", "entry"), entries_with("build"))
def test_a_build_does_what_the_trap_says(folder, entry):
    """A ring of installers is built with the stand-in that was declared, and without one it is stuck."""
    study, wanted = studied(folder / f"{entry['file']}.yaml"), entry["build"]
    assert (not study.build.stuck) == wanted["possible"]
    assert set(wanted.get("stuck", ())) <= set(study.build.stuck)
    if wanted["possible"]:
        assert list(plan(study.standing, from_nothing=True).stand_ins) == wanted.get("stand-ins", [])


@pytest.mark.slow
def test_the_draft_breaks_most_of_its_aims():
    """The draft holds the usual mistakes, and the check finds them: at least eight of its aims are broken."""
    assert len(studied(DRAFT).broken) >= 8


@pytest.mark.slow
def test_the_mended_observatory_breaks_no_aim():
    """Every mistake of the draft is mended: no aim is broken, and all but two are proved."""
    found = studied(MENDED)
    assert not found.broken
    assert sum(aim.met is True for aim in found.aims) >= len(found.aims) - 2
    assert found.status == 0


def test_the_bare_observatory_is_sound_once_it_stands():
    """What is to be raised breaks no aim in the end, and its file has no order: one is to be found."""
    found = studied(BARE)
    assert not found.broken
    assert found.status == 0
    assert not lab(BARE).order


def test_every_knot_of_the_bare_observatory_is_marked():
    """The file promises nine knots, and each is marked where it is tied; only rooms and the rack stand today."""
    text = BARE.read_text(encoding="utf-8")
    assert "nine knots" in text
    assert text.count("# Knot: ") == 9
    assert {lab(BARE).things[name].IS for name in lab(BARE).today.built.ids} == {"room", "rack"}


def _within(effect: Effect, seconds: float) -> str:
    """The verdict on what happens in so many seconds: `not-falls` where it only comes later."""
    late = effect.falls_s > seconds and effect.falls_s < NEVER
    return "not-falls" if late or effect.verdict.word not in CATCHES else effect.verdict.word
