"""Can everybody read the page: by day and night, on paper, on a phone, by keyboard and screen reader?"""

import io

import pytest
from tests.page.conftest import EXAMPLES, KITCHEN, settled
from tests.page.pictures import looks_as_before

from falsework.faces.page.sheets import SHEETS

pytestmark = pytest.mark.slow

MENDED = EXAMPLES / "observatory" / "mended.yaml"
PATHS = [each.path for each in SHEETS]
NAMES = {each.path: each.path.strip("/") or "elevation" for each in SHEETS}
STANDARD = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")
each_sheet = pytest.mark.parametrize("path", PATHS, ids=NAMES.values())


def still(page):
    """The page once nothing on it is being worked out any more, and the editor is there where one comes."""
    settled(page)
    page.locator("#file:not([data-ready])").first.wait_for(state="detached")
    return page


@each_sheet
def test_no_rule_of_accessibility_is_broken(page_kept, sheet, path):
    """No rule of WCAG 2.2 AA that a program can check is broken, on light paper and on dark."""
    from axe_playwright_python.sync_playwright import Axe

    served = page_kept(KITCHEN)
    wrong = []
    for scheme in ("light", "dark"):
        page = still(sheet(served, path, color_scheme=scheme))
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": list(STANDARD)}})
        wrong += [
            f"{scheme}: {each['id']}: {each['help']}: {[node['target'] for node in each['nodes'][:4]]}"
            for each in found.response["violations"]
        ]
    assert not wrong, "\n".join(wrong)


@each_sheet
def test_a_phone_shows_every_sheet_without_sideways_scrolling(page_kept, sheet, path):
    """At a width of 375 px only wide tables and drawings scroll, inside themselves."""
    page = still(sheet(page_kept(KITCHEN), path, viewport={"width": 375, "height": 700}))
    assert page.evaluate("document.documentElement.scrollWidth") <= 375


@each_sheet
def test_every_sheet_prints(page_kept, sheet, path):
    """Each sheet becomes a PDF of few pages, none of them empty, with its words in it."""
    import pypdfium2

    page = still(sheet(page_kept(KITCHEN), path))
    printed = pypdfium2.PdfDocument(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    texts = [each.get_textpage().get_text_range() for each in printed]
    assert 1 <= len(texts) <= 40
    assert all(text.strip() for text in texts)
    assert "Kitchen shelf" in texts[0]


@each_sheet
@pytest.mark.parametrize("how", ["day", "night", "narrow"])
def test_every_sheet_looks_as_before(page_kept, sheet, path, how):
    """Nothing changes its looks unnoticed."""
    options = {
        "day": {},
        "night": {"color_scheme": "dark"},
        "narrow": {"viewport": {"width": 375, "height": 700}},
    }[how]
    looks_as_before(still(sheet(page_kept(MENDED), path, **options)), f"{NAMES[path]}-{how}")


def test_focus_is_seen_wherever_it_goes(page_kept, sheet):
    """Tab reaches every control of the elevation in turn, and each shows an outline when it is there."""
    page = still(sheet(page_kept(KITCHEN), "/"))
    seen = []
    for _ in range(60):
        page.keyboard.press("Tab")
        at = page.evaluate(
            """() => { const it = document.activeElement; if (!it || it === document.body) return null;
            const style = getComputedStyle(it);
            return [it.tagName, it.textContent.trim().slice(0, 30), style.outlineStyle, parseFloat(style.outlineWidth)]; }"""
        )
        if at is None:
            break
        seen.append(at)
    assert len(seen) > 12
    assert [each for each in seen if each[2] == "none" or each[3] < 2] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_paper_is_chosen_by_hand_too(page_kept, sheet, scheme):
    """The button at the foot turns the paper over, and the choice is kept."""
    page = still(sheet(page_kept(KITCHEN), "/", color_scheme=scheme))
    ground = "getComputedStyle(document.documentElement).backgroundColor"
    before = page.evaluate(ground)
    page.click("#paper")
    turned = page.evaluate(ground)
    assert turned != before
    page.reload()
    assert page.evaluate(ground) == turned
