"""Does the answer on noise say plainly how loud it is, and end with the right status?"""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator
from tests.faces.cli.typed import MENDED

from falsework.errors import LabError
from falsework.faces.answers import answers_schema
from falsework.faces.cli.noise import Asked, tell_noise

pytestmark = pytest.mark.slow

LOUD = """falsework: 1
lab: mill
places:
  mill: {is: room, heard from: 1 m, stayed in: 4 h, next door: {loft: 20 dB}}
  loft: {is: room}
machines:
  saw-1..2: {is: node, in: mill, noise: 88 dB}
  fan: {is: node, in: mill}
  cart: {is: node}
"""


@pytest.fixture
def loud(tmp_path):
    """A file of a loud lab."""
    path = tmp_path / "lab.yaml"
    path.write_text(LOUD)
    return path


def flat(text):
    """Text on one line, as it was before it was folded."""
    return " ".join(text.split())


def test_the_observatory_is_within_both_limits(capsys):
    """The loudest room first, who makes it so, what moving changes, what was taken, and a caution."""
    assert tell_noise(Asked(lab=Path(MENDED))) == 0
    out = flat(capsys.readouterr().out)
    assert out.startswith(
        "Gannet Rock: every room is within both published limits; the loudest is oil store, 57 dB"
    )
    assert "57 dB 52 dB 58 dB twin-1, twin-2 and twin-3" in out
    assert "twin-1, twin-2 and twin-3 to lamp room" in out
    assert "Nobody says in which room cliff-1" in out
    assert "taken absorbs no echo for oil store, lamp room and hut" in out
    assert "measure where people are, and defer to local rules on noise at work" in out


def test_what_is_too_loud_comes_first(loud, capsys):
    """With what would help and where it stands; the status is 1."""
    assert tell_noise(Asked(lab=loud)) == 1
    out = flat(capsys.readouterr().out)
    assert out.startswith("mill: mill has 91 dB: NIOSH 98-126 allows 2 h a day, and somebody stays 4 h")
    assert "BROKEN mill has 91 dB" in out
    assert "mend take saw-1 and saw-2 out of it (91 to 40 dB)" in out
    assert "saw-1 and saw-2, through the wall of mill" in out
    assert "taken noise 40 dB at one metre for fan and cart" not in out  # the cart stands in no room
    assert "taken noise 40 dB at one metre for fan" in out


@pytest.mark.parametrize("which", ["observatory", "loud"])
def test_the_json_answer_keeps_its_schema(which, loud, capsys):
    """Both labs; an answer that breaks the schema would be told."""
    tell_noise(Asked(lab=Path(MENDED) if which == "observatory" else loud, json=True))
    answer = json.loads(capsys.readouterr().out)
    validator = Draft202012Validator(answers_schema())
    assert list(validator.iter_errors(answer)) == []
    assert answer["command"] == "noise"
    assert answer["status"] == (which == "loud")
    assert answer["caution"]
    broken = {**answer, "rooms": [{**answer["rooms"][0], "level_db": "loud"}]}
    assert list(validator.iter_errors(broken)) != []


def test_a_picture_is_written(loud, tmp_path, capsys):
    """As SVG that can be read."""
    picture = tmp_path / "noise.svg"
    tell_noise(Asked(lab=loud, picture=picture))
    capsys.readouterr()
    assert ElementTree.fromstring(picture.read_text()).tag.endswith("svg")


def test_a_wall_to_nowhere_is_told(loud):
    """With its place and the room that was meant."""
    loud.write_text(LOUD.replace("{loft:", "{lofty:"))
    with pytest.raises(LabError, match=r"no room is called 'lofty'. Did you mean loft\?"):
        tell_noise(Asked(lab=loud))
