"""Does the failure map lead from a loss to the elevation and back, by hand and by keyboard?"""

from urllib.parse import parse_qs, urlsplit

import pytest
from tests.page.conftest import KITCHEN, settled

pytestmark = pytest.mark.slow


def asked(url):
    """The question in an address."""
    return parse_qs(urlsplit(url).query)


def test_a_row_leads_to_the_elevation_and_back(page_kept, sheet):
    """Enter on the name of a loss shows the elevation with it out; Back shows the map again."""
    page = sheet(page_kept(KITCHEN), "/failures")
    settled(page)
    row = page.locator(".losses .thing:not([data-word=service]) a.touch").first
    lost = row.locator("xpath=..").get_attribute("data-id").split(" ")[0]
    row.focus()
    page.keyboard.press("Enter")
    page.locator("#drawing").wait_for()
    page.wait_for_url(lambda url: asked(url).get("out") == [lost])
    page.go_back()
    page.locator(".losses").wait_for()


def test_a_mark_leads_to_the_reason(page_kept, sheet):
    """A click on a mark shows the elevation with the chain of reasons drawn on it."""
    page = sheet(page_kept(KITCHEN), "/failures")
    settled(page)
    page.locator(".losses a.cell").first.click()
    page.locator("#drawing .chain").wait_for()
    page.wait_for_url(lambda url: set(asked(url)) >= {"out", "why"})


def test_the_map_is_filtered_without_leaving(page_kept, sheet):
    """A service and a kind chosen in the form keep the map to them; the way back to all is there."""
    page = sheet(page_kept(KITCHEN), "/failures")
    settled(page)
    before = page.locator(".failures tbody tr").count()
    page.get_by_label("when", exact=True).select_option("node")
    page.get_by_role("button", name="Show").click()
    page.get_by_role("link", name="Show all").wait_for()
    assert 0 < page.locator(".failures tbody tr").count() < before
    page.get_by_role("link", name="Show all").click()
    page.get_by_role("link", name="Show all").wait_for(state="detached")
    assert page.locator(".failures tbody tr").count() == before
