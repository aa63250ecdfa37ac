"""Can everything that may be lost be touched on an elevation, each once, and nothing else?"""

import re
from urllib.parse import parse_qsl, urlencode
from xml.etree import ElementTree

import pytest
from tests.faces.report.pictures import KITCHEN, MENDED, drawn, lost, standing

from falsework.faces.report.drawn import Drawn
from falsework.faces.report.drawn import drawn as stood_for
from falsework.faces.report.elevation import elevation
from falsework.faces.report.ink import rules
from falsework.faces.report.states import States

NS = "{http://www.w3.org/2000/svg}"
CASES = [(KITCHEN,), (MENDED, "A", "twin-2"), ("100",), ("hostile",)]
each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: " ".join(case))


def address(each: Drawn) -> str | None:
    """Parts lead to being taken out, services to their reasons, the rest nowhere."""
    if each.part:
        return "?" + urlencode([("out", name) for name in each.names])
    return "?" + urlencode({"why": each.names[0]}) if each.word in ("service", "alarm") else None


def shown(case):
    """A lab, and what is lost of it."""
    return standing(case[0]), lost(*case) if case[1:] else None


def live(case, **more):
    """The drawing of a case for a page, parsed."""
    return ElementTree.fromstring(elevation(*shown(case), address=address, styled=False, **more))


def touches(made):
    """Every group that can be touched, with the link in it."""
    return [(each, link) for each in made.iter(f"{NS}g") for link in each.findall(f"{NS}a")]


@each_case
def test_every_machine_and_source_can_be_taken_out(case):
    """Each node, strip, battery, switch and circuit is in a touch that leads to its being out, once or in a fold."""
    things = standing(case[0]).support.things
    out = []
    for group, link in touches(live(case)):
        names = [value for key, value in parse_qsl(link.get("href")[1:]) if key == "out"]
        wholes = [
            name for name in names if things.get(name) and things[name].word in ("enclosure", "rack", "room")
        ]
        out.extend(group.get("data-id").split(" ") if wholes and group.get("data-group") in wholes else names)
    for name, thing in things.items():
        if thing.word in ("node", "strip", "ups", "switch", "circuit", "outside"):
            assert out.count(name) == 1, name


@each_case
def test_every_service_leads_to_its_reason(case):
    """Each row of services is a button that asks why, and none of them is pressed or not."""
    for group, link in touches(live(case)):
        if group.get("data-word") in ("service", "alarm"):
            assert link.get("role") == "button"
            assert link.get("aria-pressed") is None
            assert link.get("href").startswith("?why=")


@each_case
def test_no_touch_lies_within_another(case):
    """A link in a link would be dead in some readers, and a button in a button is none."""
    for _, link in touches(live(case)):
        assert link.find(f".//{NS}a") is None


@each_case
def test_one_touch_is_reached_by_the_keyboard(case):
    """The first has its place in the order of the keyboard, the others wait for a script to move it on."""
    places = [link.get("tabindex") for link in live(case).iter(f"{NS}a")]
    assert places[0] == "0"
    assert set(places[1:]) <= {"-1"}


@each_case
def test_every_touch_says_what_it_is(case):
    """The name of each touch is the title of its group, state included."""
    for group, link in touches(live(case)):
        assert link.get("aria-label") == group.find(f"{NS}title").text


def test_what_is_out_is_pressed():
    """A touch is pressed exactly where what it stands for is out."""
    for group, link in touches(live((MENDED, "A", "twin-2"))):
        if link.get("aria-pressed"):
            assert link.get("aria-pressed") == (
                "true" if group.get("data-id") in ("A", "twin-2") else "false"
            )


def test_a_fold_of_which_some_are_out_is_mixed():
    """Several things drawn as one are pressed, not pressed, or mixed."""
    states = States(standing=standing(MENDED), loss=lost(MENDED, "A", "twin-2"))
    assert stood_for(states, ["A", "B"], "strip").pressed == "mixed"
    assert stood_for(states, ["twin-2.a", "twin-2.b"], "node", whole="twin-2").names == ("twin-2",)
    assert stood_for(states, ["twin-2.a", "twin-2.b"], "node", whole="twin-2").pressed == "true"
    assert stood_for(states, ["A", "twin-2"], "strip").pressed == "true"
    # Folded by rack: the enclosure that is out is not drawn, nor is a drive of a machine.
    assert stood_for(states, ["twin-2.a", "twin-2.b", "twin-1.a"], "node").pressed == "mixed"
    assert stood_for(states, ["twin-1.a", "twin-1.b"], "node").pressed == "false"
    drive = States(standing=standing(MENDED), loss=lost(MENDED, "twin-1.a.d1"))
    assert stood_for(drive, ["twin-1.a", "twin-1.b"], "node").pressed == "mixed"
    assert stood_for(drive, ["twin-2.a", "twin-2.b"], "node").pressed == "false"
    assert stood_for(states, ["B"], "strip").pressed == "false"
    assert not stood_for(states, ["B", "pages"], "strip").part


@each_case
def test_the_picture_is_the_same_but_for_its_touches(case):
    """Without its links and what only a pointer sees, the drawing for a page is the drawing for a report."""
    bare = re.sub(r"</?a\b[^>]*>", "", elevation(*shown(case), address=address))
    bare = re.sub(r'<rect [^>]*fill="none" pointer-events="all"/>', "", bare)
    assert bare.replace('role="group"', 'role="img"', 1) == elevation(*shown(case))


@each_case
def test_colours_are_left_to_the_page(case):
    """Unstyled, every shape keeps the class of its colour and loses only the value."""
    whole, less = elevation(*shown(case)), elevation(*shown(case), styled=False)
    whole = re.sub(r"<style>.*?</style>", "", whole, flags=re.DOTALL)
    for text in (whole, less):
        assert len(re.findall(r' class="[^"]*\b[fs]-(?:ink|paper|stone|faint|hair|brick)\b', text))
    assert re.sub(r' (?:fill|stroke)="#[0-9a-f]{6}"', "", whole) == less


@each_case
def test_nothing_is_styled_or_scripted_in_place(case):
    """A page that forbids inline style and script can show it."""
    made = live(case)
    for each in made.iter():
        assert each.tag not in (f"{NS}style", f"{NS}script")
        assert not [key for key in each.attrib if key == "style" or key.startswith("on")]


def test_the_rules_left_out_are_given_to_the_page():
    """What a drawing brings along is what `rules` gives for its own prefix."""
    style = re.search(r"<style>(.*?)</style>", drawn(KITCHEN), flags=re.DOTALL)
    assert style[1] == rules("elevation")
    assert ".sheet .f-paper{" in rules()
