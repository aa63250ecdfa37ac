"""Does `falsework place` answer people, programs and paper alike, write only what it should, and refuse the rest?"""

from __future__ import annotations

import contextlib
import json
import signal
from dataclasses import replace

import pytest
from tests.faces.cli.typed import MENDED, SHELF, typed
from tests.faces.handmade_placing import many, placing, six
from tests.faces.test_plain import valid

from falsework.analyses.placing.result import Reason
from falsework.analyses.placing.writing import rewritten
from falsework.errors import QuestionError
from falsework.faces.cli import placing as command
from falsework.faces.cli import running
from falsework.faces.cli.placing import MOST_ROWS, Asked
from falsework.faces.plain_placing import place_answer
from falsework.model.build import load
from falsework.support.standing import Standing

LAB = """falsework: 1
lab: Three on one shelf   # mine
machines:
  desk-1..3: {is: node, memory: 16 GiB, cores: 4, ports: {a: 1 Gb/s}}   # all alike
  sw: {is: switch, ports: 8}
wire: {cables: [desk-* -- sw]}
pools:
  shelf: {hosts: desk-*}
services:
  # Both on one desk since the move.
  mail: {on: shelf, copies: 2, apart: not, takes: {memory: 4 GiB}, placed: [desk-1, desk-1]}
  notes: shelf   # small
  files:
    on: shelf
    takes: {memory: 6 GiB, disk: 20 GiB}
    placed: desk-1   # with its disk
aims:
  one desk less: {lose: node, of: mail, at most: thin}
"""
CROWD = """falsework: 1
lab: Three for two
machines: {desk-1..2: {is: node, memory: 16 GiB}}
pools: {shelf: {hosts: desk-*}}
services:
  votes: {on: shelf, copies: 3, apart: node}
"""


@pytest.fixture
def lab(tmp_path):
    """A lab file in a folder of its own."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB, encoding="utf-8")
    return path


def placed(path) -> str:
    """Where the file says that mail runs."""
    (line,) = (row for row in path.read_text(encoding="utf-8").splitlines() if "mail:" in row)
    return line.partition("placed: ")[2].rstrip("}")


def test_a_copy_moves_so_that_the_aim_is_met(lab):
    """The short answer first, then the move, then where everything is; and what would change in the file, unwritten."""
    said = typed("place", str(lab), "--seconds", "60", "--diff")
    assert said.status == 0
    rows = said.out.splitlines()
    assert (
        rows[0]
        == "Three on one shelf: 4 copies placed, all aims are met (1 aim broken today), 1 copy to move"
    )
    (move,) = (row.split() for row in rows if row.split()[:1] == ["1"])
    assert move[1] in ("mail.1", "mail.2")
    assert move[2:] == ["desk-1", move[3], "4", "GiB", "34", "s"]
    assert "Nobody says where notes.1 runs today (`placed`)." in said.out
    assert sum(row.startswith(("-  mail:", "+  mail:")) for row in rows) == 2
    assert lab.read_text(encoding="utf-8") == LAB


@pytest.mark.slow
def test_the_observatory_is_placed_with_proof():
    """All aims met, and nothing better to be had at any level; which of equal placements it is may change."""
    answer = valid(json.loads(typed("place", MENDED, "--json").out))
    assert answer["status"] == 0
    assert all(level["placed"] == level["bound"] for level in answer["levels"])
    assert answer["levels"][0] == {"name": "aims", "today": 0, "placed": 0, "bound": 0}
    assert len(answer["copies"]) == 13


def test_it_writes_the_lab_file_and_then_nothing_is_left_to_move(lab):
    """Comments and order stay; asked again, the file says so already, and JSON keeps to its schema."""
    said = typed("place", str(lab), "--seconds", "60", "--write")
    assert said.status == 0
    assert f"Written: {lab}." in said.out
    old, new = LAB.splitlines(), lab.read_text(encoding="utf-8").splitlines()
    changed = [(before, after) for before, after in zip(old, new, strict=True) if before != after]
    assert len(changed) == 2
    assert changed[1][1].startswith("  notes: {on: shelf, placed: desk-")
    assert changed[1][1].endswith("}   # small")
    again = typed("place", str(lab), "--seconds", "60", "--write", "--json")
    answer = valid(json.loads(again.out))
    assert answer["status"] == again.status == 0
    assert answer["moves"] == []
    assert answer["difference"] == ""
    assert lab.read_text(encoding="utf-8").splitlines() == new


def test_a_machine_that_is_out_is_emptied(lab, tmp_path):
    """Nothing is placed on it, and that it is out is said on top, on paper too."""
    book = tmp_path / "moves.md"
    said = typed("place", str(lab), "--seconds", "60", "--out", "desk-3", "--runbook", str(book))
    assert said.out.splitlines()[0].endswith(" (with desk-3 out)")
    assert not any("desk-3" in row.split()[:1] and "." in row for row in said.out.splitlines()[1:])
    assert "All this is with desk-3 out" in book.read_text(encoding="utf-8")


def test_picture_and_runbook(lab, tmp_path):
    """Both are written, and said where."""
    picture, book = tmp_path / "places.svg", tmp_path / "moves.md"
    said = typed("place", str(lab), "--seconds", "60", "--picture", str(picture), "--runbook", str(book))
    assert f"The picture is in {picture}." in said.out
    assert f"The runbook is in {book}." in said.out
    assert "today, and leaves" in picture.read_text(encoding="utf-8")
    text = book.read_text(encoding="utf-8")
    assert "### 1. Move mail." in text
    assert "- way back: move it back to desk-1" in text
    assert "Look first where these run" in text


def test_the_report_has_a_section_on_it(lab, tmp_path):
    """The report of a check, with the machines and the move in it."""
    page = tmp_path / "lab.html"
    said = typed("place", str(lab), "--seconds", "60", "--report", str(page))
    assert f"The report is in {page}." in said.out
    text = page.read_text(encoding="utf-8")
    assert '<section id="places">' in text
    assert '<section id="aims">' in text


def test_what_no_place_can_mend_says_so(tmp_path):
    """An aim that hangs on something else stays broken, and where to ask is told."""
    path = tmp_path / "lab.yaml"
    fed = LAB.replace("{is: node,", "{is: node, fed by: strip,")
    fed = fed.replace("machines:", "power: {strip: {is: strip}}\nmachines:")
    path.write_text(f"{fed}  one strip less: {{lose: strip, of: mail, at most: thin}}\n", encoding="utf-8")
    said = typed("place", str(path), "--seconds", "60")
    assert said.status == 1
    rows = said.out.splitlines()
    assert rows[0].endswith("4 copies placed, 1 aim of 2 broken (2 today), 1 copy to move")
    assert rows[1].startswith("BROKEN  one strip less: lose strip: mail falls at once")
    assert rows[2].startswith("  No other place for a copy was found that mends this;")


def test_where_nothing_can_be_placed_the_reason_is_told_and_nothing_written(tmp_path):
    """Status 1, the contradiction with its place, and the file as it was."""
    path = tmp_path / "lab.yaml"
    path.write_text(CROWD, encoding="utf-8")
    said = typed("place", str(path), "--seconds", "60", "--write")
    assert said.status == 1
    assert said.out.startswith("Three for two: the copies can't be placed by the rules of the lab\n")
    assert f"no two copies of votes in one node: 3 copies for 2 ({path}:6:40)" in " ".join(said.out.split())
    assert said.out.endswith("Nothing is written.\n")
    assert path.read_text(encoding="utf-8") == CROWD
    answer = valid(json.loads(typed("place", str(path), "--seconds", "60", "--json").out))
    assert (answer["possible"], answer["status"], answer["copies"]) == (False, 1, [])
    assert answer["why_not"][0]["where"]["line"] == 6


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("falsework: 1\nlab: Bare\nmachines: {a: {is: node}}\n", 0),
        ("falsework: 1\nlab: Fixed\nmachines: {a..b: {is: node}}\nservices: {s: a}\n", 0),
        (
            "falsework: 1\nlab: Broken\nmachines: {a..b: {is: node}}\nservices: {s: a}\naims: {x: {lose: node, at most: thin}}\n",
            1,
        ),
    ],
)
def test_no_copy_has_a_choice(tmp_path, text, status):
    """No services, no pool: it says what to do, and the status tells of the aims as they are."""
    path = tmp_path / "lab.yaml"
    path.write_text(text, encoding="utf-8")
    said = typed("place", str(path), "--diff")
    assert said.status == status
    assert "no copy has a choice of hosts; put a service on a pool" in said.out
    assert "There is nothing to change in the lab file." in said.out


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "1e9"])
def test_a_time_that_is_none_is_refused(seconds):
    """Before anything is read."""
    said = typed("place", SHELF, f"--seconds={seconds}")
    assert said.status == 2
    assert said.out == ""
    assert "is no time to look for a placement. Ask for more than 0 and up to 86,400 seconds." in said.err


def test_a_runbook_of_no_known_kind_is_refused_before_long_work():
    """As for the other commands."""
    said = typed("place", SHELF, "--runbook", "moves.docx")
    assert said.status == 2
    assert "'moves.docx' ends in neither .pdf nor .md" in said.err


def found_by_hand(monkeypatch, found):
    """Let the command find a placement made by hand; by what it was asked."""
    asked = []

    def place_lab(standing, *, seconds, progress, stopped):
        asked.append(standing)
        return found(standing) if callable(found) else found

    monkeypatch.setattr(command, "place_lab", place_lab)
    return asked


def to(**host_of):
    """A placement of some copies, nothing moved."""
    names = {name.replace("_", "."): host for name, host in host_of.items()}
    return replace(placing(moves=()), host_of=names, memory=dict.fromkeys(names, 0.0))


def test_a_file_that_changed_meanwhile_is_left(lab, monkeypatch):
    """Refused with status 2, whoever changed it keeps it."""

    def meanwhile(_):
        lab.write_text(LAB + "# more\n", encoding="utf-8")
        return to(mail_1="desk-1", mail_2="desk-3")

    found_by_hand(monkeypatch, meanwhile)
    said = typed("place", str(lab), "--write")
    assert said.status == 2
    assert "has been changed since it was read" in said.err
    assert lab.read_text(encoding="utf-8") == LAB + "# more\n"


def test_a_folder_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    """Each service in its own file; one that has changed keeps the others from being written."""
    base, services, more = (tmp_path / name for name in ("base.yaml", "mail.yaml", "notes.yaml"))
    head, _, rest = LAB.partition("services:\n")
    base.write_text(head, encoding="utf-8")
    services.write_text(f"services:\n{rest.partition('  notes')[0]}", encoding="utf-8")
    more.write_text("services:\n  notes: shelf   # small\n", encoding="utf-8")
    before = services.read_text(encoding="utf-8")

    def meanwhile(_):
        more.write_text("services: {notes: {on: shelf}}\n", encoding="utf-8")
        return to(mail_1="desk-1", mail_2="desk-3", notes_1="desk-2")

    found_by_hand(monkeypatch, meanwhile)
    said = typed("place", str(tmp_path), "--write")
    assert said.status == 2
    assert "notes.yaml' has been changed" in said.err
    assert services.read_text(encoding="utf-8") == before
    found_by_hand(monkeypatch, to(mail_1="desk-1", mail_2="desk-3", notes_1="desk-2"))
    assert typed("place", str(tmp_path), "--write").status == 0
    assert placed(services) == "[desk-1, desk-3]"
    assert more.read_text(encoding="utf-8") == "services: {notes: {on: shelf, placed: desk-2}}\n"


def test_counted_services_are_told_as_work_for_hands(tmp_path, monkeypatch):
    """What can't be said in one entry is told with what to write, and the rest is written."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB.replace("  notes: shelf   # small", "  web-1..2: {on: shelf}"), encoding="utf-8")
    found_by_hand(
        monkeypatch, to(**{"mail_1": "desk-1", "mail_2": "desk-3", "web-1_1": "desk-1", "web-2_1": "desk-2"})
    )
    said = typed("place", str(path), "--write")
    assert "by hand web-2: one entry says it together with others;" in " ".join(said.out.split())
    assert placed(path) == "[desk-1, desk-3]"
    assert "  web-1..2: {on: shelf}\n" in path.read_text(encoding="utf-8")


def test_ctrl_c_before_anything_was_found_writes_nothing(lab, monkeypatch):
    """Status 130, and the file as it was."""

    def stopped(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(running, "_kept", [])
    found_by_hand(monkeypatch, stopped)
    said = typed("place", str(lab), "--write")
    assert said.status == 130
    assert "No file was written or changed." in said.err
    assert lab.read_text(encoding="utf-8") == LAB


def test_ctrl_c_in_a_search_tells_the_best_so_far_and_begins_no_other(lab, monkeypatch):
    """The search hears it and gives what it has; the next round is told that it was pressed."""
    heard = []

    def place_lab(standing, *, seconds, progress, stopped):
        heard.append(stopped())
        with contextlib.suppress(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
        heard.append(stopped())
        return to(mail_1="desk-1", mail_2="desk-3")

    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(command, "place_lab", place_lab)
    said = typed("place", str(lab), "--diff")
    assert said.status == 0
    assert "placed: [desk-1, desk-3]" in said.out
    assert heard == [False, True]
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize("met", [True, False])
def test_every_sort_of_move_keeps_to_the_schema(met):
    """Stops, waits, broken rules, first starts, a loss without room, reasons."""
    why_not = () if met else (Reason(says="room without box-1", where=six().where),)
    found = placing(met=met, why_not=why_not)
    changes = rewritten(six(), found)
    answer = valid(place_answer(Standing(six()), found, changes, 0 if met else 1))
    assert [move["to"] for move in answer["moves"]] == [
        "box-1.b", "desk-2", "box-2.a", "desk-1", None, "box-1.b", "box-2.b"
    ]  # fmt: skip
    assert answer["moves"][3]["last"] is False
    assert answer["moves"][2]["breaks"] == ["files apart from pages"]
    assert answer["worst"]["homeless"] == ["logs.1"]
    assert answer["levels"][0] == {"name": "aims", "today": 1, "placed": 0, "bound": 0}


def test_worst_comes_first_for_people(capsys, lab, monkeypatch):
    """What is broken, why, and what would do; then levels, moves with their caution, hosts."""
    monkeypatch.delenv("COLUMNS", raising=False)  # the rows are looked at before they are folded
    reason = Reason(says="room without box-1", where=six().where)
    monkeypatch.setattr(command, "place_lab", lambda *_, **__: placing(met=False, why_not=(reason,)))
    assert command.place(Asked(lab=lab)) == 1
    rows = capsys.readouterr().out.splitlines()
    starts = (
        "Three on one shelf: 8 copies placed, 1 aim of 1 broken (as today), 4 copies to move",
        "BROKEN  no box stops mail: mail falls without box-1",
        "No place for the copies mends it all. These contradict each other",
        "    room without box-1 (",
        "  mend ",
        "  judged by",
        "     copy",
        "  caution Disks move too.",
        "  Nobody says where rota.1 runs",
        "  host",
    )
    at = [next(number for number, row in enumerate(rows) if row.startswith(start)) for start in starts]
    assert at == sorted(at)


def test_of_many_hosts_and_moves_the_first_are_told(capsys, lab, monkeypatch):
    """Hosts on which something changes come before the others, and the rest is counted."""
    found = many(400)
    monkeypatch.setattr(command, "place_lab", lambda *_, **__: found)
    assert command.place(Asked(lab=lab)) == 0
    out = capsys.readouterr().out
    changed = {each.host for each in found.filled if set(each.copies) != set(each.before)}
    listed = [row.split()[0] for row in out.partition("  host")[2].splitlines() if "machine-" in row]
    assert len(listed) == MOST_ROWS
    assert set(listed) <= changed
    assert f"{len(found.moves) - MOST_ROWS} more moves; --json tells all of them." in out
    assert f"{400 - MOST_ROWS} more hosts; --json tells all of them." in out


def test_the_lab_that_is_written_reads_back(lab, monkeypatch):
    """And has its copies where they were placed."""
    host_of = {"mail.1": "desk-2", "mail.2": "desk-3", "notes.1": "desk-2", "files.1": "desk-3"}
    monkeypatch.setattr(command, "place_lab", lambda *_, **__: replace(placing(moves=()), host_of=host_of))
    assert typed("place", str(lab), "--write").status == 0
    copies = {name: getattr(load(lab).things[name], "host", "") for name in host_of}
    assert copies == host_of


def test_a_question_it_cannot_answer_is_an_error_in_json(lab):
    """One JSON document, even where the writing is refused."""
    said = typed("place", str(lab), "--seconds", "0", "--json")
    assert said.status == 2
    assert json.loads(said.out)["errors"][0]["what"].startswith("--seconds 0")
    with pytest.raises(QuestionError):
        command.place(Asked(lab=lab, seconds=0.0))
