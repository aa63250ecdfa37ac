from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from falsework.faces.page import looking as module
from falsework.faces.page.looking import Looking, looked


@pytest.fixture
def looking(tmp_path):
    """What reads the texts of a lab; ended afterwards."""
    lab = tmp_path / "lab.yaml"
    lab.write_text("lab: x\n")
    made = Looking(lab)
    yield made, str(lab)
    made.close()


def waited(made, instead):
    """The answer, however long it takes."""
    while True:
        found = made.ask(instead)
        if found is not None:
            return found


def test_it_says_what_reading_says(looking):
    """In the process beside as here, faults or things."""
    made, name = looking
    for text in ("lab: x\nzzz: 1\n", "lab: [", "lab: x\nmachines: {a: {is: node}}\n"):
        assert waited(made, {name: text}) == looked(Path(name), {name: text})
    assert made.things == {"a": "node"}


HEAVY = "lab: x\nmachines:\n  n-1..400000: {is: node}\n"


def test_a_newer_text_ends_what_takes_long(looking, monkeypatch):
    """Nobody waits for it, and what is typed next is answered."""
    made, name = looking
    monkeypatch.setattr(module, "PATIENCE_S", 0.0)
    assert made.ask({name: HEAVY}, patience_s=0.0) is None
    assert made.ask({name: HEAVY}, patience_s=0.1) is None
    assert waited(made, {name: "lab: y\n"}).faults == ()


def test_a_text_that_stands_for_too_much_is_given_up(looking, monkeypatch):
    """After its time that is told, and told again without reading."""
    made, name = looking
    monkeypatch.setattr(module, "LONGEST_S", 0.0)
    assert waited(made, {name: HEAVY}).faults[0].what.endswith("it takes too long to read it")
    assert made.ask({name: HEAVY}, patience_s=0.0) is not None
    monkeypatch.undo()
    assert waited(made, {name: "lab: z\n"}).faults == ()


def test_two_who_type_get_their_answers(looking):
    """Each about their own text."""
    made, name = looking
    texts = [{name: f"lab: x\nzzz{number}: 1\n"} for number in range(2)]
    with ThreadPoolExecutor(2) as pool:
        found = [each.result() for each in [pool.submit(waited, made, text) for text in texts]]
    assert ["zzz0" in found[0].faults[0].what, "zzz1" in found[1].faults[0].what] == [True, True]


def test_a_process_that_died_is_started_again(looking, monkeypatch):
    """What it was reading is told to be too much, and the next text is read by another."""
    made, name = looking
    begun = []
    start = module._Reader.__init__

    def noted(reader):
        start(reader)
        begun.append(reader)

    monkeypatch.setattr(module._Reader, "__init__", noted)
    assert made.ask({name: HEAVY}, patience_s=0.0) is None
    while not begun:
        made.ask({name: HEAVY}, patience_s=0.05)
    begun[0]._process.kill()
    assert "ended early" in waited(made, {name: HEAVY}).faults[0].what
    assert waited(made, {name: "lab: y\n"}).faults == ()
    assert len(begun) == 2


def test_closed_it_lets_everybody_go(looking):
    """Who waits gets no answer, at once, and nothing is left running."""
    made, name = looking
    made.ask({name: HEAVY}, patience_s=0.0)
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(made.ask, {name: HEAVY}, patience_s=1000.0)
        made.close()
        assert waiting.result() is None
    made._thread.join()
    assert made.ask({name: "lab: x\n"}) is None


def test_a_defect_is_told_and_ends_nothing(tmp_path, monkeypatch):
    """As ours, and not the lab's."""

    def build(source):
        raise ZeroDivisionError

    monkeypatch.setattr(module, "build", build)
    lab = tmp_path / "lab.yaml"
    lab.write_text("lab: x\n")
    assert "defect of falsework" in looked(lab, {}).faults[0].what


def test_without_the_page_nothing_goes_on_reading(looking):
    """Its end of the pipe closed, the process ends in the middle of a text."""
    _, name = looking
    reader = module._Reader()
    reader.send(Path(name), {name: HEAVY})
    assert reader.received(0.2) is None
    reader._pipe.close()
    reader._process.join(30)
    assert reader._process.exitcode == 0
