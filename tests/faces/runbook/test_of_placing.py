import datetime
from dataclasses import replace

import pytest
from tests.faces.handmade_placing import move, placing, six
from tests.faces.runbook.papers import pages

from falsework.analyses.placing.result import Reason
from falsework.faces.report.stacks import stack_print
from falsework.faces.runbook.document import Picture
from falsework.faces.runbook.markdown import markdown
from falsework.faces.runbook.of_placing import of_placing
from falsework.faces.runbook.pdf import pdf

DAY = datetime.date(2026, 12, 4)


def sheet(**changes):
    """The runbook of the six hosts."""
    return of_placing(six(), placing(**changes), date=DAY)


def boxes():
    """Its boxes, by number."""
    return {box.number: box for chapter in sheet().chapters for box in chapter.boxes}


def test_a_box_a_move_in_their_order():
    """Each says what goes from where to where; a copy of which nobody says where it runs has none."""
    assert [box.says for box in boxes().values()] == [
        "Move pages.1 from box-1.a to desk-2",
        "Move files.1 from box-1.a to box-2.a",
        "Move logs.1 from box-2.b to desk-1, where it waits",
        "Stop mail.2 on box-1.b",
        "Move logs.1 from desk-1 to box-1.b",
        "Start mail.2 on box-2.b",
    ]


def test_a_box_says_what_is_needed_what_is_copied_what_to_look_at_and_the_way_back():
    """Siblings that serve, room, ports and their speed, the address, and where the machines are."""
    box = boxes()["1"]
    assert box.takes == "52 s at the least"
    assert box.needs == (
        "serving: pages.2, pages.3",
        "box-1.a and desk-2 are up and reach each other",
        "6 GiB of memory on desk-2, where 16 GiB should be free",
    )
    assert box.moves == ("6 GiB of memory from box-1.a to desk-2, 52 s at 1 Gb/s (port of box-1.a)",)
    assert box.check == "pages.1 runs on desk-2 and no longer on box-1.a; pages answers"
    assert box.back == "move it back to box-1.a; nothing takes its place there"
    assert box.notes == (
        "box-1.a is in box-1",
        "box-1 is in rack, from 2 U up",
        "box-1 is plugged in at left; right",
        "desk-2 is plugged in at left",
    )
    assert not box.shaky
    assert not box.cautions
    assert "mail answers at 10.0.0.25" in boxes()["6"].check


def test_a_copy_of_which_nobody_says_what_it_takes():
    """No figure is made up: room there must be, how much and how long nobody says."""
    found = placing(moves=(move("pages.1", "box-1.a", "desk-2"),))
    found = replace(found, memory={**found.memory, "pages.1": 0.0})
    (box,) = (box for chapter in of_placing(six(), found, date=DAY).chapters for box in chapter.boxes)
    assert box.needs[-1] == "room on desk-2; nobody says what pages takes"
    assert box.moves == ("nobody says how much (`takes`), so neither how long",)
    assert box.takes == ""


def test_where_a_disk_moves_stands_a_caution():
    """It defers to a backup that was restored once; where only memory moves there is none."""
    assert any("restored" in says for says in boxes()["2"].cautions)
    assert boxes()["2"].moves[0].startswith("4 GiB of memory and 40 GiB of disk from box-1.a to box-2.a")


def test_disks_that_move_have_a_caution_on_the_first_pages():
    """Although the lab names no data; none where only memory moves."""
    assert sheet().cautions[-1].title == "Data"
    assert sheet(moves=(move("pages.1", "box-1.a", "desk-2", size=6),)).cautions[-1].title != "Data"


def test_what_is_not_kept_on_the_way_is_fragile():
    """A broken rule and an aim further off are told, and the box has a hatched edge."""
    shaky = {number: box.fragile for number, box in boxes().items() if box.shaky}
    assert shaky == {
        "2": ("not kept until a later step: files apart from pages",),
        "3": ("an aim is further off than at both ends, until a later step",),
        "4": (),
    }
    assert any("boxes 2, 3, 4" in says for says in sheet().lead)


def test_a_stop_is_a_warning_and_says_until_when():
    """The interruption, the step that ends it, and the ways back of both."""
    stop, start = boxes()["4"], boxes()["6"]
    assert stop.outage == ("mail.2, until step 6",)
    assert "is out until step 6" in stop.cautions[0]
    assert stop.back.startswith("start it again on box-1.b, before step 5 takes")
    assert start.back == "stop it again; then go back to step 4"
    assert "serving: mail.1" in start.needs


def test_copies_of_which_nobody_says_where_they_run_come_first():
    """They are to be looked for before anything moves, with a column to write in."""
    titles = [chapter.title for chapter in sheet().chapters]
    assert titles.index("Look first where these run") < titles.index("The moves")
    (chapter,) = (each for each in sheet().chapters if each.title == "Look first where these run")
    assert chapter.tables[0].rows == (("rota.1", "box-1.b", ""),)


def test_nothing_to_move_says_so():
    """No boxes, and the placement all the same."""
    made = sheet(moves=())
    assert "There is nothing to move." in made.lead
    assert not any(chapter.boxes for chapter in made.chapters)
    assert made.chapters[-1].title == "What runs where in the end"


def test_a_clean_order_says_so():
    """Every move clean, nothing to read twice."""
    made = sheet(moves=(move("pages.1", "box-1.a", "desk-2", size=6),))
    assert made.lead[-1] == "Every rule and every aim is as good after each step as it is at both ends."


def test_parts_that_are_out_are_told_in_the_lead():
    """The moves are for as long as they are out."""
    made = of_placing(six(), placing(), date=DAY, out=("desk-1",))
    assert "All this is with desk-1 out, and may be otherwise once that is back." in made.lead


def test_why_not_comes_first():
    """Where an aim stays broken, the reasons with their places and what would do stand before all else."""
    made = sheet(met=False, why_not=(Reason(says="room without box-1", where=six().aims[0].where),))
    assert made.chapters[0].title == "Why not all of it"
    assert made.chapters[0].tables[0].rows[0][0] == "room without box-1"
    assert "What would do: give desk-1 8 GiB more memory." in made.chapters[0].says
    assert "Broken even so: no box stops mail: mail falls without box-1." in made.lead


def test_nothing_can_be_placed():
    """Reasons, and no empty chapters."""
    none = replace(
        placing(moves=(), worst=False, why_not=(Reason(says="logs takes 900 GiB", where=None),)),
        host_of={},
        levels=(),
    )
    made = of_placing(six(), none, date=DAY)
    assert [chapter.title for chapter in made.chapters] == ["Why not all of it"]
    assert pdf(made)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_is_set_with_its_picture(paper):
    """On both papers, the picture, each step and the way back; the same in text."""
    pictures = tuple(Picture(svg=svg, says=says) for svg, says in stack_print(placing()))
    made = of_placing(six(), placing(), date=DAY, pictures=pictures)
    text = " ".join(pages(pdf(made, paper=paper)))
    for says in ("Move pages.1 from box-1.a to desk-2", "move it back to box-1.a", "No room then for logs.1"):
        assert says in text
        assert says in markdown(made)
