"""Is every room drawn to one scale, with who is heard in it and what is allowed?"""

from __future__ import annotations

from xml.etree import ElementTree

from tests.model.texts import lab_of

from falsework.analyses.noise.whole import noise
from falsework.faces.report.loudness import loudness_sheet
from falsework.faces.report.noise_piece import noise_piece
from falsework.findings.finding import NOISE_CAUTION

SVG = "{http://www.w3.org/2000/svg}"
TEXT = """
places:
  mill: {is: room, heard from: 1 m, stayed in: 4 h, stands at: 30 dB, next door: {loft: 20 dB}}
  loft: {is: room, stands at: 60 dB}
  pit: {is: room}
machines:
  saw-1..2: {is: node, in: mill, noise: 88 dB}
  fan: {is: node, in: loft, noise: 66 dB}
"""


def drawn(text):
    """The sheet of a text, read back."""
    lab = lab_of(text)
    return ElementTree.fromstring(loudness_sheet(lab, noise(lab)))


def test_each_room_is_one_group_the_loudest_on_top():
    """With its state, and nothing leaves the sheet."""
    root = drawn(TEXT)
    groups = [each for each in root.iter(f"{SVG}g") if each.get("data-word") == "room"]
    assert [each.get("data-id") for each in groups] == ["mill", "loft", "pit"]
    assert [each.get("data-state") for each in groups] == ["falls", "stands", "stands"]
    width = float(root.attrib["width"])
    for each in root.iter(f"{SVG}rect"):
        assert float(each.get("x", 0)) >= 0
        assert float(each.get("x", 0)) + float(each.get("width", 0)) <= width


def test_a_beam_is_as_long_as_its_level():
    """Of two rooms, the lengths are as the levels."""
    root = drawn(TEXT)
    beams = [
        float(next(iter(group.iter(f"{SVG}rect"))).get("width"))
        for group in root.iter(f"{SVG}g")
        if group.get("data-word") == "room"
    ]
    levels = sorted((each.level_db for each in noise(lab_of(TEXT)).rooms), reverse=True)
    for beam, level in zip(beams, levels, strict=True):
        assert abs(beam / beams[0] - level / levels[0]) < 0.01


def test_what_comes_through_a_wall_is_told():
    """In the picture's words and its key."""
    text = "".join(drawn(TEXT).itertext())
    assert "from mill: saw-1 and saw-2" in text
    assert "machines heard through a wall" in text
    assert NOISE_CAUTION in text


def test_a_name_cannot_break_the_picture():
    """Signs of markup in names stay text."""
    root = drawn('places: {"a<b>&": {is: room, stands at: 40 dB}}')
    assert "a<b>&" in "".join(root.itertext())


def test_the_piece_of_the_report():
    """The short answer, a sentence for each room, what moving changes, and the picture; nothing without rooms."""
    lab = lab_of(TEXT)
    piece = noise_piece(lab, noise(lab))
    assert piece is not None
    assert (piece.name, piece.bad, piece.caution) == ("noise", True, NOISE_CAUTION)
    assert piece.lead.startswith("Mill has 91 dB: NIOSH 98-126 allows 2 h a day")
    assert [each.split(":")[0] for each in piece.says] == ["Mill", "Loft", "Pit"]
    assert piece.tables[0].rows[0][3].startswith("saw-1 and saw-2")
    assert "<svg" in piece.figures[0].svg
    empty = lab_of("machines: {n: node}")
    assert noise_piece(empty, noise(empty)) is None
