"""The file edited in the page: faults as typed, completion, saving, somebody else who saves, and mends."""

import io

import pytest
from tests.page.conftest import KITCHEN, OBSERVATORY

from falsework.findings.keyed import key
from falsework.study import study

pytestmark = pytest.mark.slow

LAB = """\
lab: two desks
outside: {mains: a cable}
power:
  A: {is: strip, fed by: mains}
  B: {is: strip, fed by: mains}
machines:
  desk-1: {is: node, fed by: A}
  desk-2: {is: node, fed by: A}
services:
  notes: {on: [desk-1, desk-2]}
aims:
  any strip may go: {lose: strip, at most: blinks}
"""
REFUSED = "status of 4(09|22)"  # what a browser notes of an answer that says no


@pytest.fixture
def page_again(page_kept):
    """A function that serves a lab by one command for all tests of this file; each finds the text as it was."""

    def serve(text):
        served = page_kept(text)
        # By way of another name, since what the last test left may not have been read yet.
        for name in ("in between", "two desks"):
            served.file.write_text(text.replace("two desks", name))
            while f"<bdi>{name}</bdi></a></p>" not in served.get("/file").text:
                assert served.process.poll() is None
        return served

    return serve


def ready(page):
    """The sheet once its editor is there."""
    page.wait_for_selector("#file[data-ready]")
    return page


def typed(page):
    """The text in the editor."""
    lines = page.locator(".cm-line")
    return "\n".join(lines.nth(number).inner_text().rstrip("\n") for number in range(lines.count()))


def write(page, text, *, at="Control+Home"):
    """Type text at a place."""
    page.locator(".cm-content").click()
    page.keyboard.press(at)
    page.keyboard.type(text)


def said(page, words):
    """Wait until the sheet says so."""
    page.wait_for_function(
        "words => document.querySelector('#file-state').textContent.includes(words)", arg=words
    )


def test_an_address_leads_to_a_line(page_again, sheet):
    """The line is marked, and the cursor stands in it."""
    page = ready(sheet(page_again(LAB), "/file#line-7"))
    assert page.locator(".cm-line.pointed").inner_text().strip().startswith("desk-1")
    page.evaluate("location.hash = '#line-4'")
    page.wait_for_function("() => document.querySelector('.cm-line.pointed').textContent.includes('A:')")
    assert page.evaluate("document.activeElement.className").startswith("cm-content")


def test_faults_are_shown_in_place_as_they_are_typed(page_again, sheet):
    """Underlined, marked beside the line, listed with place and mend; a click leads there; mended they go."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file#line-7"))
    page.keyboard.press("End")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Backspace")
    page.keyboard.type("Q")
    page.wait_for_selector(".cm-lintRange-error")
    assert page.locator(".cm-lintRange-error").inner_text() == "Q"
    assert page.locator(".cm-lint-marker-error").count() == 1
    assert page.locator("#file-faults-title").inner_text() == "1 fault in the text"
    told = page.locator("#file-faults li").inner_text()
    assert (
        told
        == f"{served.file.name}:7:30 No outside, circuit, ups or strip is called 'Q'. Known: mains, A, B."
    )
    page.keyboard.press("Control+Home")
    page.locator("#file-faults a").click()
    page.wait_for_function("() => document.querySelector('.cm-activeLine').textContent.includes('desk-1')")
    page.keyboard.press("End")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Backspace")
    page.keyboard.type("B")
    page.wait_for_selector("#file-faults", state="hidden")
    assert page.locator(".cm-lintRange-error").count() == 0
    assert served.file.read_text() == LAB


def chosen(page):
    """Enter, once the list takes it: just opened it takes no key for a moment, lest one was not meant for it."""
    page.wait_for_function(
        "opened => performance.now() - opened > 150", arg=page.evaluate("performance.now()")
    )
    page.keyboard.press("Enter")


def test_what_may_stand_there_is_offered_by_keyboard(page_again, sheet):
    """A key with its meaning, then by itself the names that fit it, and what the key means below the text."""
    page = ready(sheet(page_again(LAB), "/file#line-8"))
    page.keyboard.press("End")
    page.keyboard.press("Enter")
    page.keyboard.type("desk-3: {is: ")
    page.wait_for_selector(".cm-tooltip-autocomplete")
    options = page.locator(".cm-tooltip-autocomplete .cm-completionLabel").all_inner_texts()
    assert options == ["enclosure", "node", "switch"]
    page.keyboard.type("no")
    page.wait_for_function("() => document.querySelectorAll('.cm-tooltip-autocomplete li').length === 1")
    chosen(page)
    page.keyboard.type(", fe")
    page.wait_for_selector(".cm-completionInfo")
    assert "Where its power comes from" in page.locator(".cm-completionInfo").inner_text()
    chosen(page)
    page.wait_for_function(
        "() => [...document.querySelectorAll('.cm-tooltip-autocomplete .cm-completionLabel')].some(each => each.textContent === 'A')"
    )
    labels = page.locator(".cm-tooltip-autocomplete .cm-completionLabel").all_inner_texts()
    assert labels == ["A", "B", "mains"]
    chosen(page)
    page.wait_for_function(
        "() => document.querySelector('#file-here').textContent.includes('Where its power comes from')"
    )
    assert "  desk-3: {is: node, fed by: A}" in typed(page)


def test_nothing_is_written_before_the_owners_word(page_again, sheet):
    """Control and S write what is there, to the byte; the page reads it and shows the new name."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file"))
    write(page, "# é 😀\n")
    said(page, "Not saved.")
    assert served.file.read_text() == LAB
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    assert served.file.read_bytes().decode() == "# é 😀\n" + LAB
    assert page.locator("#file-save").is_disabled()
    write(page, "", at="Control+Home")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("End")
    page.keyboard.type(" and a bench")
    page.locator("#sheet").focus()  # beside the text it saves as well
    page.keyboard.press("Control+s")
    page.wait_for_function(
        "() => document.querySelector('#block .name').textContent === 'two desks and a bench'"
    )


def test_faults_want_a_second_word(page_again, sheet):
    """The first time nothing is written; then it is, and the page goes on showing what it knew."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file", allow=REFUSED))
    write(page, "zzz: 1\n")
    page.locator("#file-save").click()
    page.get_by_role("heading", name="The text has 1 fault").wait_for()
    assert page.evaluate("document.activeElement.tagName") == "H2"
    assert served.file.read_text() == LAB
    page.get_by_role("button", name="Mend it first").click()
    assert page.locator(".cm-line.pointed").inner_text() == "zzz: 1"
    page.keyboard.press("Control+s")
    page.get_by_role("button", name="Save it all the same").click()
    said(page, "with its faults")
    assert served.file.read_text() == "zzz: 1\n" + LAB


def test_a_lab_that_was_broken_from_the_start_is_mended_here(page_of, sheet):
    """Its faults are there once, and gone when the file is mended and saved; the page shows the lab then."""
    served = page_of(LAB.replace("fed by: A}", "fed by: Q}"))
    page = ready(sheet(served, "/file"))
    page.wait_for_selector("#file-faults:not([hidden])")
    assert page.locator("#file-faults-title").inner_text() == "2 faults in the text"
    for left in (1, 0):
        page.locator("#file-faults a").first.click()
        page.wait_for_function("() => document.querySelector('.cm-activeLine').textContent.includes('Q')")
        page.keyboard.press("End")
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("Backspace")
        page.keyboard.type("A")
        page.wait_for_function(
            "left => document.querySelectorAll('#file-faults li').length === left", arg=left
        )
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    page.wait_for_function("() => document.querySelector('#block .name').textContent === 'two desks'")
    assert page.locator(".faults").count() == 0


def clashing(page_again, sheet, mine="# mine\n"):
    """A sheet with text of its own, whose file somebody else has saved meanwhile."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file", allow=REFUSED))
    write(page, mine)
    served.file.write_text(LAB.replace("a cable", "a wire"))
    said(page, "The file has changed on disk.")
    assert typed(page) == (mine + LAB).rstrip("\n") + "\n"
    page.keyboard.press("Control+s")
    page.get_by_role("heading", name="The file has changed on disk").wait_for()
    assert served.file.read_text() == LAB.replace("a cable", "a wire")
    return served, page


def test_what_somebody_else_saved_is_never_written_over(page_again, sheet):
    """Both are shown side by side, and this text stays until its owner has chosen."""
    served, page = clashing(page_again, sheet)
    goes = page.locator(".difference .goes code").all_inner_texts()
    comes = page.locator(".difference .comes code").all_inner_texts()
    assert (goes, comes) == (["outside: {mains: a wire}"], ["# mine", "outside: {mains: a cable}"])
    page.get_by_role("button", name="Decide later").click()
    assert typed(page).startswith("# mine\nlab: two desks\noutside: {mains: a cable}")
    write(page, "# more\n")
    said(page, "The file has changed on disk. Your text is as you left it.")
    page.get_by_role("button", name="See what changed").click()
    page.wait_for_selector("#file-question .difference")
    assert page.locator(".difference .comes code").all_inner_texts()[:2] == ["# more", "# mine"]
    assert served.file.read_text() == LAB.replace("a cable", "a wire")


def test_theirs_may_be_taken(page_again, sheet):
    """The text is theirs then, nothing is left to save, and undo brings the own one back."""
    served, page = clashing(page_again, sheet)
    page.get_by_role("button", name="Take what is on disk").click()
    said(page, "This is what is on disk")
    assert typed(page).startswith("lab: two desks\noutside: {mains: a wire}")
    assert page.locator("#file-save").is_disabled()
    page.keyboard.press("Control+z")
    page.wait_for_function("() => document.querySelector('.cm-line').textContent === '# mine'")
    assert served.file.read_text() == LAB.replace("a cable", "a wire")


def test_the_own_text_may_be_kept(page_again, sheet):
    """After the difference was seen it is written over theirs."""
    served, page = clashing(page_again, sheet)
    page.get_by_role("button", name="Keep mine and save it").click()
    said(page, "Saved at")
    assert served.file.read_text() == "# mine\n" + LAB


def test_both_may_be_joined(page_again, sheet):
    """Both changes are in the text, and saved only on a further word."""
    served, page = clashing(page_again, sheet)
    page.get_by_role("button", name="Join the two").click()
    said(page, "Joined, not saved. No line was changed by both.")
    joined = "# mine\n" + LAB.replace("a cable", "a wire")
    assert typed(page).startswith("# mine\nlab: two desks\noutside: {mains: a wire}")
    assert served.file.read_text() == LAB.replace("a cable", "a wire")
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    assert served.file.read_text() == joined


def test_a_text_that_nobody_edits_follows_the_disk(page_again, sheet):
    """What somebody saves elsewhere is there by itself, and the cursor stays."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file#line-8"))
    served.file.write_text("# theirs\n" + LAB)
    said(page, "The file was read again.")
    assert typed(page).startswith("# theirs\nlab: two desks")
    assert "desk-2" in page.locator(".cm-activeLine").inner_text()


def test_unsaved_text_outlives_leaving_and_coming_back(page_again, sheet):
    """The browser asks before it leaves; afterwards the text is there, unsaved as it was."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file"))
    write(page, "# mine\n")
    said(page, "Not saved.")
    asked = []
    page.on("dialog", lambda dialog: asked.append(dialog.type))
    page.reload()
    ready(page)
    assert asked == ["beforeunload"]
    said(page, "Your text from before is here again")
    assert typed(page).startswith("# mine\n")
    assert served.file.read_text() == LAB
    page.locator("#block a", has_text="Elevation").click()
    page.wait_for_selector(".drawing")
    served.file.write_text("# theirs\n" + LAB)
    page.goto(served.base + "/file")
    ready(page)
    said(page, "The file has changed on disk.")
    assert typed(page).startswith("# mine\n")


def test_the_keyboard_gets_in_and_out(page_again, sheet):
    """Tab indents in the text, Escape and Tab leave it; what does so is told beside it."""
    page = ready(sheet(page_again(LAB), "/file#line-1"))
    page.keyboard.press("Tab")
    assert typed(page).startswith("  lab")
    page.keyboard.press("Escape")
    page.keyboard.press("Tab")
    assert not page.evaluate("document.activeElement.className").startswith("cm-content")
    assert "Escape, then Tab leaves the text" in page.locator("#file-keys").inner_text()
    assert page.locator(".cm-content").get_attribute("aria-describedby") == "file-keys"
    assert page.locator(".cm-content").get_attribute("aria-label").startswith("The text of ")


@pytest.mark.parametrize("ending", ["\r\n", "mixed"])
def test_line_breaks_stay_as_they_are(page_again, sheet, ending):
    """Of one kind or of two, an edit elsewhere leaves each as it was."""
    served = page_again(LAB)
    old = LAB.replace("\n", "\r\n") if ending == "\r\n" else LAB.replace("power:\n", "power:\r\n")
    served.file.write_bytes(old.encode())
    page = ready(sheet(served, "/file#line-1"))
    page.wait_for_function("() => document.querySelector('.cm-line').textContent === 'lab: two desks'")
    page.keyboard.press("End")
    page.keyboard.type("!")
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    assert served.file.read_bytes().decode() == old.replace("two desks", "two desks!")


def test_another_kind_of_line_break_from_the_disk_is_taken_over(page_again, sheet):
    """Somebody turned the file into one with other line breaks: an edit keeps those."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file"))
    theirs = LAB.replace("\n", "\r\n").replace("two desks", "three desks")
    served.file.write_bytes(theirs.encode())
    page.wait_for_function("() => document.querySelector('.cm-line')?.textContent === 'lab: three desks'")
    ready(page)
    write(page, "# mine\n")
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    assert served.file.read_bytes().decode() == "# mine\r\n" + theirs


def test_a_file_that_is_gone_is_told(page_again, sheet):
    """The text stays, nothing is made in its place, and it can be saved once the file is back."""
    served = page_again(LAB)
    page = ready(sheet(served, "/file", allow="status of 400"))
    write(page, "# mine\n")
    served.file.unlink()
    page.keyboard.press("Control+s")
    page.wait_for_function(
        "() => /no file of the lab|no file or folder/.test(document.querySelector('#file-state').textContent)"
    )
    assert not served.file.exists()
    assert typed(page).startswith("# mine")
    served.file.write_text(LAB)
    page.keyboard.press("Control+s")
    said(page, "Saved at")
    assert served.file.read_text() == "# mine\n" + LAB


def test_hostile_text_is_text(page_of, sheet):
    """In the editor, in faults, in a difference and in what is offered nothing is taken for markup."""
    evil = "<img src=x onerror=alert(1)>"
    served = page_of(LAB.replace("desk-2", f"'{evil}'").replace(f"[desk-1, '{evil}']", "desk-1"))
    page = ready(sheet(served, "/file", allow=REFUSED))
    write(page, f"{evil}: 1\n")
    page.wait_for_selector("#file-faults:not([hidden])")
    served.file.write_text(LAB + f"# {evil}\n")
    page.locator("#file-save").click()
    page.get_by_role("heading", name="The file has changed on disk").wait_for()
    assert evil in page.locator("#file-question").inner_text()
    assert page.locator("#sheet img[src='x']").count() == 0


def test_without_scripts_the_text_can_be_read(page_again, sheet):
    """And not changed; it says so."""
    page = sheet(page_again(LAB), "/file", java_script_enabled=False)
    assert page.locator("#file textarea").input_value() == LAB
    assert page.locator("#file textarea").get_attribute("readonly") is not None
    assert "change it in an editor of your own" in page.locator("#file").inner_text()


def test_all_lines_are_printed(page_of, sheet):
    """As they are typed, those too that the editor has not drawn."""
    import pypdfium2

    page = ready(sheet(page_of(OBSERVATORY), "/file"))
    write(page, "# not saved yet\n")
    said(page, "Not saved.")
    printed = pypdfium2.PdfDocument(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    text = "".join(each.get_textpage().get_text_range() for each in printed)
    assert "# not saved yet" in text
    assert "no count is ever lost" in text


RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
}


def violations(page):
    """What a program that reads rules of accessibility has against a page as it is."""
    from axe_playwright_python.sync_playwright import Axe

    return [
        f"{each['id']}: {each['help']}: {[(node['target'], node['failureSummary'][:200]) for node in each['nodes'][:3]]}"
        for each in Axe().run(page, options=RULES).response["violations"]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_of_the_sheet_keeps_the_rules_of_accessibility(page_of, sheet, scheme):
    """With an open list of offers, faults, a question, a difference and a search, by day and night."""
    served = page_of(KITCHEN)
    page = ready(sheet(served, "/file", allow=REFUSED, color_scheme=scheme))
    write(page, "")
    page.keyboard.press("Control+Space")
    page.wait_for_selector(".cm-tooltip-autocomplete")
    assert violations(page) == []
    page.keyboard.press("Escape")
    page.keyboard.type("zzz: 1\n")
    page.keyboard.press("Control+s")
    page.get_by_role("heading", name="The text has").wait_for()
    page.wait_for_selector("#file-faults:not([hidden])")
    assert violations(page) == []
    served.file.write_text(KITCHEN.read_text() + "# theirs\n")
    page.keyboard.press("Escape")
    page.locator("#file-save").click()
    page.wait_for_selector("#file-question .difference")
    page.locator(".cm-content").focus()
    page.keyboard.press("Control+f")
    page.wait_for_selector(".cm-search")
    assert violations(page) == []


def test_a_mend_keeps_the_rules_of_accessibility_and_fits_a_phone(page_again, sheet):
    """By day and night; what is wide scrolls inside itself."""
    served = page_again(LAB)
    finding = next(key(each) for each in study(served.file).findings if each.code == "aim broken")
    for scheme in ("light", "dark"):
        page = sheet(
            served,
            f"/mend?finding={finding}",
            color_scheme=scheme,
            viewport={"width": 375, "height": 700},
        )
        page.wait_for_selector(".offer .difference .comes")
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 375


def test_a_mend_is_written_with_a_click(page_again, sheet):
    """Its difference first, then into the file; the verdict of the page is the new one."""
    served = page_again(LAB)
    finding = next(key(each) for each in study(served.file).findings if each.code == "aim broken")
    page = sheet(served, f"/mend?finding={finding}")
    page.wait_for_selector(".offer .difference .comes")
    assert served.file.read_text() == LAB
    page.locator(".offer button").first.click()
    page.wait_for_selector("#written")
    assert served.file.read_text() != LAB
    page.wait_for_function("() => document.querySelector('#verdict').textContent.includes('met')")
    page.wait_for_function("() => document.querySelector('#mends').textContent.includes('no longer there')")
