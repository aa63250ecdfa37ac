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


def test_a_text_that_stands_for_too_much_is_given_up(looking, monkeypatch):
    """Nobody waits for it, a newer text ends it, and after its time it is told."""
    made, name = looking
    waited(made, {name: "lab: x\n"})
    heavy = {name: "lab: x\nmachines:\n  n-1..400000: {is: node}\n"}
    assert made.ask(heavy, patience_s=0.0) is None
    assert made.ask(heavy, patience_s=0.0) is None
    assert waited(made, {name: "lab: y\n"}).faults == ()
    monkeypatch.setattr(module, "LONGEST_S", 0.0)
    assert made.ask(heavy, patience_s=0.0).faults[0].what.endswith("it takes too long to read it")
    assert waited(made, {name: "lab: z\n"}).faults == ()


def test_a_process_that_died_is_started_again(looking):
    """Whatever ended it."""
    made, name = looking
    waited(made, {name: "lab: x\n"})
    made._reader[0].kill()
    made._reader[0].join()
    assert waited(made, {name: "lab: y\n"}).faults == ()
