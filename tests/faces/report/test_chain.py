"""Is it drawn why a thing falls, from the thing down to what is lost, and what one that stands leans on?"""

import re
from xml.etree import ElementTree

import pytest
from tests.faces.report.pictures import DRAFT, KITCHEN, MENDED, TRAP, lost, standing

from falsework.analyses.explain import Reason
from falsework.analyses.verdicts import Verdict
from falsework.faces.report.chain import steps
from falsework.faces.report.elevation import elevation
from falsework.faces.report.spots import Spot, Spots
from falsework.support.graph import Role

NS = "{http://www.w3.org/2000/svg}"


def shown(name, why, *out):
    """A drawing with reasons: the group over it, and the group of sentences."""
    loss = lost(name, *out) if out else None
    made = ElementTree.fromstring(elevation(standing(name), loss, why=why))
    groups = {each.get("class"): each for each in made.iter(f"{NS}g")}
    return made, groups.get("chain"), groups.get("reasons")


def said(group):
    """The words of a group, whole."""
    found = []
    for text in group.iter(f"{NS}text"):
        whole = text.find(f"{NS}title")
        found.append(text.text if whole is None else whole.text)
    return found


def numbers(group):
    """The numbers in a group."""
    return [int(text) for text in said(group) if re.fullmatch(r"\d+", text or "")]


@pytest.mark.parametrize(
    ("name", "out"), [(MENDED, ("A", "twin-2")), (MENDED, ("c1",)), (TRAP, ("A",)), (KITCHEN, ("desk-1",))]
)
def test_each_chain_is_told_and_drawn(name, out):
    """For every service that is hurt, each sentence stands once under the drawing and each number on it."""
    loss = lost(name, *out)
    for effect in loss.effects:
        if effect.verdict < Verdict.BLINKS or not loss.why(effect.service):
            continue
        _, over, told = shown(name, effect.service, *out)
        made = steps(loss.why(effect.service))
        assert [each for each in said(told)[1:] if not re.fullmatch(r"\d+", each)] == [
            each.says for each in made
        ]
        assert numbers(told) == list(range(1, len(made) + 1))
        assert set(numbers(over)) <= set(numbers(told))
        assert {1, len(made)} <= set(numbers(over))


def test_the_line_ends_at_what_is_lost():
    """The last point of the line lies on the bar of the circuit that is lost."""
    made, over, _ = shown(MENDED, "front", "c1")
    bar = next(each for each in made.iter(f"{NS}g") if each.get("data-id") == "c1").find(f"{NS}rect")
    numbers_ = re.findall(r"([MVH])([\d.]+)(?: ([\d.]+))?", over.findall(f"{NS}path")[-1].get("d"))
    y = float([first if sign == "V" else second for sign, first, second in numbers_ if sign != "H"][-1])
    assert float(bar.get("y")) < y < float(bar.get("y")) + float(bar.get("height"))


def test_a_row_without_power_is_one_step():
    """As it is told: a machine, its plug and its strip without power are one sentence, and the line passes all three."""
    chain = [
        Reason(thing="mail", says="mail runs on a", role=Role.HOST),
        Reason(thing="a", says="a has no power", role=Role.POWER),
        Reason(thing="plug", says="plug has no power", role=Role.POWER),
        Reason(thing="strip", says="strip is lost"),
    ]
    assert [(each.over, each.says) for each in steps(chain)] == [
        (("mail",), "mail runs on a"),
        (("a", "plug"), "a has no power"),
        (("strip",), "strip is lost"),
    ]


def test_what_stands_shows_what_it_leans_on():
    """A service that stands has a line to each thing that it leans on, in ink, since nothing is wrong."""
    _, over, told = shown(MENDED, "mail")
    assert said(told)[0] == "What mail leans on"
    assert any("keeps its state in disks" in each for each in said(told))
    assert "s-brick" not in ElementTree.tostring(over, encoding="unicode")
    assert len(numbers(over)) == len(numbers(told))


def test_what_does_not_stand_at_all_says_so():
    """Without a loss, a service that is down as the lab is tells its reason."""
    out = standing(DRAFT)
    down = [name for name in out.support.services if not out.baseline.up(name)]
    for name in down:
        assert said(shown(DRAFT, name)[2])[0] == f"Why {name} does not stand"
    assert said(shown(DRAFT, next(n for n in out.support.services if n not in down))[2])[0].startswith(
        "What "
    )


def test_a_name_that_is_nothing_draws_nothing():
    """Asking for what is not in the lab, or has no reasons, leaves the drawing as it is."""
    assert elevation(standing(KITCHEN), why="<nobody>") == elevation(standing(KITCHEN))


def test_reasons_let_every_touch_through():
    """What lies over the drawing never takes a click from what is under it."""
    assert shown(MENDED, "front", "c1")[1].get("pointer-events") == "none"


def test_hostile_names_are_only_words():
    """The reasons of a service with a hostile name are well formed, and its name stands there in full."""
    name = next(iter(standing("hostile").support.services))
    _, _, told = shown("hostile", name)
    assert said(told)[0] == f"What {name} leans on"


def test_a_thing_without_a_place_is_where_it_leans():
    """A card or a share that is not drawn is found at its machine, and what is nowhere is not found."""
    support = standing(MENDED).support
    spots = Spots(found={"twin-1.a": Spot(x=10, y=20, width=8, height=60)})
    share = next(
        name for name, thing in support.things.items() if thing.word == "share" and "twin-1.a" in thing.places
    )
    assert spots.of(share, support) == spots.found["twin-1.a"]
    assert spots.of("mains", support) is None
    assert spots.of("no such thing", support) is None


def test_a_point_keeps_within_its_box():
    """A line meets a wide box right under where it comes from, a narrow one in its middle, a tall one at its top."""
    assert Spot(x=0, y=0, width=100, height=10).near(40) == (40, 5)
    assert Spot(x=0, y=0, width=100, height=10).near(400) == (94, 5)
    assert Spot(x=0, y=0, width=4, height=10).near(400) == (2, 5)
    assert Spot(x=0, y=0, width=100, height=80).near(40) == (40, 3)


def test_a_drawing_without_its_head_is_the_same_lower_down():
    """Without the name of the lab and the count, all else is as it was."""
    whole, less = elevation(standing(KITCHEN)), elevation(standing(KITCHEN), head=False)
    texts = [said(ElementTree.fromstring(each)) for each in (whole, less)]
    assert [each for each in texts[0] if each not in texts[1]][:2] == [
        standing(KITCHEN).lab.name,
        "elevation",
    ]
    heights = [float(ElementTree.fromstring(each).get("height")) for each in (whole, less)]
    assert heights[0] - heights[1] == pytest.approx(70)
