"""Plugs pulled in a real browser: by mouse, by keyboard, through time, back again, and by an address alone."""

import re
from typing import Any

import pytest
from tests.page.conftest import KITCHEN, addressed, settled

pytestmark = pytest.mark.slow
pytest.importorskip("playwright")

BATTERY = """\
falsework: 1
lab: Half an hour
power:
  circuit: {is: circuit, volts: 230 V, breaker: 16 A}
  battery: {is: ups, fed by: circuit, runs: {300 W: 30 min}}
  wall: {is: strip}
machines:
  a: {is: node, fed by: battery, draws: 300 W}
  b: {is: node, fed by: wall}
  c: {is: node, fed by: circuit}
services:
  mail: {on: [a, b], takes over: 40 s}
  names: [a]
  web: [c]
"""


def touch(page: Any, name: str) -> Any:
    """What is touched of a thing in the drawing."""
    return page.locator(f'#drawing .thing[data-id="{name}"] > .touch').first


def plugs(page: Any) -> Any:
    """The list of what is out."""
    return page.locator(".plugs li")


def held(page: Any) -> str:
    """The thing of the drawing that has the focus."""
    return page.evaluate("document.activeElement.closest('.thing')?.dataset.id ?? ''")


def state(page: Any, name: str) -> Any:
    """The drawing's group of a thing."""
    return page.locator(f'#drawing .thing[data-id="{name}"]').first


def expect(found: Any) -> Any:
    """Playwright's own waiting, imported where it is wanted."""
    from playwright.sync_api import expect as wait_for

    return wait_for(found)


def test_a_click_pulls_a_plug_and_a_second_puts_it_back(page_kept, sheet):
    """The drawing, the notes and the address say so without a new page; nothing is left out of step."""
    page = sheet(page_kept(KITCHEN))
    page.evaluate("window.same = true")
    touch(page, "hub").click()
    expect(plugs(page)).to_have_count(1)
    expect(page.locator("#tally")).to_have_text("3 fall")
    expect(state(page, "hub")).to_have_attribute("data-state", "lost")
    expect(state(page, "names")).to_have_attribute("data-state", "falls")
    addressed(page, "out=hub")
    assert touch(page, "hub").get_attribute("aria-pressed") == "true"
    touch(page, "hub").click()
    expect(plugs(page)).to_have_count(0)
    expect(state(page, "names")).to_have_attribute("data-state", "stands")
    assert page.evaluate("window.same") is True


def test_back_is_undo_and_so_is_the_key_and_the_button(page_kept, sheet):
    """Three ways lead to what was there before; Forward does it again."""
    page = sheet(page_kept(KITCHEN))
    touch(page, "desk-1").click()
    expect(plugs(page)).to_have_count(1)
    touch(page, "desk-2").click()
    expect(plugs(page)).to_have_count(2)
    page.go_back()
    expect(plugs(page)).to_have_count(1)
    page.go_forward()
    expect(plugs(page)).to_have_count(2)
    page.keyboard.press("z")
    expect(plugs(page)).to_have_count(1)
    touch(page, "desk-3").click()
    expect(plugs(page)).to_have_count(2)
    page.locator("#undo").click()
    expect(plugs(page)).to_have_count(1)
    expect(plugs(page)).to_contain_text("desk-1")


def test_the_letter_z_in_a_field_is_a_letter(page_kept, sheet):
    """Typing a name undoes nothing."""
    page = sheet(page_kept(KITCHEN), "/?out=desk-1")
    page.locator("#part").press_sequentially("z")
    expect(page.locator("#part")).to_have_value("z")
    expect(plugs(page)).to_have_count(1)


def test_a_shared_address_shows_the_same(page_kept, sheet):
    """What one sees after pulling, moving in time and asking why, another sees by the address, word for word."""
    served = page_kept(BATTERY)
    page = sheet(served)
    touch(page, "circuit").click()
    expect(plugs(page)).to_have_count(1)
    page.locator(".ticks a", has_text=re.compile("^30 min$")).click()
    expect(page.locator("#axis-said")).to_contain_text("30 min after")
    page.locator(".effects a").first.click()
    expect(page.locator(".because")).to_be_visible()
    addressed(page, "why=", "at=")
    other = sheet(served, page.url.removeprefix(served.base))
    for part in ("#notes", "#tally", "#axis-said", "#drawing"):
        assert other.locator(part).inner_text() == page.locator(part).inner_text()


def test_the_slider_follows_the_fall_times(page_kept, sheet):
    """Before the battery is empty mail stands, at that moment it is down, then it is back; names stay down."""
    page = sheet(page_kept(BATTERY), "/?out=circuit")
    slider = page.locator("#time")
    slider.focus()
    slider.press("Home")
    expect(page.locator("#tally")).to_have_text("1 is down · 2 stand and fall later")
    expect(state(page, "mail")).to_have_attribute("data-state", "waits")
    for _ in range(3):
        slider.press("ArrowRight")
    expect(page.locator("#axis-said")).to_contain_text("10 min after")
    expect(state(page, "names")).to_have_attribute("data-state", "waits")
    slider.press("ArrowRight")
    expect(state(page, "mail")).to_have_attribute("data-state", "blinks")
    expect(state(page, "names")).to_have_attribute("data-state", "falls")
    slider.press("ArrowRight")
    expect(state(page, "mail")).to_have_attribute("data-state", "back")
    assert slider.get_attribute("aria-valuetext").startswith("30 min") or "31 min" in slider.get_attribute(
        "aria-valuetext"
    )
    assert page.evaluate("document.activeElement.id") == "time"
    addressed(page, "at=1840")
    page.go_back()
    expect(page.locator("#axis-said")).to_have_text("What comes of it in the end")
    addressed(page, without="at=")


def test_while_the_slider_is_dragged_the_newest_answer_wins(page_kept, sheet):
    """A slow answer to an older moment does not overwrite that to a newer one."""
    page = sheet(page_kept(BATTERY), "/?out=circuit", allow="ERR_ABORTED|aborted")
    waiting = []
    page.route(re.compile("at=10(&|$)"), lambda route: waiting.append(route))
    slider = page.locator("#time")
    slider.focus()
    slider.press("Home")
    expect(page.locator("#tally")).to_contain_text("1 is down")
    slider.press("ArrowRight")  # ten seconds: not answered yet
    for _ in range(3):
        slider.press("ArrowRight")
    expect(page.locator("#tally")).to_contain_text("3 are down")
    assert waiting
    waiting[0].abort()
    expect(page.locator("#tally")).to_contain_text("3 are down")


def test_a_chain_of_reasons_leads_from_the_service_to_the_plug(page_kept, sheet):
    """Why draws the chain and lists it, each step with its place; the place leads to the line of the file."""
    page = sheet(page_kept(KITCHEN), "/?out=strip")
    page.locator(".effects a").first.click()
    steps = page.locator(".because ol.why li")
    expect(steps.last).to_contain_text("strip is lost")
    expect(page.locator("#drawing .chain")).to_have_count(1)
    href = steps.last.locator("a.where").get_attribute("href")
    assert re.search(r"^/file\?file=.+#line-\d+$", href)


def test_may_it_be_taken_down_is_asked_without_pulling_it(page_kept, sheet):
    """The answer comes with what to do first, and nothing more is out than before."""
    page = sheet(page_kept(KITCHEN), "/?look=desk-1")
    page.locator("a.act", has_text="desk-1").click()
    expect(page.locator(".may .answer")).to_contain_text("Yes, but")
    expect(page.locator(".may .first li").first).to_contain_text("alone until it is back")
    expect(plugs(page)).to_have_count(0)
    page.locator("#part").fill("hub")
    page.locator("button[name=ask]").click()
    expect(page.locator(".may .answer")).to_contain_text("No: names falls at once")
    expect(plugs(page)).to_have_count(0)


def test_the_keyboard_alone_does_it_all(page_kept, sheet):
    """Tab reaches the drawing once, arrows move on in it, Enter and Space pull, and the focus stays on the thing."""
    page = sheet(page_kept(KITCHEN))
    for _ in range(30):
        page.keyboard.press("Tab")
        if held(page):
            break
    first = held(page)
    assert first
    page.keyboard.press("Tab")
    assert not page.evaluate("document.activeElement.matches('#drawing .touch')")
    page.keyboard.press("Shift+Tab")
    assert held(page) == first
    seen = {first}
    for key in ("ArrowDown",) * 40:
        page.keyboard.press(key)
        seen.add(held(page))
    assert len(seen) > 3
    page.keyboard.press("End")
    page.keyboard.press("Home")
    touch(page, "desk-2").focus()
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
        if held(page) == "desk-1":
            break
    assert held(page) == "desk-1"
    touch(page, "desk-2").focus()
    page.keyboard.press("Enter")
    expect(plugs(page)).to_have_count(1)
    expect(touch(page, "desk-2")).to_be_focused()
    page.keyboard.press("Space")
    expect(plugs(page)).to_have_count(0)
    expect(touch(page, "desk-2")).to_be_focused()
    assert touch(page, "desk-2").get_attribute("tabindex") == "0"
    assert page.locator('#drawing .touch[tabindex="0"]').count() == 1


def test_a_part_is_pulled_by_its_name(page_kept, sheet):
    """Names are offered while one types; a name that is none is told with the nearest."""
    page = sheet(page_kept(KITCHEN), allow="404")
    page.locator("#part").press_sequentially("desk-1.s")
    expect(page.locator("#parts option").first).to_have_attribute("value", "desk-1.supply-1")
    page.locator("#part").fill("desk-1.supply-1")
    page.keyboard.press("Enter")
    expect(plugs(page)).to_contain_text("desk-1.supply-1")
    page.locator("#part").fill("hubb")
    page.keyboard.press("Enter")
    expect(page.locator("#notes [role=alert]")).to_contain_text("Did you mean 'hub'?")
    expect(plugs(page)).to_have_count(1)


def test_the_count_is_read_aloud(page_kept, sheet):
    """A screen reader hears what a pull does: the live region has the count line."""
    page = sheet(page_kept(KITCHEN))
    touch(page, "hub").click()
    expect(page.locator("#live")).to_have_text("3 fall")
    touch(page, "hub").click()
    expect(page.locator("#live")).to_have_text("Nothing is pulled")


def test_zoom_is_kept_over_a_pull_and_goes_back_to_fit(page_kept, sheet):
    """Buttons, keys and the wheel with Ctrl change the size; a pull keeps it, and its place."""
    page = sheet(page_kept(KITCHEN))

    def size():
        return page.evaluate("document.querySelector('#drawing svg').getBoundingClientRect().width")

    fit = size()
    page.locator("[data-zoom=in]").click()
    assert size() == pytest.approx(fit * 1.4, rel=0.01)
    touch(page, "hub").focus()
    page.keyboard.press("+")
    larger = size()
    assert larger > fit * 1.8
    place = page.evaluate("[drawing.scrollLeft, drawing.scrollTop]")
    page.keyboard.press("Enter")
    expect(plugs(page)).to_have_count(1)
    assert size() == pytest.approx(larger, rel=0.01)
    assert page.evaluate("[drawing.scrollLeft, drawing.scrollTop]") == pytest.approx(place, abs=2)
    page.keyboard.press("0")
    assert size() == pytest.approx(fit, rel=0.01)
    touch(page, "desk-1").hover()
    page.mouse.wheel(0, 200)
    assert size() == pytest.approx(fit, rel=0.01)
    page.keyboard.down("Control")
    page.mouse.wheel(0, -200)
    page.keyboard.up("Control")
    page.wait_for_selector("#drawing.zoomed")
    assert size() > fit


def test_a_drag_moves_the_drawing_and_pulls_nothing(page_kept, sheet):
    """What is pressed on and moved is not clicked."""
    page = sheet(page_kept(KITCHEN))
    for _ in range(3):
        page.locator("[data-zoom=in]").click()
    touch(page, "desk-2").scroll_into_view_if_needed()
    box = touch(page, "desk-2").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = page.evaluate("drawing.scrollLeft")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y, steps=4)
    page.mouse.up()
    assert page.evaluate("drawing.scrollLeft") == pytest.approx(before + 40, abs=2)
    expect(plugs(page)).to_have_count(0)
    addressed(page, without="out=")


def test_two_fingers_zoom(page_kept, sheet):
    """Spreading two fingers on the drawing makes it larger."""
    page = sheet(page_kept(KITCHEN), has_touch=True, viewport={"width": 375, "height": 800})
    fit = page.evaluate("document.querySelector('#drawing svg').getBoundingClientRect().width")
    tool = page.context.new_cdp_session(page)
    box = page.locator("#drawing").bounding_box()
    x, y = box["x"] + 150, box["y"] + 120

    def fingers(kind: str, apart: float) -> None:
        points = [] if kind == "touchEnd" else [{"x": x - apart, "y": y}, {"x": x + apart, "y": y}]
        tool.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", 20)
    for apart in (30, 40, 60):
        fingers("touchMove", apart)
    fingers("touchEnd", 0)
    page.wait_for_selector("#drawing.zoomed")
    assert page.evaluate("document.querySelector('#drawing svg').getBoundingClientRect().width") > fit * 2


def test_hovering_shows_what_leans_on_a_thing_and_what_it_leans_on(page_kept, sheet):
    """Over the strip: the machines and services above it; over a service: its machines and what feeds them."""
    page = sheet(page_kept(KITCHEN))
    touch(page, "strip").hover()
    expect(state(page, "desk-1")).to_have_class(re.compile(r"\bover\b"))
    expect(state(page, "names")).to_have_class(re.compile(r"\bover\b"))
    expect(state(page, "socket")).to_have_class(re.compile(r"\bunder\b"))
    expect(page.locator("#asked")).to_contain_text("pages, files, names lean on it")
    touch(page, "names").hover()
    expect(state(page, "names")).to_have_class(re.compile(r"\bself\b"))
    expect(state(page, "desk-1")).to_have_class(re.compile(r"\bunder\b"))
    page.mouse.move(2, 2)
    expect(page.locator("#drawing.asking")).to_have_count(0)


def test_without_scripts_links_and_the_form_do_the_same(page_kept, sheet):
    """A touch is a link, time is a row of links, and a part is named in a form."""
    served = page_kept(BATTERY)
    page = sheet(served, java_script_enabled=False)
    page.locator("#part").fill("circuit")
    page.locator("form.pull button").first.click()
    expect(plugs(page)).to_have_count(1)
    page.locator(".ticks a", has_text=re.compile("^10 min$")).click()
    expect(page.locator("#axis-said")).to_contain_text("10 min after")
    page.goto(served.base + touch(page, "b").get_attribute("href"))
    expect(plugs(page)).to_have_count(2)
    page.locator(".plugs a").first.click()
    expect(plugs(page)).to_have_count(1)
    page.locator("#part").fill("c")
    page.locator("button[name=ask]").click()
    expect(page.locator(".may")).to_contain_text("May c be taken down now?")
    expect(plugs(page)).to_have_count(1)


def test_no_rule_of_accessibility_is_broken_with_something_out(page_kept, sheet):
    """With plugs pulled, a moment, a chain and an answer on the page, no rule of WCAG 2.2 AA is broken, day or night."""
    from axe_playwright_python.sync_playwright import Axe

    served = page_kept(BATTERY)
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    for scheme in ("light", "dark"):
        page = sheet(served, "/?out=circuit&at=600&why=mail&may=circuit", color_scheme=scheme)
        settled(page)
        for fold in page.locator("details").all():
            fold.evaluate("fold => fold.open = true")
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": tags}})
        assert [
            (each["id"], [node["target"] for node in each["nodes"]]) for each in found.response["violations"]
        ] == []


def test_print_has_the_drawing_and_the_notes_and_no_buttons(page_kept, sheet):
    """What is printed tells the same: the count, the chain, the services; what can only be pressed is left out."""
    import io

    import pypdfium2

    page = sheet(page_kept(BATTERY), "/?out=circuit&why=mail")
    printed = pypdfium2.PdfDocument(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    text = " ".join(each.get_textpage().get_text_range() for each in printed)
    assert "Why mail is interrupted" in text
    assert "mail" in text
    assert "circuit is lost" in text
    assert "Plug all back" not in text
    assert "Pull its plug" not in text


def test_a_save_that_takes_a_pulled_part_away_says_so_and_keeps_the_rest(page_of, sheet):
    """What is out stays out over a save; a part that the file no longer has is told, and comes back with it."""
    served = page_of(KITCHEN)
    page = sheet(served, "/?out=hub&out=desk-1", allow="404")
    expect(plugs(page)).to_have_count(2)
    text = served.file.read_text(encoding="utf-8")
    served.file.write_text(text.replace("hub", "switch-9"), encoding="utf-8")
    expect(page.locator("#notes [role=alert]")).to_contain_text("no part is called 'hub'")
    expect(plugs(page)).to_have_count(1)
    expect(plugs(page)).to_contain_text("desk-1")
    served.file.write_text(text, encoding="utf-8")
    expect(plugs(page)).to_have_count(2)
    expect(page.locator("#notes [role=alert]")).to_have_count(0)


def test_what_is_typed_and_unfolded_stays_over_a_save(page_of, sheet):
    """A save while somebody types takes neither the letters nor the focus away, nor folds what was unfolded."""
    served = page_of(KITCHEN)
    page = sheet(served, "/?out=desk-1")
    settled(page)
    page.locator("#notes summary").first.click()
    page.locator("#part").press_sequentially("desk-")
    text = served.file.read_text(encoding="utf-8")
    served.file.write_text(text.replace("Kitchen shelf", "Kitchen shelf again"), encoding="utf-8")
    expect(page.locator("#block .name")).to_have_text("Kitchen shelf again")
    settled(page)
    expect(page.locator("#part")).to_have_value("desk-")
    expect(page.locator("#part")).to_be_focused()
    assert page.locator("#notes details").first.get_attribute("open") is not None


def test_nothing_is_swapped_under_a_slider_that_is_held(page_of, sheet):
    """A save while the slider is dragged waits until it is let go; then the new lab is shown at that moment."""
    served = page_of(BATTERY)
    page = sheet(served, "/?out=circuit")
    settled(page)
    slider = page.locator("#time")
    box = slider.bounding_box()
    y = box["y"] + box["height"] / 2
    slider.evaluate("slider => { slider.mine = true }")
    page.mouse.move(box["x"] + box["width"] - 12, y)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, y, steps=5)
    served.file.write_text(BATTERY.replace("Half an hour", "Another half"), encoding="utf-8")
    expect(page.locator("#live")).to_have_text("The file was read again.")
    assert page.locator("#time").evaluate("slider => slider.mine === true")
    page.mouse.move(box["x"] + 12, y, steps=5)
    expect(page.locator("#tally")).to_have_text("1 is down · 2 stand and fall later")
    page.mouse.up()
    expect(page.locator("#block .name")).to_have_text("Another half")
    expect(page.locator("#tally")).to_have_text("1 is down · 2 stand and fall later")
    addressed(page, "at=0")
