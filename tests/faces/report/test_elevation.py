"""Is every elevation whole, legible and well formed?"""

import re
from xml.etree import ElementTree

import pytest
from tests.faces.report.pictures import DRAFT, KITCHEN, MENDED, TRAP, drawn, lost, standing

from falsework.analyses.verdicts import Verdict
from falsework.faces.report.elevation import elevation
from falsework.faces.report.storeys import MOST_ROWS
from falsework.faces.report.svg import width_of

NS = "{http://www.w3.org/2000/svg}"
CASES = [
    (KITCHEN,),
    (KITCHEN, "desk-1"),
    (TRAP, "A"),
    (DRAFT,),
    (DRAFT, "mains"),
    (MENDED,),
    (MENDED, "A", "twin-2"),
    ("30",),
    ("100",),
    ("400",),
    ("hostile",),
]
each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: " ".join(case))


def root(case):
    """The drawing of a case, parsed."""
    return ElementTree.fromstring(drawn(*case))


def ids(made):
    """Every id that a drawing says, and the element that says it first."""
    found = {}
    for each in made.iter(f"{NS}g"):
        for name in (
            (each.get("data-id") or "").split(" ")
            if " " in (each.get("data-id") or "")
            else [each.get("data-id")]
        ):
            found.setdefault(name, each)
        found.setdefault(each.get("data-id"), each)
    return found


@each_case
@pytest.mark.slow
def test_every_service_and_node_is_drawn(case):
    """Each service and node has a group with its id, alone or in a fold that names it."""
    made, said = root(case), standing(case[0])
    names = " ".join(each.get("data-id") or "" for each in made.iter(f"{NS}g"))
    for name, thing in said.support.things.items():
        if thing.word in ("service", "node", "alarm"):
            assert name in names


@each_case
@pytest.mark.slow
def test_element_ids_are_unique(case):
    """No two elements of a drawing share an id."""
    found = [each.get("id") for each in root(case).iter() if each.get("id")]
    assert len(found) == len(set(found))


@each_case
@pytest.mark.slow
def test_nothing_covers_a_word(case):
    """No two lines of text lie on each other, and none leaves the sheet."""
    hold_words_apart(root(case))


@pytest.mark.parametrize(
    ("case", "open_"),
    [
        ((KITCHEN,), ()),
        ((MENDED,), ()),
        ((MENDED, "A", "twin-2"), ()),
        (("60",), ()),
        (("100",), ("twin-1.1", "box-2")),
        (("400", "rack-2"), ("rack-2", "rack-5")),
        (("hostile",), ()),
    ],
    ids=str,
)
@pytest.mark.slow
def test_nothing_covers_a_word_on_a_page(case, open_):
    """The same of a sheet that chooses its width and can be opened, with groups opened."""
    text = elevation(
        standing(case[0]),
        lost(*case) if case[1:] else None,
        width=None,
        head=False,
        open_=open_,
        opening=lambda group: "?open",
        address=lambda drawn: "?out",
    )
    made = ElementTree.fromstring(text)
    hold_words_apart(made)
    found = [each.get("id") for each in made.iter() if each.get("id")]
    assert len(found) == len(set(found))


def hold_words_apart(made):
    """Hold every line of text of a drawing to the sheet, and apart from the others."""
    width, height = float(made.get("width")), float(made.get("height"))
    boxes = [(each, box) for each in texts(made) if (box := extent(*each))]
    for (element, _, _), (left, top, right, bottom) in boxes:
        assert left >= 0, said(element)
        assert top >= 0, said(element)
        assert right <= width, said(element)
        assert bottom <= height, said(element)
    clashes = [
        (said(one[0]), said(other[0]))
        for number, (one, a) in enumerate(boxes)
        for other, b in boxes[number + 1 :]
        if min(a[2], b[2]) - max(a[0], b[0]) > 1 and min(a[3], b[3]) - max(a[1], b[1]) > 1
    ]
    assert clashes == []


def texts(made, x=0.0, y=0.0):
    """Every text with the shift of the groups around it."""
    for each in made:
        moved = re.match(r"translate\(([\d.-]+) ([\d.-]+)\)", each.get("transform") or "")
        dx, dy = (float(moved[1]), float(moved[2])) if moved else (0.0, 0.0)
        if each.tag == f"{NS}text":
            yield each, x, y
        else:
            yield from texts(each, x + dx, y + dy)


def said(element):
    """The words of a text, without its title."""
    return "".join(part for part in (element.text, *(child.tail for child in element)) if part)


def extent(element, dx, dy):
    """The box that a text may fill: capitals above its base line, at the width of the widest face."""
    text, size = said(element), float(element.get("font-size"))
    x, y = float(element.get("x")) + dx, float(element.get("y")) + dy
    wide = width_of(text, size, bold=element.get("font-weight") == "bold")
    if not text:
        return None
    before = {None: 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor")]
    if (element.get("transform") or "").startswith("rotate(-90"):
        return x - size * 0.7, y - wide + before, x, y + before
    return x - before, y - size * 0.7, x - before + wide, y


@each_case
@pytest.mark.slow
def test_the_same_lab_gives_the_same_drawing(case):
    """A drawing has nothing of the clock, the machine or the order of sets in it."""
    assert drawn(*case) == drawn(*case)


def test_a_verdict_is_said_in_words():
    """What happens to a service stands in words beside it, with its state on the group."""
    made = ids(root((TRAP, "A")))
    assert made["batch"].get("data-state") == "falls"
    assert "falls now" in [said(text) for text, _, _ in texts(made["batch"])]


def test_the_loudest_trouble_stands_highest():
    """With parts lost, no service stands above one that it hurts less than."""
    loss = lost(DRAFT, "mains")
    made = root((DRAFT, "mains"))
    order = [
        each.get("data-id") for each in made.iter(f"{NS}g") if each.get("data-word") in ("service", "alarm")
    ]
    verdicts = [int(loss.of(name).verdict) for name in order]
    assert len(order) == len(loss.effects)
    assert verdicts == sorted(verdicts, reverse=True)


def test_what_leans_on_others_stands_higher():
    """Without a loss, each service of the mended observatory stands above all it needs."""
    made = root((MENDED,))
    order = [each.get("data-id") for each in made.iter(f"{NS}g") if each.get("data-word") == "service"]
    for high, low in (
        ("pages", "front"),
        ("mail", "names"),
        ("sign-in", "state"),
        ("state", "secrets"),
        ("rota", "calendar"),
    ):
        assert order.index(high) < order.index(low)


def test_what_is_lost_is_marked():
    """The parts that are lost carry that state; what leans on them carries its own."""
    made = ids(root((MENDED, "A", "twin-2")))
    assert made["A"].get("data-state") == made["twin-2"].get("data-state") == "lost"
    assert made["twin-2.a"].get("data-state") == "falls"
    assert made["desk-3"].get("data-state") == "stands"


def test_the_counts_on_top_are_those_of_the_loss():
    """The line under the name counts each verdict."""
    loss = lost(MENDED, "A", "twin-2")
    line = next(
        text
        for text in map(said, (each for each, _, _ in texts(root((MENDED, "A", "twin-2")))))
        if " · " in text
    )
    falls = sum(1 for effect in loss.effects if effect.verdict is Verdict.FALLS)
    stands = sum(1 for effect in loss.effects if effect.verdict is Verdict.STANDS)
    assert (f"{falls} fall" in line) == bool(falls)
    assert (f"{stands} stand" in line) == bool(stands)


def test_circles_are_arches():
    """Things that wait for each other to start are joined by an arch that names them."""
    arches = [each for each in root((DRAFT,)).iter(f"{NS}g") if each.get("data-word") == "circle"]
    assert any("sign-in" in each.find(f"{NS}title").text for each in arches)


@pytest.mark.slow
def test_large_labs_fold_and_say_so():
    """Four hundred nodes are folded into columns that say how many they hold, and no node is left out."""
    made = root(("400",))
    columns = [each for each in made.iter(f"{NS}g") if each.get("data-word") == "node"]
    names = [name for each in columns for name in each.get("data-id").split(" ")]
    assert len(columns) < 120
    assert len(names) == len(set(names)) == 400
    assert any(re.search(r"\d+ nodes", said(text)) for each in columns for text, _, _ in texts(each))
    rows = [each for each in made.iter(f"{NS}g") if each.get("data-word") in ("service", "alarm")]
    assert len(rows) <= MOST_ROWS


def test_a_narrow_sheet_is_no_wider_than_asked():
    """The sheet keeps to the width that is asked for."""
    for width in (1000, 1400, 1800):
        made = ElementTree.fromstring(elevation(standing(MENDED), width=width))
        assert float(made.get("width")) <= width


@pytest.mark.parametrize("name", [KITCHEN, MENDED, "30", "100", "400", "hostile"])
def test_a_sheet_may_choose_its_width(name):
    """Without a width the sheet is between the least and the most, each upright wide enough, no type under 9 px."""
    made = ElementTree.fromstring(elevation(standing(name), width=None))
    cells = [each.find(f"{NS}rect") for each in made.iter(f"{NS}g") if each.get("data-word") == "node"]
    assert float(made.get("width")) <= 2000
    assert min(float(each.get("width")) for each in cells) >= 9
    assert min(float(each.get("font-size")) for each in made.iter(f"{NS}text")) >= 9


def test_no_colour_is_named_but_the_palette():
    """Every colour of a drawing is one of the palette, so that the dark variant reaches all of them."""
    text = drawn(MENDED, "A", "twin-2")
    drawing = re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL)
    for element in re.findall(r"<[^>]*#[0-9a-f]{6}[^>]*>", drawing):
        assert re.search(r'class="[^"]*[fs]-', element), element
