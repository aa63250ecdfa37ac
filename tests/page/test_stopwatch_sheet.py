"""Does the sheet of what was seen keep itself true while a run goes on, on a phone too?"""

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
    expect(page.locator("#seen")).to_contain_text("Drill stop desk-1 goes on")
    page.locator("figure.strips").focus()
    taker.mark(Marked(at_s=2.0, mark=Mark.DONE, says="the plug"))
    taker.answers([Seen(0, 2.0, 3.0, Told.SILENT), Seen(1, 3.0, 3.01, Told.YES)])
    expect(page.locator("#seen tr.out")).to_contain_text("silent for")
    expect(page.locator("[data-outage='front page']")).to_have_count(1)
    expect(page.locator("[data-foretold='web']")).to_have_count(1)
    expect(page.locator("figure.strips")).to_be_focused()
    taker.answers([Seen(0, 6.0, 6.01, Told.YES)])
    taker.end(8.0)
    expect(page.locator("#seen")).to_contain_text("Drill stop desk-1 ended, 8 s long")
    expect(page.locator("#runs")).to_contain_text("came to its end")


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
