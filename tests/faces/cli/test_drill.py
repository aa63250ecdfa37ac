"""A drill on the command line, with the real stopwatch; the services are files."""

import json
import socket

import pytest
from tests.faces.cli.drilled import LAB, laid
from tests.faces.cli.main_in_terminal import typed_in_terminal
from tests.faces.cli.typed import typed
from tests.faces.fitting import fits

from falsework.faces.cli import drill as drill_command
from falsework.faces.cli import drill_during, drill_scene
from falsework.faces.cli.drill_scene import Done
from falsework.record.keeping import observed
from falsework.record.seen import Mark

pytestmark = pytest.mark.slow  # whole commands


@pytest.fixture(autouse=True)
def _soon(monkeypatch):
    """Nothing here takes longer than a moment to show."""
    monkeypatch.setattr(drill_scene, "STEADY_S", 0.5)
    monkeypatch.setattr(drill_during, "MARGIN_S", 1.0)


def marks(folder, run=1):
    """What the record says was done."""
    return [(str(each.mark), each.says) for each in observed(folder / "lab.record", run).run.marks]


def test_told_and_not_done(tmp_path):
    """With --tell all of it is told: what is foretold, what is done and undone, what to mind; nothing is done."""
    said = typed("drill", str(laid(tmp_path)), "stop web", "--tell", COLUMNS="100")
    assert said.out.startswith(TOLD)
    places = [said.out.find(each) for each in MORE]
    assert -1 not in places
    assert places == sorted(places)
    assert said.status == 0
    assert not (tmp_path / "lab.record").exists()


TOLD = """\
Drill stop web: lose desk-1.

  foretold   web falls at once, until it is put back
             mail stands
  do         by your command: echo stopping; rm web
"""
MORE = (
    "  watch      ",
    "  stop       ",
    "             After 20 s, whatever has happened.\n",
    "  back       by your command: touch web; echo back >> did\n",
    "  mind       Power can kill: ",
    "\nMay it be done now: Yes: what falls is foretold, and nothing else does.\n",
)
"""Of what the plan says in its own words, that it is there and in this order."""


def test_a_program_is_told_that_nothing_was_done(tmp_path, monkeypatch):
    """With --json an answer comes whatever happens: also where nobody said yes, or where there are only words."""
    lab = laid(tmp_path)
    said = typed("drill", str(lab), "stop web", "--tell", "--json")
    assert said.status == 2
    fits(json.loads(said.out))
    assert "drills LAB NAME --json" in json.loads(said.out)["errors"][0]["mend"]
    monkeypatch.setattr(drill_command, "conduct", lambda scene: Done(given_up="nobody said yes"))
    said = typed("drill", str(lab), "stop web", "--yes", "--json")
    assert said.status == 2
    fits(json.loads(said.out))
    assert json.loads(said.out)["errors"][0]["what"] == (
        "drill stop web was not begun, since nobody said yes; nothing was done"
    )


@pytest.mark.slow
def test_from_its_beginning_to_its_end(tmp_path):
    """With yes said beforehand it is done, watched, put back and compared; the answer fits the schema."""
    lab = laid(tmp_path)
    said = typed("drill", str(lab), "stop web", "--yes", "--json")
    answer = json.loads(said.out)
    fits(answer)
    assert (tmp_path / "did").read_text() == "back\n"
    assert answer["put_back"] == "put back by your command"
    assert answer["given_up"] == ""
    assert answer["poorly"] == []
    assert {each["thing"]: each["sort"] for each in answer["comparison"]["lines"]} == {
        "web": "as foretold",
        "mail": "as foretold",
    }
    assert said.status == answer["status"] == 0
    seen = observed(tmp_path / "lab.record", 1)
    assert (seen.run.drill, seen.run.tries, seen.run.lost) == ("stop web", "loss", ("desk-1",))
    web, mail = seen.probes
    (outage,) = web.outages
    assert not mail.outages
    assert seen.run.done_s is not None
    assert seen.run.put_back_s is not None
    assert outage.good_s <= seen.run.done_s < outage.until_s
    assert Mark.PUT_BACK in [each.mark for each in seen.run.marks]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["stop wbe", "--yes"], "Did you mean 'stop web'?"),
        (["desk-9", "--yes"], "Did you mean 'desk-"),
        (
            ["stop web"],
            "drill stop web runs a command of yours, and nobody is at a terminal to say yes; nothing was done",
        ),
        (["by hand", "--yes"], "drill by hand needs hands, and nobody is at a terminal; nothing was done"),
        (
            ["desk-2", "--yes", "--do", "rm mail"],
            "nobody is at a terminal, and drill lose desk-2 has no command that puts it back; nothing was done",
        ),
        (["stop web", "--yes", "--record", "/nowhere/x"], "the record '/nowhere/x' can't be begun"),
    ],
)
def test_what_is_not_done(tmp_path, words, says):
    """A wrong name, a drill that needs a person, and a record that cannot be: nothing is done."""
    said = typed("drill", str(laid(tmp_path)), *words)
    assert says in said.err
    assert said.status == 2
    assert (tmp_path / "web").exists()
    assert not (tmp_path / "lab.record").exists()


@pytest.mark.slow
def test_what_may_not_be_done(tmp_path):
    """An aim that would break says no; a reason goes on, and is kept in the record."""
    text = f"{LAB}aims:\n  mail stays: {{lose: node, at most: blinks, of: [web]}}\ntoday:\n  out: [{{part: desk-2}}]\n"
    refused = typed("drill", str(laid(tmp_path, text)), "stop web", "--yes")
    if "May it be done now: Yes" in refused.out:
        pytest.fail(refused.out)
    assert "drill stop web may not be done now" in refused.err
    assert "If you know better, say why with --although; it is kept in the record." in refused.err
    assert refused.status == 2
    assert (tmp_path / "web").exists()
    done = typed("drill", str(tmp_path / "lab.yaml"), "stop web", "--yes", "--although", "it is my birthday")
    assert marks(tmp_path)[0][1].endswith("): it is my birthday")
    assert "Everything is answered well again." in done.out


def test_where_nothing_is_seen(tmp_path):
    """A drill that no probe sees is told so, plainly, and can be done all the same."""
    said = typed(
        "drill", str(laid(tmp_path, LAB.replace("sees: web,", "sees: desk-2,"))), "stop web", "--tell"
    )
    assert (
        "no probe of the lab file sees anything that this drill touches: nothing of it will be measured"
        in said.out
    )


@pytest.mark.slow
def test_a_lab_without_probes(tmp_path):
    """Without any probe the drill is done and kept in the record, and nothing is measured."""
    text = LAB.replace(LAB[LAB.index("probes:") : LAB.index("drills:")], "")
    said = typed("drill", str(laid(tmp_path, text)), "stop web", "--yes")
    assert (tmp_path / "did").read_text() == "back\n"
    assert [each[0] for each in marks(tmp_path)].count("put back") == 1
    assert "no probe of the lab file is asked from this machine: nothing of it will be measured" in said.out


def test_the_machine_that_runs_it_goes_down(tmp_path, monkeypatch):
    """A stopwatch that is taken out by its own drill is refused."""
    monkeypatch.setattr(socket, "gethostname", lambda: "desk-1.lab.example")
    said = typed("drill", str(laid(tmp_path)), "stop web", "--yes")
    assert "this machine (desk-1) goes down in drill stop web" in said.err
    assert said.status == 2
    assert (tmp_path / "web").exists()


@pytest.mark.slow
def test_at_a_terminal(tmp_path):
    """Drawn in place, asked for the word, given up by Ctrl-C: put back, and the record says so."""
    lab = laid(tmp_path)
    steps = [
        ("Type yes to run it:", "yes\n"),
        ("Your command ended well", lambda: None),
        ("front page", "\x03"),
    ]
    ran = typed_in_terminal(["drill", str(lab), "stop web"], steps)
    assert (tmp_path / "did").read_text() == "back\n"
    assert "Given up, since you pressed Ctrl-C" in ran.text
    assert "Everything is answered well again." in ran.text
    assert ran.status == 1
    said = marks(tmp_path)
    assert ("said", "given up: you pressed Ctrl-C") in said
    assert [each for each, _ in said].count("put back") == 1
