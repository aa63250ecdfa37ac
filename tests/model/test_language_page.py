"""The page that tells the language: every piece on it works, and nothing is left out."""

import re
from pathlib import Path

import pytest
import yaml
from tests.model.texts import lab_of, told

from falsework.model.people import VERDICTS
from falsework.model.sections import ORDER, SECTIONS

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "language.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```([^\n]*)\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
THINGS = {section.name for section in SECTIONS}
PIECES = [text for info, text in BLOCKS if info == "yaml"]

AROUND = """
lab: what the pieces name and do not show
kinds:
  desktop: {is: node}
  small-disk: {is: drive}
  sled: {is: node, memory: 96 GiB, ports: {a..b: 1 Gb/s, care: 100 Mb/s}, drives: small-disk}
  twin: {is: enclosure, holds: {a..b: sled}}
outside: {mains: , mast link: , phone line: , safe: , laptop at hand: }
power: {socket: {is: circuit, fed by: mains}, A: {is: strip, fed by: socket}, B: {is: strip, fed by: socket}}
machines:
  desk-1..3: {is: node, drives: small-disk}
  attic: {is: node}
  twin-1..2: twin
  hub: {is: switch}
  sw-1..2: {is: switch, ports: {1..8: 1 Gb/s, up1..2: 10 Gb/s}}
services: {names: desk-1, clock: desk-1, installer: desk-1, checks: desk-1, mail: [desk-1, desk-2]}
stand-ins: {laptop: names}
keys: {backup key: safe}
data: {letters: {of: mail, in: desk-1}}
"""


def completed(text):
    """A piece with what it names and does not show; whole labs stay as they are."""
    piece = yaml.load(text, Loader=yaml.BaseLoader)
    if "lab" in piece:
        return text
    whole = yaml.load(AROUND, Loader=yaml.BaseLoader)
    shown = {name for section in THINGS & piece.keys() for name in piece[section]}
    for name, section in whole.items():
        if name in THINGS:
            section = {key: each for key, each in section.items() if key not in shown}
        mine = piece.get(name)
        whole[name] = {**section, **mine} if isinstance(mine, dict) and isinstance(section, dict) else section
    return yaml.safe_dump({**piece, **whole}, sort_keys=False)


def test_there_are_pieces():
    """The page was found and taken apart; it begins with the example that is shipped."""
    assert len(PIECES) >= 12
    shelf = (DOCS.parent / "examples" / "kitchen-shelf.yaml").read_text(encoding="utf-8")
    assert PIECES[0].strip() == shelf.strip()


@pytest.mark.parametrize("piece", PIECES, ids=lambda piece: " ".join(piece.split()[:3]))
def test_every_piece_loads(piece):
    """Each piece, with what it leaves out put around it, is a lab."""
    lab = lab_of(completed(piece))
    assert lab.things


def test_what_the_page_says_of_its_pieces_is_so():
    """Names, counters, supplies and drives are as told beside the pieces."""
    labs = [lab_of(completed(piece)) for piece in PIECES]
    things = {name: thing for lab in labs for name, thing in lab.things.items()}
    assert things["box-2"].fed_by.ids == ("strip-2",)
    assert (things["desk-5"].cores, things["desk-5"].memory) == (8, 64 * 2**30)
    assert things["desk-4"].power_back == "on"
    assert [things[f"old box.supply-{number}"].source for number in (1, 2)] == ["A", "A"]
    assert [things[f"box.supply-{number}"].source for number in (1, 2)] == ["A", "B"]
    assert {"twin-1.a", "twin-1.b", "twin-2.a", "twin-2.b", "twin-1.a.d1"} <= set(things)
    assert "sw-1.up2 -- sw-2.up2" in things
    assert things["sign-in"].needs.run_and_start[1].for_ == 6 * 3600


def test_every_fault_on_the_page_is_told_so():
    """The wrong file on the page gets the very messages that stand below it."""
    (wrong,) = [text for info, text in BLOCKS if info == "yaml wrong"]
    (messages,) = [text for info, text in BLOCKS if info == "text"]
    assert told(wrong) == messages.splitlines()


def test_no_section_is_left_out():
    """Each section of the language stands in some piece of the page."""
    shown = {name for piece in PIECES for name in yaml.load(piece, Loader=yaml.BaseLoader)}
    assert shown == set(ORDER)


def test_links_lead_somewhere():
    """Files that the page and the glossary link to are there."""
    for page in ("language.md", "glossary.md", "reference/lab-file.md"):
        text = (DOCS / page).read_text(encoding="utf-8")
        for link in re.findall(r"\]\(([^)#]+)\)", text):
            assert (DOCS / page).parent.joinpath(link).is_file(), link


def test_the_glossary_has_every_verdict():
    """Each verdict has its line among the words."""
    glossary = (DOCS / "glossary.md").read_text(encoding="utf-8")
    assert all(re.search(rf"^\| {verdict} \|", glossary, re.MULTILINE) for verdict in VERDICTS)
