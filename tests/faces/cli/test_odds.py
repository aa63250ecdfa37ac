"""Does the terminal tell how often and how long, worst first, and refuse what it can't?"""

import json
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from tests.faces.cli.typed import SHELF, typed
from tests.faces.handmade import cut, odds, of_singles, service
from tests.faces.report.pictures import KITCHEN, MENDED, alone, standing

from falsework.analyses.odds.result import CutSets, Hangs
from falsework.faces.cli.lines import folded
from falsework.faces.cli.odds import Asked, status_of
from falsework.faces.cli.odds_lines import headline, lines

pytestmark = pytest.mark.slow


def said(found, *, services=(), most=8, all_=False, lab=KITCHEN):
    """The rows of an answer, unfolded."""
    asked = Asked(lab=None, services=services, most=most, all=all_)
    return ["".join(row) for line in lines(standing(lab), found, asked) for row in folded(line, None)]


def test_the_first_line_names_the_worst_and_what_helps_most():
    """Of two services the worse is named, and the part that takes most off both together."""
    found = odds(
        service("files", (cut("hub", minutes=50.0), cut("strip", minutes=10.0))),
        service("pages", (cut("hub", minutes=20.0), cut("strip", minutes=90.0))),
    )
    assert headline(standing(KITCHEN), found) == (
        "Kitchen shelf: pages is out most, 1 h 50 min a year; strip would take most off, 1 h 40 min over all services"
    )


def test_each_service_has_its_line_worst_first():
    """The line has the minutes, what they are made of, how often it stops and for how long each time."""
    found = odds(
        service("files", (cut("hub", minutes=60.0, per_year=0.25),), blink=2.0, stumble=1.0),
        service("pages", (cut("hub", minutes=90.0, per_year=2.0),), rise=3.0, upkeep=30.0),
    )
    rows = said(found)
    assert rows[2:4] == [
        "pages  1 h 33 min  out 1 h 30 min, coming up 3 min; stops 2 times a year, for 45 min; planned work at most "
        "30 min besides",
        "files   1 h 3 min  out 1 h, interrupted 2 min, stumbled 1 min; stops once in 4 years, for 4 h",
    ]


def test_parts_that_help_alike_share_a_line():
    """Two parts that take the same off the same services are told together."""
    found = odds(service("files", (cut("desk-1", "desk-2", minutes=60.0),)))
    assert "  1 h  each of desk-1 and desk-2: files 1 h" in said(found)


def test_what_is_proven_only_to_lie_between_bounds_says_so():
    """A bounded service has both bounds; one that is exact is not called bounded."""
    exact = said(odds(service("files", (cut("hub", minutes=100.0),))))
    bounded = said(odds(service("files", (cut("hub", minutes=100.0),), slack=0.1)))
    assert "All of it is exact, given the figures of the parts." in exact
    assert "All of it is exact, given the figures of the parts." not in bounded
    assert any("out proven to lie between 1 h 30 min and 1 h 50 min" in row for row in bounded)


def test_the_detail_lists_sets_with_their_order_and_age():
    """The likeliest sets come with minutes and how often, counts by order, and how long what must be out."""
    found = odds(
        service(
            "files",
            (
                cut("hub", minutes=60.0, per_year=0.5),
                cut("strip", minutes=30.0, per_year=0.01, age_s=8 * 3600.0),
                cut("desk-1", "desk-2", minutes=1.0, per_year=0.001),
            ),
        )
    )
    rows = said(found, services=("files",))
    assert "What stops it, the smallest sets of parts: 2 single parts, 1 pair:" in rows
    at = rows.index("  a year  how often            out together")
    assert rows[at + 1 : at + 4] == [
        "     1 h  once in 2 years      hub",
        "  30 min  once in 100 years    strip out for more than 8 h",
        "   1 min  once in 1,000 years  desk-1 and desk-2",
    ]


def test_fewer_sets_are_shown_where_fewer_are_asked_for():
    """With --most 1 the others are counted, and how to see them is said."""
    found = odds(service("files", (cut("hub", minutes=60.0), cut("strip", minutes=30.0))))
    rows = said(found, services=("files",), most=1)
    assert "  1 more are listed with --most 2" in rows
    assert not any(row.endswith("  strip") and "once" in row for row in rows)


def test_what_is_not_listed_is_bounded():
    """The rest is an upper bound in minutes."""
    whole = service("files", (cut("hub", minutes=100.0),), slack=0.1)
    rows = said(odds(whole), services=("files",))
    assert "  whatever else: at most 10 min a year together" in rows
    assert any("too many to count" in row for row in rows)


def test_nothing_that_stops_it_is_said_to_be_so():
    """A service without cut sets, proven, is not told as unknown."""
    safe = replace(service("files", ()), cut_sets=CutSets(listed=(), total=0, by_order=(), rest=0.0))
    assert "Nothing in the lab stops it until somebody mends something." in said(
        odds(safe), services=("files",)
    )


def test_a_reduction_without_end_is_told_in_words():
    """A part behind every outage has no finite risk reduction worth."""
    rows = said(odds(service("files", (cut("hub", minutes=60.0),))), services=("files",))
    row = next(row for row in rows if row.endswith("  hub") and "no end" in row)
    assert row.split()[:2] == ["1", "h"]


def test_ranges_tell_what_they_hang_on():
    """With draws there are 5 to 95 percent, and each assumption with its share and the key that replaces it."""
    hangs = (
        Hangs(of="how often a drive fails", names=("desk-1.d1",), key="fails", said=False, share=0.62),
        Hangs(of="how soon someone comes", names=(), key="comes in", said=True, share=0.004),
    )
    found = odds(service("files", (cut("hub", minutes=60.0),), spread=2.0, hangs=hangs), draws=200)
    rows = said(found)
    assert any("30 min to 2 h; out 1 h" in row for row in rows)
    assert (
        "   62 %  how often a drive fails (desk-1.d1): assumed; `fails` in the lab file replaces it" in rows
    )
    assert "  0.4 %  how soon someone comes: `comes in` in the lab file says it" in rows


def test_the_short_answer_counts_what_it_leaves_out():
    """Of many services the worst are shown, the others counted; --all shows every one."""
    found = of_singles(alone(MENDED))
    names = {each.service for each in found.services}
    short, full = said(found, lab=MENDED), said(found, lab=MENDED, all_=True)
    assert f"{len(names) - 10} more services, none above " in " ".join(short)
    assert {row.split("  ")[0] for row in full} >= names


def test_data_come_with_their_caution():
    """How often data are gone is followed by what to mind."""
    rows = said(of_singles(alone(KITCHEN)))
    at = next(number for number, row in enumerate(rows) if row.startswith("data    scratch"))
    assert rows[at + 1].startswith("data    photos: gone, its backups too, once in 3,300 years; brought back")
    assert rows[at + 2].startswith("mind    Before you change drives or backups")


def test_a_limit_that_is_passed_is_status_1():
    """The aim of 12 h a year for mail is kept at 11 h and passed at 13 h, unless bounds leave it open."""
    lab = standing(MENDED)
    for hours, slack, status in ((11, 0.0, 0), (13, 0.0, 1), (13, 0.1, 0)):
        found = odds(service("mail", (cut("mains", minutes=hours * 60.0),), slack=slack))
        assert status_of(lab, found) == status


def test_the_real_answer_is_one_object_in_json():
    """`--json` prints one object, with each service once, worst first."""
    done = typed("odds", SHELF, "--json")
    answer = json.loads(done.out)
    assert (done.status, done.err, answer["command"]) == (0, "", "odds")
    minutes = [each["minutes"]["best"] for each in answer["services"]]
    assert sorted(minutes, reverse=True) == minutes
    assert {each["id"] for each in answer["services"]} == {"names", "files", "pages"}


def test_ranges_are_asked_for():
    """`--draws` gives ranges that hold the expectation, and `--ranges` draws 200 times."""
    answer = json.loads(typed("odds", SHELF, "files", "--draws", "40", "--json").out)
    assert answer["draws"] == 40
    (files,) = answer["services"]
    assert files["minutes"]["low"] < files["minutes"]["best"] < files["minutes"]["high"]
    assert "200 draws" in typed("odds", SHELF, "files", "--ranges").out


def test_a_picture_is_written(tmp_path):
    """The drawing is one SVG that any reader takes, and the answer says where it is."""
    path = tmp_path / "odds.svg"
    done = typed("odds", SHELF, "--picture", str(path))
    assert done.out.endswith(f"The picture is in {path}.\n")
    assert ET.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        (("odds", "examples/nothing.yaml"), "there is no file or folder 'examples/nothing.yaml'."),
        (("odds", SHELF, "fils"), "no service is called 'fils'. Did you mean 'files'?"),
        (("odds", SHELF, "zzzz"), "no service is called 'zzzz'. Services: names, files, pages."),
        (("odds", SHELF, "hub"), "'hub' is a switch, no service. Services: names, files, pages."),
        (("odds", SHELF, "--draws", "0"), "ranges can't be told from 0 draws. Ask for 20 to 100,000,"),
        (("odds", SHELF, "--draws", "-5"), "ranges can't be told from -5 draws."),
        (("odds", SHELF, "--draws", "1000000000"), "ranges can't be told from 1,000,000,000 draws."),
        (("odds", SHELF, "--most", "0"), "--most 0 cut sets can't be shown. Ask for 1 to 10,000"),
        (("odds", SHELF, "--out", "hubb"), "no part is called 'hubb'"),
        (("odds", SHELF, "--picture", "docs"), "'docs' is a folder. Name a file in it."),
        (("odds", "LICENSE"), "LICENSE:"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_is_wrong_is_told_plainly(words, begins):
    """One line on standard error at least, status 2, no trace."""
    done = typed(*words)
    assert (done.status, done.out) == (2, "")
    assert done.err.startswith(begins)
    assert "defect" not in done.err
