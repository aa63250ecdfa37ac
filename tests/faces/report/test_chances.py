"""Do the drawings of how often and how long say what the figures say?"""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from tests.faces.handmade import cut, odds, of_singles, service
from tests.faces.report.pictures import DRAFT, KITCHEN, MENDED, alone, drawn_years, standing
from tests.faces.report.test_html import studied

from falsework.faces.report.axis import axis
from falsework.faces.report.causes import causes
from falsework.faces.report.chances import chances
from falsework.faces.report.html import report
from falsework.faces.report.minutes import bar, minutes
from falsework.faces.report.odds import odds_sheet, worst_of
from falsework.faces.report.panel import stacked
from falsework.faces.report.small import MOST_COLUMNS, hosts_of, small
from falsework.faces.report.spread import spread, years_sheet
from falsework.faces.report.svg import COLOURS
from falsework.faces.report.whereabouts import Place, places

pytestmark = pytest.mark.slow

NS = "{http://www.w3.org/2000/svg}"
BRICK = COLOURS["brick"]


def parsed(text):
    """The drawing, read."""
    return ElementTree.fromstring(text)


def groups(text, word):
    """Ids of the groups of one word, from top to bottom."""
    return [each.get("data-id") for each in parsed(text).iter(f"{NS}g") if each.get("data-word") == word]


@pytest.mark.parametrize("width", [1400, 900, 560])
@pytest.mark.parametrize("lab", [KITCHEN, MENDED])
def test_a_sheet_is_well_formed_at_every_size(lab, width):
    """Each service has its row, worst first, and nothing is drawn beyond the right edge of the sheet."""
    found = of_singles(alone(lab), draws=200)
    text = odds_sheet(standing(lab), found, width=width)
    rows = groups(text, "service")
    assert rows == [each.service for each in found.services]
    for box in parsed(text).iter(f"{NS}rect"):
        assert float(box.get("width")) <= width
        assert float(box.get("x")) <= width


def test_no_word_stands_on_another():
    """Lines of text on one base line keep clear of each other on the sheet of bars."""
    found = of_singles(alone(MENDED), draws=200)
    for width in (1400, 900, 560):
        lines = {}
        for text in parsed(stacked("minutes", width, [minutes(found, {}, width=width)])).iter(f"{NS}text"):
            lines.setdefault(text.get("y"), []).append(text)
        for row in lines.values():
            ends = [float(each.get("x")) for each in row if each.get("text-anchor") == "end"]
            starts = [float(each.get("x")) for each in row if each.get("text-anchor") is None]
            assert not ends or not starts or max(ends) < min(starts)


def test_a_bar_is_as_long_as_its_minutes():
    """On an even axis the outline ends where the minutes of all kinds together lie."""
    of = axis([100.0], left=0.0, right=200.0)
    d = re.findall(r'd="M0 5h([0-9.]+)v', bar(of, (60.0, 10.0, 20.0, 10.0), 5.0, 10.0))
    assert float(d[0]) == pytest.approx(of.x(100.0), abs=0.06)


def test_kinds_that_are_there_have_a_key():
    """The key tells of interruptions only where there are some."""
    quiet = minutes(odds(service("files", (cut("hub", minutes=60.0),))), {}).svg
    loud = minutes(odds(service("files", (cut("hub", minutes=60.0),), blink=5.0)), {}).svg
    assert "returns by itself" not in quiet
    assert "returns by itself" in loud


def test_a_limit_that_is_passed_is_in_the_accent():
    """The name of a service over its limit is in the accent and bold; one within is not."""
    found = odds(service("files", (cut("hub", minutes=60.0),)), service("pages", (cut("hub", minutes=50.0),)))
    text = stacked("minutes", 900, [minutes(found, {"files": 30.0, "pages": 100.0}, width=900)])
    fills = {each.text: each.get("fill") for each in parsed(text).iter(f"{NS}text")}
    assert fills["files"] == BRICK
    assert fills["pages"] != BRICK
    states = {
        each.get("data-id"): each.get("data-state")
        for each in parsed(text).iter(f"{NS}g")
        if each.get("data-word") == "service"
    }
    assert states == {"files": "falls", "pages": "stands"}


def test_the_hatching_says_what_the_colour_says():
    """Without any colour each kind still differs: no two kinds of minutes have the same lines."""
    of = axis([100.0], left=0.0, right=200.0)
    kinds = [tuple(100.0 if place == kind else 0.0 for place in range(4)) for kind in range(4)]
    plain = [re.sub(r"#[0-9a-f]{6}|class=\"[^\"]*\"", "", bar(of, kind, 0.0, 12.0)) for kind in kinds]
    assert len(set(plain)) == 4


def test_more_services_than_fit_are_counted():
    """Of fifty services forty have a row, and the rest is told in words."""
    found = odds(*(service(f"s{number}", (cut("hub", minutes=60.0 + number),)) for number in range(50)))
    text = stacked("minutes", 1400, [minutes(found, {})])
    assert len(groups(text, "service")) == 40
    assert "10 services have no row, none above 1 h 9 min" in text


def test_causes_have_a_bar_each_and_the_rest_one():
    """Eight sets have a bar, the others share one that is called whatever else."""
    cuts = tuple(cut(f"p{number}", minutes=60.0 - number) for number in range(11))
    text = stacked("causes", 900, [causes(odds(service("files", cuts)).services, width=900)])
    assert groups(text, "cut set") == [f"p{number}" for number in range(8)]
    assert ">whatever else<" in text
    assert "2 h 33 min" in text  # 52 + 51 + 50 minutes


def test_a_service_that_nothing_stops_says_so():
    """A block without bars has words instead."""
    assert "nothing stops it" in causes(odds(service("files", ())).services).svg


def test_alarms_are_not_drawn_where_there_are_services():
    """The worst services are chosen among services, however often an alarm is down."""
    lab = standing(MENDED)
    found = odds(
        service("bell", (cut("mains", minutes=900.0),)), service("mail", (cut("mains", minutes=60.0),))
    )
    assert [each.service for each in worst_of(lab, found)] == ["mail"]
    only = odds(service("bell", (cut("mains", minutes=900.0),)))
    assert [each.service for each in worst_of(lab, only)] == ["bell"]


def test_parts_are_struck_where_they_are():
    """A node, its drive and supply, a switch, a strip, what is outside, and an enclosure have each their place."""
    lab = standing(MENDED).lab
    assert places(lab, ["twin-1.a"]) == (Place(node="twin-1.a"),)
    assert places(lab, ["twin-1.a.d1"]) == (Place(node="twin-1.a", inside=True),)
    assert places(lab, ["sw-1"]) == (Place(wire=True),)
    assert places(lab, ["A"]) == (Place(power=True),)
    assert places(lab, ["mains"]) == (Place(ground=True),)
    assert places(lab, ["twin-1"]) == (Place(around=("twin-1.a", "twin-1.b")),)


def test_a_shared_cause_strikes_all_that_share_it():
    """A batch is no part; its drives are struck, each in its machine."""
    lab = standing(DRAFT).lab
    batches = {part.batch for part in lab.things.values() if getattr(part, "batch", "")}
    batch = sorted(batches)[0]
    count = sum(1 for part in lab.things.values() if getattr(part, "batch", "") == batch)
    assert len(places(lab, [f"batch {batch}"])) == count > 1
    assert places(lab, ["batch of no one"]) == ()


@pytest.mark.parametrize(
    "names", [("desk-1",), ("desk-1", "desk-3"), ("hub",), ("mains",), ("desk-1.d1", "strip")]
)
def test_each_part_that_is_out_is_struck_once(names):
    """A small elevation has as many strokes in the accent over a halo as parts are out."""
    text = small(standing(KITCHEN), "pages", cut(*names, minutes=1.0), width=200.0)
    strokes = re.findall(rf'd="M[0-9. -]+L[0-9. -]+"[^>]*stroke="{BRICK}" stroke-width="2"', text)
    assert len(strokes) == len(names)


def test_the_legs_stand_on_the_machines_that_carry_it():
    """The service runs on two desktops; a third that is only struck has no leg."""
    lab = standing(KITCHEN)
    assert hosts_of(lab, "pages") == {"desk-1", "desk-3"}
    text = small(lab, "pages", cut("desk-2", minutes=1.0), width=200.0)
    assert text.count("<line") == small(lab, "pages", cut("hub", minutes=1.0), width=200.0).count("<line")


def test_a_wide_service_is_cut_to_what_fits():
    """However many machines carry a service, the struck one is among those shown."""
    lab = standing("200")
    name = max(lab.support.services, key=lambda each: len(hosts_of(lab, each)))
    hosts = sorted(hosts_of(lab, name))
    text = small(lab, name, cut(hosts[-1], minutes=1.0), width=200.0)
    assert text.count('stroke-width="3"') <= MOST_COLUMNS


def test_hostile_names_stay_names():
    """Markup in names is text on every drawing."""
    lab = standing("hostile")
    found = odds(
        service("<script>", (cut("a<b>&c", minutes=60.0), cut('"><script>', "x", minutes=2.0)), spread=2.0)
    )
    made = parsed(odds_sheet(lab, found))
    assert not list(made.iter("script"))
    assert not list(made.iter(f"{NS}script"))
    assert any(each.get("data-id") == "<script>" for each in made.iter(f"{NS}g"))


def test_nothing_to_draw_is_no_fault():
    """No service, no year, no minute: the sheets are there all the same."""
    assert parsed(odds_sheet(standing(KITCHEN), odds())) is not None
    assert parsed(odds_sheet(standing(KITCHEN), odds(service("files", ())))) is not None
    nothing = replace(drawn_years(KITCHEN), services=())
    assert parsed(years_sheet(nothing)) is not None


def test_years_have_a_row_for_each_service_worst_first():
    """The service whose bad year is worst stands highest, and titles have the figures."""
    text = stacked("years", 900, [spread(drawn_years(KITCHEN), width=900)])
    assert groups(text, "service") == ["pages", "files", "names"]
    assert "pages: mean 9 min a year; half of years within 3 min, 95 of 100 within 1 h" in text


def test_the_report_has_the_section_only_where_there_are_odds():
    """A study without odds has no section; with them it has the lead, parts to mend, data and the drawings."""
    study = studied(KITCHEN)
    bare = report(replace(study, odds=None))
    assert 'id="chances"' not in bare
    full = report(replace(study, odds=of_singles(alone(KITCHEN), draws=200)), drawn_years(KITCHEN))
    assert 'id="chances"' in full
    assert "pages is out most, 2 h 28 min a year expected" in full
    for text in ("Mend this first", "Ways to stop it", "How years differ", "once in 3,300 years"):
        assert text in full


def test_the_section_has_no_story_without_years():
    """Without years drawn there are neither a story nor a drawing of how years differ."""
    found = chances(standing(KITCHEN), of_singles(alone(KITCHEN)))
    assert found.story == ()
    assert len(found.figures) == 2
    assert chances(standing(KITCHEN), None) is None
    assert chances(standing(KITCHEN), odds()) is None
