"""Aims and findings in the browser: from what is broken to where it is seen, said and mended."""

import pytest
from tests.page.conftest import OBSERVATORY, addressed, settled

pytestmark = pytest.mark.slow


def test_a_broken_aim_is_seen_on_the_elevation_and_in_the_file(page_of, sheet):
    """One click takes what breaks it out, another leads to the very line."""
    served = page_of(OBSERVATORY)
    page = sheet(served, "/aims")
    settled(page)
    broken = page.locator(".said", has_text="any one feed may go").first
    assert "names has 0 of 2 copies" in broken.inner_text()
    broken.get_by_role("link", name="See it happen: B out").click()
    page.wait_for_selector(".drawing [data-id='B'][data-state]")
    addressed(page, "out=B", "why=names")
    page.go_back()
    page.wait_for_selector("#wanted")
    page.locator(".said", has_text="any one feed may go").first.locator(".where a").click()
    page.wait_for_selector("#file[data-ready]")
    assert "any one feed may go" in page.locator(".cm-line.pointed").inner_text()


def test_a_save_has_the_aims_judged_again_by_themselves(page_of, sheet):
    """What is mended in the file is told as met without a hand on the page."""
    lab = (
        "lab: two desks\noutside: {mains: a cable}\npower:\n  A: {is: strip, fed by: mains}\n  B: {is: strip, fed by: mains}\n"
        "machines:\n  desk-1: {is: node, fed by: A}\n  desk-2: {is: node, fed by: A}\n"
        "services:\n  notes: {on: [desk-1, desk-2]}\naims:\n  any strip may go: {lose: strip, at most: blinks}\n"
    )
    served = page_of(lab)
    page = sheet(served, "/aims")
    page.wait_for_selector(".beam.broken")
    served.file.write_text(lab.replace("desk-2: {is: node, fed by: A}", "desk-2: {is: node, fed by: B}"))
    page.wait_for_selector("#wanted .beam.met")
    page.locator("#wanted .beam.broken").first.wait_for(state="detached")
