"""What does `falsework diagnose` say?"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.faces.cli.typed import MENDED, ROOT, SHELF, typed
from tests.faces.test_plain import valid

from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder
from falsework.record.seen import Seen, Told
from falsework.support.probing import questions

pytestmark = pytest.mark.slow  # whole commands

KITCHEN = ("--failing", "files", "--answered", "names")


def test_the_likeliest_cause_stands_first():
    """The answer begins with the cause and its chance, then what to ask next; status 1 where none stands out."""
    said = typed("diagnose", MENDED, "--failing", "names on desk-1", "--answered", "names on desk-3")
    first, _, then = said.out.splitlines()[:3]
    assert first.startswith("names on desk-1 fails: perhaps names.1 by itself, desk-1, ")
    assert then.startswith("next    ping gate-1")
    assert "1.2 times as likely as the next" in said.out
    assert "of these names.1 by itself 53 %" in said.out
    assert "electrical codes" in said.out
    assert (said.status, said.err) == (1, "")


def test_an_answer_is_told_back_with_its_option():
    """What was offered, typed as it says, makes one cause stand out."""
    said = typed(
        "diagnose",
        MENDED,
        *("--failing", "names on desk-1", "--answered", "names on desk-3", "--failing", "gate-1"),
        *("--answered", "bench", "--looked", "battery: lit", "--looked", "A: dark"),
    )
    assert (
        ": very likely A (" in said.out.splitlines()[0] or ": almost surely A (" in said.out.splitlines()[0]
    )
    assert said.status == 0


@pytest.mark.slow
def test_json_keeps_its_shape(tmp_path: Path):
    """The answer for programs is as the schema says, and its chances add up."""
    said = typed("diagnose", MENDED, "--failing", "mail box", "--since", "30s", "--json")
    answer = json.loads(said.out)
    valid(answer)
    assert answer["since_s"] == 30.0
    total = sum(cause["chance"] for cause in answer["causes"]) + answer["rest"]
    assert total == pytest.approx(1.0)


def test_a_picture_marks_the_cause(tmp_path: Path):
    """The drawing has the likeliest cause out."""
    file = tmp_path / "broke.svg"
    said = typed(
        "diagnose", MENDED, "--failing", "way out", "--looked", "gate-1: dark", "--picture", str(file)
    )
    assert f"The picture is in {file}." in said.out
    assert file.read_text(encoding="utf-8").startswith("<svg")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--failing", "mali"), "Did you mean 'mail'?"),
        ((), "nothing was said of what fails, and there is no record"),
        (("--failing", "mail", "--since", "soon"), "--since: 'soon' is no"),
        (("--failing", "mail", "--diff"), "--diff and --write go with --plan"),
        (("--failing", "mail", "--looked", "desk-1"), "does not say what was seen"),
        (("--from-record", "--record", "nowhere.record"), "nowhere.record"),
        (("--failing", "mail", "--out", "nobody"), "no part is called 'nobody'"),
    ],
)
def test_bad_questions(words: tuple[str, ...], says: str):
    """Each is told in a sentence with how to mend it; status 2 and no traceback."""
    said = typed("diagnose", MENDED, *words)
    assert said.status == 2
    assert says in said.err
    assert "Traceback" not in said.err


def test_a_lab_without_probes_is_asked_by_its_services():
    """Services can be named where the lab file has no probes."""
    said = typed("diagnose", SHELF, "--failing", "files")
    assert said.out.startswith("files fails: ")


@pytest.mark.slow
def test_a_plan_writes_what_it_shows(tmp_path: Path):
    """With --write the probes stand in the file, and the next plan has nothing to add."""
    file = tmp_path / "lab.yaml"
    file.write_text(Path(MENDED).read_text(encoding="utf-8"), encoding="utf-8")
    shown = typed("diagnose", str(file), "--plan", "--diff")
    assert shown.status == 1
    assert "and fewer will not do" in shown.out.splitlines()[0]
    assert file.read_text(encoding="utf-8") == Path(MENDED).read_text(encoding="utf-8")
    valid(json.loads(typed("diagnose", str(file), "--plan", "--json").out))
    assert typed("diagnose", str(file), "--plan", "--write").status == 1
    again = typed("diagnose", str(file), "--plan")
    assert again.status == 0
    assert "no probe more would tell more" in again.out.splitlines()[0]


def test_a_plan_is_about_a_lab_in_which_nothing_failed():
    """Both at once are refused."""
    said = typed("diagnose", MENDED, "--plan", "--failing", "mail")
    assert said.status == 2
    assert "nothing has failed" in said.err


@pytest.mark.slow
def test_the_record_is_taken_where_there_is_one(tmp_path: Path):
    """Without a word on what fails, the newest run beside the lab file is asked, and told with its number."""
    file = tmp_path / "lab.yaml"
    file.write_text((ROOT / MENDED).read_text(encoding="utf-8"), encoding="utf-8")
    asked = questions(load(file))
    keeper = Recorder(tmp_path / "lab.record", NewRun(lab="rock"), asked)
    names = [each.name for each in asked]
    for at_s in (0.0, 1.0, 2.0):
        keeper.answers([Seen(at, at_s, at_s + 0.01, Told.YES) for at in range(len(names))])
    down = {names.index("names on desk-1"), names.index("front page")}  # the front moves in 4 s
    keeper.answers(
        [
            Seen(at, at_s, at_s + 0.02, Told.SILENT if at in down else Told.YES)
            for at_s in (3.0, 4.0, 5.0)
            for at in range(len(names))
        ]
    )
    keeper.end(5.1)
    said = typed("diagnose", str(file))
    first, record, *_ = said.out.splitlines()
    assert first.startswith("names on desk-1 and front page fail: ")
    assert "desk-1, " in first or "desk-1 " in first.partition(": ")[2]
    assert record.endswith("run 1: 2 fail, since 3 s, 11 are answered")
