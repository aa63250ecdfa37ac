"""What does a cold start print: what is stuck, on what, and what unsticks it?"""

import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, typed
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow

AWAY = "tests/labs/starting/expired/one.yaml"
NO_POWER = "tests/labs/starting/16-sealed-store/one.yaml"
OFF = "tests/labs/starting/15-stays-off/one.yaml"


def test_what_ran_out_is_told_beside_what_it_stops():
    """Five weeks without power: the key, the circle, and what cuts it; one week: nothing."""
    said = typed("cold-start", AWAY, "--off", "35 days")
    assert said.status == 1
    assert "seal: good for no longer than the 35 days without power" in said.out
    assert "each waits for the next: " in said.out
    assert "renew seal by hand" in said.out
    assert typed("cold-start", AWAY, "--off", "7 days").status == 0


def test_a_third_of_its_time_is_a_remark():
    """It is taken for fresh, and that is said; the exit status stays 0."""
    said = typed("cold-start", AWAY, "--off", "10 days")
    assert said.status == 0
    assert "seal must have had more than 10 days left" in said.out


@pytest.mark.parametrize("off", ["-3 days", "NaN", "0 s", "soon", "3..4 days", "14 W"])
def test_no_time_is_refused(off):
    """With the value shown, and no traceback."""
    said = typed("cold-start", AWAY, "--off", off)
    assert said.status == 2
    assert "--off: " in said.err + said.out
    assert "Traceback" not in said.err


def test_a_lab_without_power_is_taken_as_fed():
    """Nothing says what feeds it: it wakes with the mains, and only its own loop holds it."""
    said = typed("cold-start", NO_POWER)
    assert said.status == 1
    assert "also where it can be read while all is down" in said.out


def test_a_root_is_told_once_with_what_hangs_on_it():
    """One switch-on, one start again, and when all is up with them."""
    said = typed("cold-start", OFF)
    assert said.out.count("switch on nas") == 1
    assert "start mail.1 again" in said.out
    assert "all is up 53 min after the power is back" in said.out


def test_in_json_chains_and_roots_fit_the_schema():
    """Each stuck thing has a chain, and numbers of the roots that unstick it."""
    answer = valid(json.loads(typed("cold-start", DRAFT, "--json", "--off", "14 days").out))
    assert len(answer["because"]) == len(answer["stuck"])
    assert all(each["unsticks"] for each in answer["because"])
    assert answer["left"] == []
    assert answer["off_s"] == 14 * 86400


@pytest.mark.slow
def test_the_start_sheet_says_where_hands_go(tmp_path):
    """Rack, outlet, what to look at first, minute; a caution; and what no hand can do at that hour."""
    sheet = tmp_path / "sheet.md"
    typed("cold-start", DRAFT, "--runbook", str(sheet))
    text = sheet.read_text(encoding="utf-8")
    for words in ("keep is plugged in at", "A is up and gives power", "keep is in rack", "electrical codes"):
        assert words in text
    assert "What no hand at the switch can do" in text
    typed("cold-start", MENDED, "--runbook", str(sheet))
    assert "no hand" not in sheet.read_text(encoding="utf-8")
