"""Is told plainly what logs say, whatever stands in them?"""

import json
import re
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator
from tests.faces.cli.typed import typed
from tests.island_logs import LAB, MOMENT, write

from falsework.faces.answers import answers_schema
from falsework.model.asks import Ask, Sort
from falsework.record.keeping import NewRun, Recorder
from falsework.record.seen import Mark, Marked, Seen, Told
from falsework.support.probing import Question
from falsework.where import Where

pytestmark = pytest.mark.slow

AT = ("--at", "2026-03-14 03:12:08", "--ordinary", "4h")


@pytest.fixture(scope="module")
def island(tmp_path_factory):
    """A folder with the lab and its logs."""
    folder = tmp_path_factory.mktemp("island")
    (folder / "lab.yaml").write_text(LAB)
    write(folder)
    return folder


@pytest.fixture
def lab(tmp_path):
    """The lab alone."""
    (tmp_path / "lab.yaml").write_text(LAB)
    return tmp_path / "lab.yaml"


def asked(folder, *more):
    """What the command says of the logs of a folder."""
    return typed("evidence", str(folder / "lab.yaml"), *map(str, sorted(folder.glob("*.log"))), *more)


def flat(text):
    """Text on one line, as it was before it was folded."""
    return " ".join(text.split())


def test_the_short_answer_comes_first(island):
    """Who spoke first, how much differs, which clocks are off, what was not foretold; then the time line."""
    said = asked(island, *AT, "--lose", "A")
    out = flat(said.out)
    assert (said.status, said.err) == (1, "")
    assert out.startswith("two desks: twin-1.a spoke first, 0.7 s after it: power supply 1: input lost.")
    assert "around 2026-03-14 03:12:08.0 UTC, the loss of A." in out
    assert "told are 6 new and 1 stopped" in out
    assert "desk-3's clock is 1 min 2 s behind, to within" in out
    assert "strange desk-3 stands by the plan, and desk-3, names said" in out
    assert "foretold mail falls" in out
    assert "x 340, until 03:14:" in out
    assert re.search(r"desk-3\.log:\d+\)", out)
    assert (
        out.index("spoke first")
        < out.index("clocks")
        < out.index("strange")
        < out.index("time after is what")
    )


def test_the_json_answer_keeps_its_schema(island):
    """With all points, bounds of clocks, and places of lines."""
    said = asked(island, *AT, "--lose", "A", "--json")
    answer = json.loads(said.out)
    validator = Draft202012Validator(answers_schema())
    assert list(validator.iter_errors(answer)) == []
    assert (answer["command"], answer["status"], answer["first"]["whose"]) == ("evidence", 1, "twin-1.a")
    assert {each["sort"] for each in answer["points"]} == {"said", "silent", "foretold"}
    assert list(validator.iter_errors({**answer, "points": [{"at_s": "soon"}]}))


def test_without_a_loss_the_status_is_good(island):
    """Nothing is foretold, so nothing is strange."""
    said = asked(island, *AT)
    assert said.status == 0
    assert "name what may have with --lose" in flat(said.out)


def test_a_moment_in_a_zone(island):
    """The same moment by another clock on the wall; what is shown is of that zone too."""
    said = asked(island, "--at", "2026-03-14 04:12:08", "--zone", "Europe/Berlin", "--ordinary", "4h")
    assert "around 2026-03-14 04:12:08.0 CET" in said.out


def test_a_run_of_the_stopwatch(island, tmp_path):
    """The newest run says when, what was lost, what was seen and done; --run names another."""
    record = tmp_path / "lab.record"
    began = MOMENT.timestamp() - 10
    question = Question(
        name="mail box",
        sees="mail",
        ask=Ask(sort=Sort.TCP, host="10.0.0.1", port=25),
        expects="",
        from_="",
        every_s=0.1,
        patience_s=1.0,
        where=Where("lab.yaml", 1, 1),
    )
    new = NewRun(
        lab="two desks",
        digest="",
        drill="pull A",
        tries="loss",
        lost=("A",),
        out=(),
        machine="laptop",
        began=began,
    )
    recorder = Recorder(record, new, (question,))
    recorder.answers([Seen(0, 9.9, 9.91, Told.YES), Seen(0, 10.5, 11.5, Told.SILENT, "no answer")])
    recorder.mark(Marked(at_s=10.0, mark=Mark.DONE, says="strip A off"))
    recorder.answers([Seen(0, 40.0, 40.01, Told.YES)])
    recorder.end(60.0)
    said = asked(island, "--record", str(record), "--ordinary", "4h")
    out = flat(said.out)
    assert out.startswith("two desks, run 1: ")
    assert "done strip A off" in out
    assert "seen mail box: not answered" in out
    assert "mail falls by the plan" in out
    assert asked(island, "--record", str(record), "--run", "7").status == 2


def test_a_picture_and_a_report(island, tmp_path):
    """Both whole by themselves: well formed, no script, nothing fetched."""
    picture, report = tmp_path / "t.svg", tmp_path / "t.html"
    asked(island, *AT, "--lose", "A", "--picture", str(picture), "--report", str(report))
    root = ElementTree.fromstring(picture.read_text())
    titles = " ".join(each.text or "" for each in root.iter("{http://www.w3.org/2000/svg}title"))
    assert "power supply 1: input lost, 0.7 s after it" in titles
    assert "by the plan mail falls" in titles
    page = report.read_text()
    assert "<script" not in page
    assert not re.search(r'(?:src|href)="(?!#)', page)
    assert "What the plan did not foretell" in page


HOSTILE = (
    b"<11>1 2026-03-14T03:12:09Z \x1b]0;owned\x07desk-1 a<b> - - - \x1b[2J<script>alert('x')</script> & \xff\x00 "
    b"\xe2\x80\xaeevil </title></svg>\n"
)


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.seen = set()

    def handle_starttag(self, tag, attrs):
        """Note a tag and its attributes."""
        self.seen.add(tag)
        self.seen.update(f"@{name}" for name, _ in attrs if name.startswith("on"))


def test_hostile_lines_do_no_harm(lab, tmp_path):
    """Escapes of terminals, markup, turned text: shown as what they are, in text, picture and page."""
    log, picture, report = tmp_path / "x.log", tmp_path / "x.svg", tmp_path / "x.html"
    log.write_bytes(HOSTILE)
    said = typed("evidence", str(lab), str(log), *AT, "--picture", str(picture), "--report", str(report))
    assert all(sign == "\n" or sign.isprintable() for sign in said.out)
    assert "<script>alert('x')</script>" in flat(said.out).replace("alert( ", "alert(")
    ElementTree.fromstring(picture.read_text())
    tags = _Tags()
    tags.feed(report.read_text())
    assert not tags.seen & {"script", "img", "iframe", "@onerror", "@onload"}
    answer = json.loads(typed("evidence", str(lab), str(log), *AT, "--json").out)
    assert answer["points"][0]["says"].isprintable()


def test_bad_files_are_told_and_the_rest_goes_on(island, tmp_path):
    """Each with how to mend it; the status tells that not all was read."""
    (tmp_path / "empty.log").touch()
    said = asked(island, str(tmp_path / "none.log"), str(tmp_path / "empty.log"), *AT)
    out = flat(said.out)
    assert said.status == 1
    assert "none.log': there is no such file mend Look at the name" in out
    assert "empty.log': it is empty mend" in out
    assert "twin-1.a spoke first" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--at", "yesterday"), "'yesterday' is no moment. Write it with its date"),
        (("--at", "9999-12-31 23:59:59"), "is no moment"),
        (("--at", "0001-01-01 00:00"), "is no moment"),
        (("--at", "2026-03-14 03:12", "--run", "1"), "both --at and --run say when"),
        (("--at", "2026-03-14 03:12", "--zone", "Moon/Far"), "there is no zone 'Moon/Far'"),
        (("--at", "2026-03-14 03:12", "--before", "9 kg"), "--before"),
        (("--at", "2026-03-14 03:12", "--after", "2 years"), "--after 2 years is longer than a year"),
        (("--at", "2026-03-14 03:12", "--lose", "strip-9"), "no part is called 'strip-9'"),
        (("--lose", "A"), "--lose goes with --at"),
        ((), "nobody says when it happened"),
        (("--run", "3"), "record"),
    ],
)
def test_a_wrong_question_is_told(lab, tmp_path, words, says):
    """What is wrong, and how to ask."""
    (tmp_path / "a.log").write_text("2026-03-14T03:12:09Z hello\n")
    said = typed("evidence", str(lab), str(tmp_path / "a.log"), *words)
    assert said.status == 2
    assert says in flat(said.err)


def test_no_log_at_all_is_an_error(lab, tmp_path):
    """None of the files can be read: each is named."""
    said = typed("evidence", str(lab), str(tmp_path / "a.log"), str(lab), *AT)
    assert said.status == 2
    assert "a.log': there is no such file" in flat(said.err)
    assert "lab.yaml': no line at its beginning has a time" in flat(said.err)


def test_nothing_in_the_time_asked_about(lab, tmp_path):
    """Said, with what to look at."""
    (tmp_path / "a.log").write_text("2020-03-14T03:12:09Z hello\n")
    out = flat(typed("evidence", str(lab), str(tmp_path / "a.log"), *AT).out)
    assert out.startswith("two desks: no line is in the time asked about.")
    assert "no line in the time asked about: a.log" in out
