"""Do the folds of a large lab open and fold again, with every thing still drawn once?"""

import re
from urllib.parse import parse_qsl
from xml.etree import ElementTree

import pytest
from tests.faces.report.pictures import lost, standing

from falsework.faces.report.elevation import elevation
from falsework.faces.report.spots import Spots
from falsework.faces.report.svg import width_of
from falsework.support.standing import Standing

NS = "{http://www.w3.org/2000/svg}"
LARGE = "200"


def opening(group):
    """A touch of a sign leads to the group's name."""
    return f"?open={group}"


def drawing(*open_, out=(), **more):
    """The large lab for a page, parsed."""
    loss = lost(LARGE, *out) if out else None
    return ElementTree.fromstring(elevation(standing(LARGE), loss, open_=open_, opening=opening, **more))


def nodes(made):
    """The nodes of each group of machines."""
    return [each.get("data-id").split(" ") for each in made.iter(f"{NS}g") if each.get("data-word") == "node"]


def signs(made):
    """By group, whether its sign opens it."""
    return {
        each.get("data-group"): each.get("aria-expanded") == "false"
        for each in made.iter(f"{NS}a")
        if each.get("class") == "fold"
    }


def test_a_fold_can_be_opened():
    """Each column of several nodes bears a sign that leads to its opening, and its group's name."""
    made = drawing()
    groups = [each for each in made.iter(f"{NS}g") if each.get("data-word") == "node"]
    folds = [each for each in groups if each.get("data-group")]
    assert folds == [each for each in groups if " " in each.get("data-id")]
    for each in folds:
        sign = next(link for link in each.iter(f"{NS}a") if link.get("class") == "fold")
        assert parse_qsl(sign.get("href")[1:]) == [("open", each.get("data-group"))]


def test_an_opened_rack_shows_its_machines():
    """Only the machines of the opened rack stand alone; every node is drawn exactly once."""
    made = drawing("rack-2")
    alone = {each[0] for each in nodes(made) if len(each) == 1}
    inside = next(each for each in nodes(drawing()) if len(each) > 1 and each[0] in alone)
    assert alone == set(inside)
    every = [name for each in nodes(made) for name in each]
    assert len(every) == len(set(every)) == 200
    assert signs(made)["rack-2"] is False
    assert signs(made)["rack-3"] is True


def test_an_opened_sheet_is_wide_enough():
    """However many racks are opened, no machine gets narrower than can be read; the sheet grows instead."""
    racks = [f"rack-{number}" for number in range(1, 6)]
    made = drawing(*racks)
    cells = [each.find(f"{NS}rect") for each in made.iter(f"{NS}g") if each.get("data-word") == "node"]
    assert len(cells) == 200
    assert min(float(each.get("width")) for each in cells) > 10
    right = max(float(each.get("x")) + float(each.get("width")) for each in cells)
    assert right < float(made.get("width"))


def test_a_course_of_services_opens_in_its_place():
    """Any service of a course opens it: its members stand there instead, and the first of them folds it again."""
    course = next(
        each
        for each in drawing().iter(f"{NS}g")
        if each.get("data-word") == "service" and each.get("data-group")
    )
    members = course.get("data-id").split(" ")
    made = drawing(members[-1])
    rows = [each.get("data-id") for each in made.iter(f"{NS}g") if each.get("data-word") == "service"]
    at = rows.index(members[0])
    assert rows[at : at + len(members)] == members
    assert signs(made)[members[-1]] is False


@pytest.mark.slow
def test_what_is_out_shows_in_a_fold_and_a_fold_can_be_taken_out():
    """A fold of which one node is out says how many, is pressed in part, and is taken out by what houses it."""
    made = drawing(out=("twin-3.1.a",), address=lambda each: "?out=" + "&out=".join(each.names))
    fold = next(
        each
        for each in made.iter(f"{NS}g")
        if each.get("data-word") == "node" and "twin-3.1.a" in each.get("data-id").split(" ")
    )
    link = next(each for each in fold.findall(f"{NS}a") if each.get("class") == "touch")
    assert link.get("aria-pressed") == "mixed"
    assert link.get("href") == f"?out={fold.get('data-group')}"
    assert "1 of 40 are down" in fold.find(f"{NS}title").text


def test_without_a_place_to_lead_to_there_is_no_sign():
    """A drawing that is only looked at has no signs, though it may be drawn opened."""
    text = elevation(standing(LARGE), open_=("rack-2",))
    assert 'class="fold"' not in text
    assert "data-group" in text


@pytest.mark.slow
def test_what_is_kept_between_drawings_changes_nothing():
    """A lab drawn opened and folded in turn is drawn as one that was never drawn before."""
    fresh = Standing(standing(LARGE).lab)
    first = elevation(fresh, open_=("rack-2",))
    folded = elevation(fresh)
    assert elevation(fresh, open_=("rack-2",)) == first == elevation(standing(LARGE), open_=("rack-2",))
    assert folded == elevation(Standing(standing(LARGE).lab))


@pytest.mark.parametrize("open_", [(), ("rack-1", "rack-5")])
def test_groups_are_gathered(open_):
    """What a drawing gathers are the groups that it draws."""
    spots = Spots()
    text = elevation(standing(LARGE), open_=open_, spots=spots)
    drawn = set(re.findall(r'data-id="([^"]*)"', text))
    assert {" ".join(names) for names in spots.groups} == drawn
    assert set(spots.found) <= {name for names in spots.groups for name in names}


def test_names_that_open_nothing_do_nothing():
    """A group that is not in the lab, or not folded, leaves the drawing as it is."""
    assert elevation(standing("30"), open_=("no such rack", "<b>")) == elevation(standing("30"))


def test_an_arch_ends_before_the_words_of_a_fold():
    """What joins an arch to a service in a course keeps off the course's own name."""
    text = elevation(standing(LARGE), circles=[["clock", "secrets", "state"], ["names", "installer"]])
    made = ElementTree.fromstring(text)
    arches = [each for each in made.iter(f"{NS}g") if each.get("data-word") == "circle"]
    assert len(arches) == 2
    rows = [each for each in made.iter(f"{NS}g") if each.get("data-word") == "service"]
    for arch in arches:
        for line in arch.findall(f"{NS}line"):
            row = min(
                rows, key=lambda each: abs(float(each.find(f"{NS}rect").get("y")) - float(line.get("y1")))
            )
            name = row.find(f"{NS}text")
            start = float(name.get("x")) - width_of(name.text, float(name.get("font-size")))
            assert float(line.get("x2")) < start or float(line.get("x2")) <= float(line.get("x1")) + 8


def test_one_cable_of_a_bundle_shows():
    """Cables from a folded rack to the switches above are one line, which shows when one of them is lost."""
    lab = standing(LARGE)
    bundle = next(
        each.get("data-id")
        for each in drawing().iter(f"{NS}g")
        if each.get("data-word") == "cable"
        and " -- " in each.get("data-id")
        and len(each.findall(f"{NS}line")) == 2
    )
    cable = next(name for name in lab.parts if name in bundle and lab.support.things[name].word == "cable")
    made = drawing(out=(cable,))
    shown = next(each for each in made.iter(f"{NS}g") if each.get("data-id") == bundle)
    assert "are down" in shown.find(f"{NS}title").text
    assert all(
        "s-brick" in each.get("class") and each.get("stroke-dasharray") for each in shown.findall(f"{NS}line")
    )
