import pytest
from tests.faces.cli.typed import typed

from falsework.errors import QuestionError
from falsework.faces.cli.start import MOST_MACHINES, MOST_STRIPS, first_lab
from falsework.findings.finding import Level
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.parts import Node, Strip
from falsework.study import study_lab


def built(text):
    """The lab in this text."""
    return build(read_text(text, "lab.yaml"))


@pytest.mark.parametrize(
    ("machines", "strips"),
    [(1, 1), (2, 1), (2, 2), (3, 2), (7, 3), (MOST_MACHINES, 1), (MOST_MACHINES, MOST_STRIPS)],
)
def test_a_first_lab_loads_and_stands(machines, strips):
    """Whatever the numbers, it loads, has as many machines and strips, and nothing is down to begin with."""
    lab = built(first_lab("x", machines, strips))
    assert (len(lab.of(Node)), len(lab.of(Strip))) == (machines, strips)
    codes = {each.code for each in study_lab(lab).findings if each.level is Level.BROKEN}
    assert codes <= {"aim broken"}


@pytest.mark.parametrize("name", ["Kitchen", "yes", "- a: 'x' #", '"', "42", "{a}", "Åse’s shelf"])
def test_any_name_of_one_line_is_kept(name):
    """A name comes back as it was given, whatever YAML would make of it bare."""
    assert built(first_lab(name, 3, 2)).name == name


@pytest.mark.parametrize(
    ("name", "machines", "strips", "what"),
    [
        (" ", 3, 2, "a lab needs a name of one line"),
        ("a\nb", 3, 2, "a lab needs a name of one line"),
        ("x", 0, 1, "0 machines can't be started with"),
        ("x", 3, MOST_STRIPS + 1, f"{MOST_STRIPS + 1} strips can't be started with"),
        ("x", 1, 2, "2 strips are more than 1 machines can use"),
    ],
)
def test_what_makes_no_lab_is_refused(name, machines, strips, what):
    """No name, no machine or more strips than machines gets a plain answer."""
    with pytest.raises(QuestionError) as caught:
        first_lab(name, machines, strips)
    assert caught.value.what == what


def test_without_a_terminal_nothing_is_asked(tmp_path):
    """Flags are taken, the rest is assumed, and the next step is named."""
    path = tmp_path / "lab.yaml"
    said = typed("start", str(path), "--name", "Shed", "--machines", "4")
    assert (said.status, said.err) == (0, "")
    assert f"falsework check {path}" in said.out
    lab = built(path.read_text(encoding="utf-8"))
    assert (lab.name, len(lab.of(Node))) == ("Shed", 4)
    assert typed("check", str(path)).status == 1


def test_a_file_that_is_there_stays(tmp_path):
    """Nothing is ever written over: status 2, and the file is as it was."""
    path = tmp_path / "lab.yaml"
    path.write_text("mine")
    said = typed("start", str(path))
    assert (said.status, path.read_text()) == (2, "mine")
    assert said.err == f"'{path}' is there already and stays as it is. Name another file.\n"
