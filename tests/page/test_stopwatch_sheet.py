"""Does the sheet of what was seen keep itself true while a run goes on, on a phone too?"""

import re
import signal
import time

import pytest
from playwright.sync_api import expect

from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder, record_of
from falsework.record.seen import Mark, Marked, Seen, Told
from falsework.support.probing import questions

pytestmark = pytest.mark.slow

LAB = """\
lab: Two desks
kinds:
  desktop: {is: node}
machines:
  desk-1: desktop
  desk-2: desktop
services:
  web: {on: [desk-1, desk-2], takes over: 4 s}
  mail: {on: desk-2}
probes:
  front page: {asks: tcp 127.0.0.1 port 9, sees: web}
  mail box: {asks: tcp 127.0.0.1 port 10, sees: mail}
"""


def begun(served):
    """A drill that goes on: everything is well so far."""
    run = NewRun(lab="Two desks", drill="stop desk-1", tries="loss", lost=("desk-1",))
    taker = Recorder(record_of(served.file), run, questions(load(served.file)))
    taker.answers([Seen(number, 0.0, 0.01, Told.YES) for number in (0, 1)])
    taker.beat(1.0, run.began + 1)
    return taker


def test_it_renews_itself(page_of, sheet):
    """A run that begins, goes on and ends is followed without anybody asking; what has the focus keeps it."""
    served = page_of(LAB)
    page = sheet(served, "/stopwatch")
    expect(page.get_by_text("Nothing has been watched yet.")).to_be_visible()
    taker = begun(served)
    expect(page.locator("#seen")).to_contain_text(
        "Drill stop desk-1 goes on, 1 s so far. All 2 probes were answered well."
    )
    page.locator("figure.strips").focus()
    taker.mark(Marked(at_s=2.0, mark=Mark.DONE, says="the plug"))
    taker.answers([Seen(0, 2.0, 3.0, Told.SILENT), Seen(1, 3.0, 3.01, Told.YES)])
    expect(page.locator("#seen tr.out")).to_contain_text("silent for")
    expect(page.locator("#seen .lead")).to_contain_text("Of 2 probes not answered well now: front page.")
    expect(page.locator("[data-outage='front page']")).to_have_count(1)
    expect(page.locator("[data-foretold='web']")).to_have_count(1)
    expect(page.locator("figure.strips")).to_be_focused()
    taker.answers([Seen(0, 6.0, 6.01, Told.YES)])
    taker.end(8.0)
    expect(page.locator("#seen .lead")).to_contain_text("Drill stop desk-1 ended after 8 s.")
    expect(page.locator("#seen .lead")).to_contain_text("not answered well at times: front page.")
    expect(page.locator("#runs")).to_contain_text("came to its end")


def test_what_was_foretold_is_laid_beside_what_was_seen(page_of, sheet):
    """Once a drill is over each thing says how it went, the worst first, and what would explain it is pointed at."""
    served = page_of(LAB)
    taker = begun(served)
    taker.answers([Seen(number, 2.0, 2.01, Told.YES) for number in (0, 1)])
    taker.mark(Marked(at_s=2.0, mark=Mark.DONE, says="the plug"))
    for at_s, told in ((2.1, Told.NO), (5.9, Told.NO), (6.0, Told.YES)):
        taker.answers([Seen(number, at_s, at_s + 0.01, told) for number in (0, 1)])
    taker.end(30.0)
    page = sheet(served, "/stopwatch")
    rows = page.locator("#judged tbody tr")
    expect(rows).to_have_count(2)
    expect(rows.first).to_contain_text("mail")
    expect(rows.first).to_contain_text("wrong")
    expect(rows.last).to_contain_text("as foretold")
    expect(page.locator("#judged")).to_contain_text("falsework compare lab.yaml --run 1")


def test_a_record_that_can_not_be_read_is_told_while_the_sheet_is_open(page_of, sheet):
    """A strange file in the record's place is named without anybody asking, and so is the record once it is back."""
    served = page_of(LAB)
    taker = begun(served)
    page = sheet(served, "/stopwatch", allow="400")
    expect(page.locator("#seen")).to_contain_text("goes on")
    record = record_of(served.file)
    aside = record.with_suffix(".aside")
    record.rename(aside)
    record.write_text("a letter to my aunt")
    expect(page.get_by_role("alert")).to_contain_text("is no record of falsework")
    expect(page.locator("#seen")).not_to_contain_text("goes on")
    aside.replace(record)
    expect(page.locator("#seen")).to_contain_text("goes on")
    taker.end(3.0)


def test_a_stopwatch_that_tells_nothing_is_told(page_of, sheet):
    """A run that goes on but was written last long ago does not pass for one in which all is well now."""
    served = page_of(LAB)
    run = NewRun(lab="Two desks", began=time.time() - 600.0)
    taker = Recorder(record_of(served.file), run, questions(load(served.file)))
    taker.answers([Seen(number, 0.0, 0.01, Told.YES) for number in (0, 1)])
    taker.beat(1.0, run.began + 1.0)
    page = sheet(served, "/stopwatch")
    expect(page.locator("#seen .lead")).to_contain_text(
        re.compile(r"The stopwatch has told nothing for \d+ min")
    )
    taker.end(2.0)


def test_a_page_that_is_ended_says_so(page_of, sheet):
    """What is shown stays, and says that it is not kept true any more."""
    served = page_of(LAB)
    begun(served).end(3.0)
    page = sheet(served, "/stopwatch", allow="Failed to load|ERR_")
    expect(page.locator(".away")).to_be_hidden()
    served.process.send_signal(signal.SIGINT)
    expect(page.locator(".away")).to_be_visible()


def test_without_probes_the_way_to_some_is_shown(page_of, sheet):
    """Where the lab file asks nothing, the sheet leads to what should be asked."""
    page = sheet(page_of(LAB.partition("probes:")[0]), "/stopwatch")
    page.get_by_role("link", name="see which to add").click()
    expect(page.locator("#plan")).to_contain_text("To be added")


@pytest.mark.parametrize("dark", [False, True])
def test_on_a_phone(page_of, sheet, dark):
    """At 375 pixels only the drawing and the tables go beyond the edge, scrolling by themselves; axe finds nothing."""
    from axe_playwright_python.sync_playwright import Axe

    served = page_of(LAB)
    taker = begun(served)
    taker.answers([Seen(0, 2.0, 3.0, Told.SILENT)])
    taker.mark(Marked(at_s=2.0, mark=Mark.DONE, says="the plug"))
    taker.end(8.0)
    page = sheet(
        served,
        "/stopwatch",
        viewport={"width": 375, "height": 800},
        color_scheme="dark" if dark else "light",
    )
    expect(page.locator("figure.strips svg")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 375
    assert page.evaluate("document.querySelector('figure.strips').scrollWidth") > 375
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag22aa"]}})
    assert [each["id"] for each in found.response["violations"]] == []


def test_a_run_that_is_not_there_leads_to_those_that_are(page_of, sheet):
    """A wrong number of a run is told, and the list below has the others."""
    served = page_of(LAB)
    begun(served).end(3.0)
    page = sheet(served, "/stopwatch?run=7", allow="400")
    expect(page.get_by_role("alert")).to_contain_text("has no run 7")
    page.locator("#runs").get_by_role("link", name="1").click()
    expect(page.locator("#seen .lead")).to_contain_text("ended after 3 s")
