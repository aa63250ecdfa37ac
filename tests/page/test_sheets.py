"""Do the heavy sheets do in a browser what they promise: become ready by themselves, stop, keep the old, and print?"""

import io
import re

import pytest
from tests.page.conftest import EXAMPLES, KITCHEN, PATIENCE_MS, addressed, settled
from tests.waiting import until

from falsework.invent import invent_copied

pytestmark = pytest.mark.slow

MENDED = EXAMPLES / "observatory" / "mended.yaml"


def ready(page):
    """Wait until all is worked out."""
    settled(page)
    return page


@pytest.mark.parametrize(
    ("path", "heading"),
    [
        ("/year", "Minutes a year"),
        ("/build", "Raising it"),
        ("/places", "Room after each loss"),
        ("/hardware", "Power"),
    ],
)
def test_a_sheet_becomes_ready_by_itself(page_kept, sheet, path, heading):
    """The result comes into the open sheet without anybody asking again."""
    page = ready(sheet(page_kept(MENDED), path))
    page.get_by_role("heading", name=heading, exact=True).first.wait_for()


def test_years_are_drawn_on_request(page_kept, sheet):
    """The number asked for is drawn, the address says so, and Back leads to the sheet without them."""
    page = ready(sheet(page_kept(KITCHEN), "/year"))
    page.get_by_label("Years").fill("60")
    page.get_by_role("button", name="Draw them").click()
    page.get_by_role("heading", name="A bad year").wait_for()
    addressed(page, "years=60")
    page.get_by_text("60 years, seed 1").wait_for()
    page.go_back()
    page.get_by_role("heading", name="A bad year").wait_for(state="detached")


def test_a_search_can_be_stopped_and_tells_the_best_so_far(page_of, sheet):
    """Stop ends a long search soon; what it had found by then is shown."""
    page = ready(sheet(page_of(invent_copied(24, 100)), "/places"))
    page.get_by_label("For at most").fill("3000")
    page.get_by_role("button", name="Look for better places").click()
    page.locator("[data-what]", has_text="be under").wait_for()
    page.get_by_role("button", name="Stop").click()
    ready(page)
    assert page.locator(".trouble").all_inner_texts() == []
    page.get_by_role("heading", name="Where copies should run").wait_for()


def test_better_places_are_written_into_the_file(page_of, sheet):
    """The button writes what the difference shows; the page then tells the new file."""
    from tests.faces.cli.test_placing import LAB

    served = page_of(LAB)
    page = ready(sheet(served, "/places?search=5"))
    page.locator(".difference").wait_for()
    assert served.file.read_text() == LAB
    page.get_by_role("button", name="Write it into the file").click()
    page.get_by_text("The places are written into the file.").wait_for()
    assert served.file.read_text() != LAB
    assert "# Both on one desk since the move." in served.file.read_text()


def test_the_old_result_stays_until_the_new_one_is_there(page_of, sheet):
    """When the file is saved the sheet is never empty, and tells the new file in the end."""
    served = page_of(KITCHEN)
    page = ready(sheet(served, "/hardware"))
    page.evaluate(
        """() => {
          window.seen = new Set();
          new MutationObserver(() => window.seen.add(
            !!document.querySelector("#sheet figure svg, #sheet table"))).observe(document.body, {childList: true, subtree: true});
        }"""
    )
    text = served.file.read_text()
    served.file.write_text(text.replace("lab: ", "lab: Newer ", 1))
    page.get_by_text(re.compile("^Newer ")).first.wait_for()
    ready(page)
    page.locator("#sheet svg text", has_text=re.compile("^Newer ")).first.wait_for()
    assert page.evaluate("[...window.seen]") == [True]


def test_papers_and_lists_are_downloaded(page_kept, sheet):
    """A click on the name of a paper brings it as a file."""
    page = ready(sheet(page_kept(KITCHEN), "/build?from=nothing"))
    with page.expect_download() as found:
        page.get_by_role("link", name="runbook.pdf").click()
    assert found.value.suggested_filename == "runbook.pdf"
    assert found.value.path().read_bytes().startswith(b"%PDF")


def test_steps_can_be_ticked_and_are_printed(page_kept, sheet):
    """Folded steps are open on paper, each with its square."""
    import pypdfium2

    page = ready(sheet(page_kept(KITCHEN), "/build?from=nothing"))
    steps = page.locator("li.task")
    boxes = steps.count()
    assert boxes > 3
    printed = pypdfium2.PdfDocument(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    text = re.sub(r"\s+", " ", " ".join(each.get_textpage().get_text_range() for each in printed))
    words = [
        re.sub(r"\s+", " ", each).strip() for each in page.locator("li.task .what bdi").all_text_contents()
    ]
    assert [each for each in words if each not in text] == []
    assert page.locator("details.long[open]").count() == 0


def test_wide_tables_scroll_by_keyboard(page_kept, sheet):
    """On a phone a wide table has the focus in turn, has a name, and scrolls with the arrow keys."""
    page = ready(sheet(page_kept(MENDED), "/hardware", viewport={"width": 375, "height": 700}))
    region = page.locator("#power .table").first
    region.focus()
    assert region.get_attribute("aria-label")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(0)
    region.evaluate(
        "each => new Promise(done => { if (each.scrollLeft) done(); else each.addEventListener('scroll', done); })"
    )


def test_without_scripts_sheets_tell_and_show(page_of, browser):
    """Without scripts a reload shows how far it is, and in the end the result; forms work."""
    served = page_of(KITCHEN)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served.base + "/year")

    def worked_out():
        if page.locator("#sheet [data-working]").count() == 0:
            return True
        assert page.get_by_text("Load the page again").count() == 1
        page.reload()
        return False

    until(worked_out, most_s=PATIENCE_MS / 1000)
    page.get_by_label("Years").fill("20")
    page.get_by_role("button", name="Draw them").click()
    addressed(page, "years=20")
    until(worked_out, most_s=PATIENCE_MS / 1000)
    page.get_by_role("heading", name="A bad year").wait_for()
    context.close()


def test_names_lead_to_their_place_in_the_drawing(page_kept, sheet):
    """A part named in a table leads to the elevation, where it is shown first."""
    page = ready(sheet(page_kept(KITCHEN), "/year"))
    link = page.locator("#mend-first a").first
    name = link.inner_text()
    link.click()
    page.locator(f'#sheet [data-id="{name}"]').first.wait_for()
    addressed(page, "look=")
