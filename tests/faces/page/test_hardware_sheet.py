"""Does the sheet of hardware tell what the six commands tell?"""

import pytest
from tests.faces.page.sheets import (
    HOSTILE,
    KITCHEN,
    LONELY,
    MENDED,
    answered,
    hold_to_the_page,
    lab,
    made,
    read,
    said,
)

from falsework.errors import QuestionError
from falsework.faces.cli import addresses, drives, noise, power, rack, wire
from falsework.faces.errors import error_answer
from falsework.faces.page.hardware_work import work

COMMANDS = {
    "rack": (rack.tell_racks, rack.Asked),
    "power": (power.tell_power, power.Asked),
    "wire": (wire.tell_wire, wire.Asked),
    "drives": (drives.compare_layouts, drives.Asked),
    "noise": (noise.tell_noise, noise.Asked),
    "addresses": (addresses.give_addresses, addresses.Asked),
}


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("of", [MENDED, KITCHEN])
def test_answers_are_those_of_the_commands(of, name, capsys):
    """Programs get from the page what they get from the command line, word for word."""
    command, asked = COMMANDS[name]
    if of == KITCHEN and name in ("drives", "addresses"):
        with pytest.raises(QuestionError) as refused:
            command(asked(lab=lab(of), json=True))
        assert made(work, of).answers[name] == error_answer(refused.value, command=name)
        return
    assert made(work, of).answers[name] == answered(command, asked(lab=lab(of)), capsys)


@pytest.mark.parametrize("of", [KITCHEN, MENDED, LONELY, HOSTILE])
def test_the_sheet_is_whole_and_harmless(of):
    """Everything closes, nothing runs, and each of the six has its anchor, whatever the names in the lab are."""
    found = hold_to_the_page(made(work, of).html)
    assert set(COMMANDS) <= set(found.ids)


def test_what_the_lab_lacks_is_asked_for_by_its_key():
    """A lab without racks, power, wire, stores, rooms and networks is told what to write for each."""
    text = said(made(work, LONELY).html)
    assert text.count("The lab file tells nothing of it.") == len(COMMANDS)
    for key in ("places", "power", "wire", "stores", "noise", "networks"):
        assert key in text


def test_each_drawing_has_its_caption_caution_and_file():
    """Pieces come with a picture that can be taken home, and what can hurt with its caution."""
    found = made(work, MENDED)
    text = said(found.html)
    for name in COMMANDS:
        assert found.files[f"{name}.svg"].startswith(b"<svg")
        assert ("href", f"/hardware/{name}.svg") in read(found.html).attributes
    assert "load from the bottom" in text
    assert "local electrical codes" in text
    assert "make sure that a copy you have restored from exists elsewhere" in text


def test_lists_to_take_home_are_those_of_the_commands(tmp_path):
    """Cables, hosts, addresses and zones are byte for byte what the commands write."""
    found = made(work, MENDED)
    wire.tell_wire(wire.Asked(lab=lab(MENDED), cables=tmp_path / "cables.csv"))
    addresses.give_addresses(
        addresses.Asked(
            lab=lab(MENDED),
            csv=tmp_path / "addresses.csv",
            hosts=tmp_path / "hosts.txt",
            zones=tmp_path / "zones",
        )
    )
    for name in ("cables.csv", "addresses.csv", "hosts.txt"):
        assert found.files[name] == (tmp_path / name).read_bytes()
    written = {path.name: path.read_bytes() for path in (tmp_path / "zones").iterdir()}
    assert written == {name: text for name, text in found.files.items() if name.endswith(".zone")}


def test_names_lead_to_the_drawing_and_keep_what_is_pulled():
    """A part in a table is a link to its place in the elevation, with what is out still out."""
    links = [value for key, value in read(made(work, MENDED, ("desk-1",)).html).attributes if key == "href"]
    assert any(link.startswith("/?out=desk-1&look=") for link in links)


def test_a_file_that_changed_meanwhile_is_refused():
    """A job for one state of the file tells nothing of another."""
    with pytest.raises(QuestionError, match="changed"):
        work(str(lab(KITCHEN)), "another", (), lambda what, done, of: None)
