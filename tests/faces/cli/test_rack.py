"""`falsework rack` answers in words, in JSON that fits its schema, and with a drawing."""

import json

import pytest
from tests.faces.cli.typed import typed
from tests.faces.fitting import fits

pytestmark = pytest.mark.slow

MENDED = "examples/observatory/mended.yaml"


def test_the_short_answer_comes_first():
    """A rack that bears its load and stands is said to in one line, with its figures, place and caution below."""
    said = typed("rack", MENDED)
    assert said.status == 0
    assert said.out.startswith("Gannet Rock: rack bears its load and stands in both tests\n")
    assert "examples/observatory/mended.yaml:" in said.out
    assert "no proof of stability" in " ".join(said.out.split())


def test_an_answer_for_programs_keeps_to_its_schema():
    """Every key is there and typed; the caution too."""
    said = typed("rack", MENDED, "--json")
    answer = json.loads(said.out)
    fits(answer)
    assert answer["caution"]
    assert answer["racks"][0]["stands"] is True


def test_what_is_wrong_is_broken_and_exits_1(tmp_path):
    """Too heavy for its casters: told as broken."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        "lab: l\nplaces: {r: {is: rack, units: 4, casters: 4, caster bears: 10 kg}}\n"
        "machines: {n: {is: node, in: r, height: 2 U, weighs: 20 kg}}\n"
    )
    said = typed("rack", str(lab))
    assert said.status == 1
    assert "BROKEN  r: a caster may have to carry 30 kg, and bears 10 kg" in said.out
    answer = json.loads(typed("rack", str(lab), "--json").out)
    fits(answer)
    assert answer["status"] == 1


def test_what_tips_by_itself_fits_the_schema_too(tmp_path):
    """A centre of gravity behind the middle and beyond the base: numbers below 0."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        "lab: l\nplaces: {r: {is: rack, units: 20, weighs: 10 kg, foot: 10 cm, width: 600 mm, depth: 300 mm}}\n"
        "machines: {n: {is: node, in: r, at: 1 U, height: 2 U, depth: 100 mm, weighs: 60 kg, faces: back}, "
        "m: {is: node, in: r, at: 5 U, height: 2 U, depth: 950 mm, weighs: 80 kg}}\n"
    )
    answer = json.loads(typed("rack", str(lab), "--json").out)
    fits(answer)
    assert answer["racks"][0]["forward_m"] < 0
    assert answer["racks"][0]["tips_forwards_deg"] < 0
    assert answer["racks"][0]["push"]["holds_nm"] < 0


def test_a_way_is_asked_about():
    """A ramp it stands on is met, a steep one is not; both to the schema; a wrong angle is one line."""
    mild = typed("rack", MENDED, "--ramp", "6", "--sill", "20 mm")
    assert mild.status == 0
    assert "On a ramp of 6° with a sill of 20 mm it leans" in " ".join(mild.out.split())
    steep = typed("rack", MENDED, "--ramp", "40", "--json")
    answer = json.loads(steep.out)
    fits(answer)
    assert (steep.status, answer["racks"][0]["on_the_way"]["tips"]) == (1, True)
    wrong = typed("rack", MENDED, "--sill", "2 kg")
    assert wrong.status == 2
    assert "--sill" in wrong.err


def test_a_drawing_is_written(tmp_path):
    """To the file that was named, and said so."""
    picture = tmp_path / "rack.svg"
    said = typed("rack", MENDED, "--picture", str(picture))
    assert picture.read_text().startswith("<svg")
    assert f"The drawing is in {picture}." in " ".join(said.out.split()) or str(picture.name) in said.out


def test_a_lab_without_racks_is_no_error(tmp_path):
    """It says so, in words, in JSON and as a drawing."""
    lab = tmp_path / "lab.yaml"
    lab.write_text("lab: l\nmachines: {n: {is: node}}\n")
    assert typed("rack", str(lab)).out.startswith("l: no rack")
    fits(json.loads(typed("rack", str(lab), "--json").out))
    assert typed("rack", str(lab), "--picture", str(tmp_path / "r.svg")).status == 0


@pytest.mark.parametrize("text", ["", "lab: l\nplaces: {r: {is: rack, units: 0}}\n", "lab: [\n"])
def test_wrong_input_is_one_clear_line(tmp_path, text):
    """No traceback, exit status 2."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(text)
    said = typed("rack", str(lab))
    assert said.status == 2
    assert "Traceback" not in said.err
    assert str(lab.name) in said.err
