"""Is the way from what fails to what broke clear on the page, and can one go back on it?"""

import pytest
from playwright.sync_api import expect
from tests.page.conftest import settled

pytestmark = pytest.mark.slow

LAB = """\
lab: Three desks
kinds:
  desktop: {is: node}
machines:
  desk-1: desktop
  desk-2: desktop
  desk-3: desktop
services:
  web: {on: [desk-1, desk-2]}
  mail: {on: desk-2}
  notes: {on: desk-3}
probes:
  front page: {asks: tcp 127.0.0.1 port 9, sees: web}
  mail box: {asks: tcp 127.0.0.1 port 10, sees: mail}
"""


def test_from_what_fails_to_the_next_question_and_back(page_of, sheet):
    """A mark gives causes with their odds; an answer to the next question is kept, and taken back again."""
    page = sheet(page_of(LAB), "/diagnosis")
    page.get_by_role("row", name="mail box").get_by_role("checkbox", name="fails").check()
    page.get_by_role("button", name="Find what it was").click()
    expect(page.locator(".causes > li").first).to_contain_text("%")
    settled(page)
    expect(page.locator(".known li")).to_have_text("mail box fails take back that mail box fails")
    asked = page.locator(".next li").first
    asked.locator(".ways a").last.click()
    expect(page.locator(".known li")).to_have_count(2)
    settled(page)
    page.locator(".known li").first.get_by_role("link", name="take back that mail box fails").click()
    expect(page.locator(".known li")).to_have_count(1)
    assert "mail%20box" not in page.url
    page.get_by_role("link", name="Begin anew").click()
    expect(page.locator(".known")).to_have_count(0)
    assert page.url.endswith("/diagnosis")


def test_machines_are_offered_where_one_is_typed(page_of, sheet):
    """The field for a machine knows their names, and one that is typed counts."""
    page = sheet(page_of(LAB), "/diagnosis")
    field = page.get_by_label("A machine that does not answer")
    names = "each => [...each.list.options].map(one => one.value)"
    assert field.evaluate(names) == ["desk-1", "desk-2", "desk-3"]
    field.fill("desk-2")
    page.get_by_role("button", name="Find what it was").click()
    expect(page.locator("#broken .lead")).to_contain_text("desk-2")


def test_likely_causes_are_open_and_others_folded(page_of, sheet):
    """Three causes tell all of their reasons at once; the others do when they are opened, by the keyboard too."""
    page = sheet(page_of(LAB), "/diagnosis?fails=mail%20box&fails=front%20page")
    expect(page.locator(".causes details").first).to_be_visible()
    assert page.locator(".causes > li").evaluate_all(
        "all => all.map(each => !each.querySelector('details'))"
    )[:4] == [True, True, True, False]
    page.locator(".causes summary").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".causes details").first).to_have_attribute("open", "")


def test_a_lab_with_faults_says_so(page_of, sheet):
    """Where the lab file can't be read the sheet is not empty, and leads to its faults."""
    page = sheet(page_of(LAB.replace("desktop: {is: node}", "desktop: {is: nod}")), "/diagnosis?fails=web")
    expect(page.locator("#sheet")).to_contain_text("The lab file can't be read yet; its faults come first.")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_an_answer_breaks_no_rule_of_accessibility(page_of, sheet, scheme):
    """Causes, questions, what was said and the plan of probes break no rule that a program can check, on a phone either."""
    from axe_playwright_python.sync_playwright import Axe

    window = {"width": 375, "height": 800}
    path = "/diagnosis?fails=mail%20box&fails=front%20page&looked=desk-3%3A%20dark&plan=yes"
    page = sheet(page_of(LAB), path, color_scheme=scheme, viewport=window)
    settled(page)
    expect(page.locator(".causes > li").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 375
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag22aa"]}})
    assert [each["id"] for each in found.response["violations"]] == []


def test_hundreds_of_services_are_folded(page_of, sheet):
    """A long list opens on a word, and what is marked in it counts."""
    many = "".join(f"  more-{number}: {{on: desk-3}}\n" for number in range(120))
    page = sheet(page_of(LAB.replace("probes:\n", f"{many}probes:\n")), "/diagnosis")
    box = page.get_by_role("row", name="more-77").get_by_role("checkbox", name="fails")
    expect(box).to_be_hidden()
    page.get_by_text("Services (123)").click()
    box.check()
    page.get_by_role("button", name="Find what it was").click()
    expect(page.locator("#broken .lead")).to_contain_text("more-77")
