import pytest
from tests.page.conftest import KITCHEN, addressed


@pytest.mark.slow
def test_a_browser_elsewhere_gets_in_by_the_printed_address(page_of, sheet):
    """Opened once with the token, the page works in a browser: its scripts, its stream and its pulls."""
    served = page_of(KITCHEN, "--host", "0.0.0.0")
    page = sheet(served)
    addressed(page, without="token")
    page.locator('[data-id="desk-1"] a.touch').first.click()
    page.wait_for_url("**/?*out=desk-1*")
    assert page.evaluate("document.cookie") == ""  # no script can read it


@pytest.mark.slow
def test_a_browser_elsewhere_without_the_token_sees_nothing(page_of, sheet):
    """Without the token there is a sentence that says what is missing, and nothing of the lab."""
    served = page_of(KITCHEN, "--host", "0.0.0.0")
    served.url = served.base + "/"
    page = sheet(served, allow="status of 401")
    said = page.locator("body").inner_text()
    assert "This page asks for the token of its run." in said
    assert "desk" not in said
