"""Does the sheet of the drills tell what `drills` tells?"""

from __future__ import annotations

import datetime
import json
from types import SimpleNamespace

import pytest
from tests.faces.page.asking import client, page_for
from tests.faces.page.sheets import HOSTILE, KITCHEN, LONELY, MENDED, hold_to_the_page, lab, made, said

from falsework.errors import QuestionError
from falsework.faces.cli.drills import Asked, drills_of
from falsework.faces.page import drills_sheet
from falsework.faces.page.drills_work import work, work_may, work_paper


@pytest.mark.parametrize("of", [KITCHEN, LONELY, pytest.param(MENDED, marks=pytest.mark.slow)])
def test_the_answer_is_that_of_the_command(of, capsys):
    """Programs get what the command line gives, and the sheet is whole and harmless."""
    found = made(work, of, begins=datetime.date.today())
    capsys.readouterr()
    drills_of(Asked(lab=lab(of), json=True))
    assert json.loads(capsys.readouterr().out) == found.answers["drills"]
    hold_to_the_page(found.html)


def test_hostile_names_do_nothing():
    """Whatever the names in the lab are, nothing runs and everything closes."""
    found = made(work, HOSTILE, begins=datetime.date.today())
    hold_to_the_page(found.html)
    hold_to_the_page(made(work_may, HOSTILE, name=found.answers["drills"]["drills"][0]["name"]).html)


def test_one_drill_is_asked_about():
    """With a second fault the answer is no, with what to mend first; without it is yes."""
    assert "Yes: nothing is interrupted" in said(made(work_may, KITCHEN, name="lose desk-1").html)
    no = said(made(work_may, KITCHEN, out=("desk-2", "desk-3"), name="lose desk-1").html)
    assert "No: " in no
    assert "First:" in no
    assert "Ask again once that is mended." in no
    assert "falsework drill LAB" not in no
    with pytest.raises(QuestionError, match="no drill"):
        made(work_may, KITCHEN, name="lose the lot")


@pytest.mark.slow
def test_the_sheet_asks_by_its_address():
    """Pace and drill stand in the address; nonsense is told, and the list stays."""
    asking = client(page_for(lab(KITCHEN)))
    whole = asking.get("/drills?begins=2026-12-04&every=7&drill=lose desk-1")
    assert whole.status_code == 200
    assert "May it be done today: <bdi>lose desk-1</bdi>" in whole.text
    assert "2026-12-11" in whole.text
    assert whole.text.count('id="drill-hatch"') == 1
    assert asking.get("/drills?every=0").status_code == 400
    assert "is no day" in asking.get("/drills?begins=soon").text
    assert asking.get("/answers/drills?begins=2026-12-04").json()["today"] == "2026-12-04"
    assert asking.get("/answers/drills?drill=lose desk-1").json()["may"]["yes"] is True


def test_what_tells_days_is_told_anew_each_day(monkeypatch):
    """A page that stays open overnight gives the answer and the calendar of the day on which it is asked."""
    asking = client(page_for(lab(KITCHEN)))
    for day in (datetime.date(2027, 1, 4), datetime.date(2027, 1, 5)):
        today = SimpleNamespace(date=SimpleNamespace(today=lambda day=day: day))
        monkeypatch.setattr(drills_sheet, "datetime", today)
        assert asking.get("/answers/drills").json()["today"] == day.isoformat()
        assert f"DTSTART:{day:%Y%m%d}T" in asking.get("/drills/drills.ics").text


def test_calendar_and_paper_are_taken_home():
    """Both are made on request; what is not there is refused."""
    asking = client(page_for(lab(KITCHEN)))
    assert asking.get("/drills/drills.ics?begins=2026-12-04").content.startswith(b"BEGIN:VCALENDAR\r\n")
    assert b"Lose desk-1." in made(work_paper, KITCHEN, name="drills.md").files["drills.md"]
    assert (
        asking.get("/drills/other.pdf").status_code == 404
        or "take home" in asking.get("/drills/other.pdf").text
    )
