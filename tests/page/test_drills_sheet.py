"""Does the sheet of the drills answer in a browser, from the list to whether one may be done?"""

import pytest
from tests.page.conftest import KITCHEN, addressed, settled

pytestmark = pytest.mark.slow


def test_from_the_list_to_the_answer(page_kept, sheet):
    """A drill opens, its link asks whether it may be done, and with two out the answer is no with what to mend."""
    page = sheet(page_kept(KITCHEN), "/drills?out=desk-2&out=desk-3")
    settled(page)
    one = page.locator("details", has_text="lose desk-1").first
    one.locator("summary").first.click()
    one.get_by_role("link", name="May it be done today?").click()
    page.get_by_role("heading", name="May it be done today: lose desk-1").wait_for()
    settled(page)
    answer = page.locator("#may")
    answer.get_by_text("Already out: desk-2 and desk-3").wait_for()
    assert "No: " in answer.inner_text()
    assert "First:" in answer.inner_text()
    addressed(page, "drill=lose%20desk-1")
