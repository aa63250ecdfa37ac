"""What users see of a lab, on the command line; the services are files."""

import json
import signal

import pytest
from tests.faces.cli.drilled import LAB, laid
from tests.faces.cli.main_in_terminal import typed_in_terminal
from tests.faces.cli.typed import typed
from tests.faces.fitting import fits

from falsework.faces.cli import stopwatch
from falsework.record.keeping import runs


def watched(folder, *words, text=LAB, without=(), until=("front page: well", "mail box: well")):
    """What is said of a lab in a folder of its own, watched for so long that all of this is said, and that folder."""
    for seconds in (1.5, 6.0, 24.0, 96.0):
        place = folder / f"{seconds:.0f}"
        place.mkdir()
        lab = laid(place, text)
        for each in without:
            (place / each).unlink()
        said = typed("stopwatch", str(lab), "--for", f"{seconds} s", "--often", *words)
        if all(each in said.out for each in until):
            break
    return said, place


@pytest.mark.slow
def test_all_is_well(tmp_path):
    """Where everything is answered well it says so, keeps it, and ends with 0."""
    said, folder = watched(tmp_path)
    # On a busy machine the stopwatch may have gaps of its own.
    lines = [each for each in said.out.splitlines() if not each.startswith("  gap") and "unknown" not in each]
    assert lines[0] == "Asking what the lab file names and nothing else: 2 probes."
    assert {each.partition("s  ")[2] for each in lines[1:-3]} == {"front page: well", "mail box: well"}
    assert lines[-3].startswith("Watched 2 probes for ")
    assert lines[-3].endswith(": everything was answered well.")
    assert lines[-2:] == [
        f"  kept   {folder}/lab.record, run 1",
        f"  next   falsework record {folder}/lab.yaml --run 1",
    ]
    assert said.status == 0
    assert runs(folder / "lab.record")[0].ended


@pytest.mark.slow
def test_in_json_each_line_fits_the_schema(tmp_path):
    """A line that it begins, a line a change, and a line with all of it at the end; nothing else on standard output."""
    said, _ = watched(tmp_path, "--json", without=["mail"], until=['"told": "yes"', '"told": "no"'])
    lines = [json.loads(each) for each in said.out.splitlines()]
    for each in lines:
        fits(each)
    assert [lines[0]["tells"], lines[-1]["tells"]] == ["begun", "ended"]
    changes = {(each["probe"], each["told"]) for each in lines[1:-1] if each["tells"] == "change"}
    assert {("front page", "yes"), ("mail box", "no")} <= changes
    assert [len(each["outages"]) for each in lines[-1]["probes"]] == [0, 1]
    assert said.status == lines[-1]["status"] == 1
    assert "Asking what the lab file names" in said.err


@pytest.mark.slow
def test_only_some(tmp_path):
    """Probes are named by their name or by what they see; no other is asked."""
    said = typed("stopwatch", str(laid(tmp_path)), "mail", "--for", "0.3 s", "--record", str(tmp_path / "r"))
    assert "nothing else: 1 probe." in said.out
    assert f"falsework record {tmp_path}/lab.yaml --run 1 --record {tmp_path}/r" in said.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (
            ["front pag"],
            "no probe is called 'front pag', and none sees such a thing. Did you mean 'front page'?",
        ),
        (["--for", "soon"], "--for: "),
        (["--for", "0 s"], "--for 0 s is no time to watch"),
        (["--record", "/nowhere/at/all"], "the record '/nowhere/at/all' can't be begun"),
    ],
)
def test_what_cannot_be_watched(tmp_path, words, says):
    """A wrong question gets its answer before anything is asked."""
    said = typed("stopwatch", str(laid(tmp_path)), *words)
    assert says in said.err
    assert said.status == 2
    assert not (tmp_path / "lab.record").exists()


def test_a_lab_without_probes(tmp_path):
    """Nothing is asked that the lab file does not name; an example shows how to."""
    said = typed("stopwatch", str(laid(tmp_path, LAB.partition("probes:")[0])))
    assert "the lab file of Two desks names no probe, and nothing else is ever asked" in said.err
    assert stopwatch.EXAMPLE.rstrip() in said.err
    assert said.status == 2


@pytest.mark.slow
def test_probes_from_elsewhere(tmp_path):
    """What is to be asked from another machine is not asked from this one, and that is said."""
    text = LAB.replace("sees: mail,", "sees: mail, from: desk-1,")
    said = typed("stopwatch", str(laid(tmp_path, text)), "--for", "0.3 s")
    assert "Not asked here, but from desk-1: mail box." in said.out
    alone = typed("stopwatch", str(laid(tmp_path, text)), "mail box", "--for", "0.3 s")
    assert "mail box is not asked from this machine" in alone.err
    assert "Run it on desk-1, or drop `from` in the lab file." in alone.err


@pytest.mark.slow
def test_a_name_that_is_not_found(tmp_path):
    """A target that does not resolve is told with its place and how to mend it; the rest is watched."""
    text = LAB.replace("drills:", "  dead: tcp no.such.name.invalid port 80\ndrills:")
    lookup = "the name no.such.name.invalid is not found"
    said, _ = watched(tmp_path, text=text, until=["front page: well", lookup])
    assert "mind   dead was never answered well" in said.out
    assert f"(probes.dead.asks): {lookup}" in said.out
    assert "front page: well" in said.out
    assert said.status == 1


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGHUP])
def test_in_a_terminal_until_somebody_says_so(tmp_path, number):
    """Drawn in place until Ctrl-C or a request to end; the summary stays, and the record is whole."""
    lab = laid(tmp_path)

    def lose():
        (tmp_path / "web").unlink()

    steps = [("2 probes: all answered well", lose), ("x \x1b[0mfront page", number)]
    ran = typed_in_terminal(["stopwatch", str(lab), "--often"], steps)
    assert "front page at " in ran.text or "front page from" in ran.text
    assert "until the end" in ran.text
    assert ran.status == 1
    assert runs(tmp_path / "lab.record")[0].ended
