"""Large labs in a real browser: is one of 300 things readable, and one of 1,000 nodes still at hand?"""

from typing import Any

import pytest

from falsework.invent import invent

pytestmark = pytest.mark.slow
pytest.importorskip("playwright")

WINDOW = {"width": 1400, "height": 900}
LEAST_PX = 9
LETTERS = """() => [...document.querySelectorAll('#drawing text')].filter(each => each.textContent.trim()).map(each => {
  const scale = each.getScreenCTM();
  return [parseFloat(getComputedStyle(each).fontSize) * Math.hypot(scale.a, scale.b), each.textContent];
})"""


def touch(page: Any, name: str) -> Any:
    """What is touched of a thing in the drawing."""
    return page.locator(f'#drawing .thing[data-id="{name}"] > .touch').first


def state(page: Any, name: str) -> Any:
    """The drawing's group of a thing."""
    return page.locator(f'#drawing .thing[data-id="{name}"]').first


def held(page: Any) -> str:
    """The thing of the drawing that has the focus."""
    return page.evaluate("document.activeElement.closest('#drawing .thing')?.dataset.id ?? ''")


def smallest(page: Any) -> tuple[float, str]:
    """The least letters of the drawing as they are on the screen, in px to a tenth, and what they say."""
    size, said = min(page.evaluate(LETTERS))
    return round(size, 1), said


def expect(found: Any) -> Any:
    """Playwright's own waiting, imported where it is wanted."""
    from playwright.sync_api import expect as wait_for

    return wait_for(found)


def nodes(page: Any) -> list[str]:
    """Names of the nodes that can be touched one by one."""
    return page.eval_on_selector_all(
        '#drawing .thing[data-word="node"]:not([data-group]):has(> .touch)',
        "all => all.map(each => each.dataset.id)",
    )


def test_a_lab_of_sixty_nodes_is_readable_and_answers(page_of, sheet):
    """No letters are under 9 px; a pull, its reasons and the way back work, and the letters stay as large."""
    page = sheet(page_of(invent(60, seed=1)), viewport=WINDOW)
    size, said = smallest(page)
    assert size >= LEAST_PX, f"{said!r} is {size:.1f} px"
    assert page.locator("#drawing .thing").count() > 300
    name = nodes(page)[0]
    touch(page, name).click()
    expect(page.locator(".plugs li")).to_have_count(1)
    expect(state(page, name)).to_have_attribute("data-state", "lost")
    assert smallest(page)[0] == pytest.approx(size)
    page.locator("#part").fill("mains")
    page.keyboard.press("Enter")
    expect(page.locator(".plugs li")).to_have_count(2)
    page.locator(".effects a").first.click()
    expect(page.locator(".because li").last).to_contain_text("is lost")
    expect(page.locator("#drawing .chain")).to_have_count(1)
    assert smallest(page)[0] >= LEAST_PX
    page.keyboard.press("z")
    expect(page.locator(".because")).to_have_count(0)


def test_a_lab_of_a_thousand_nodes_is_at_hand(page_of, sheet):
    """It begins folded and readable; a rack opens and folds again, a pull shows, a part is named, the arrows move."""
    page = sheet(page_of(invent(1000, seed=1)), viewport=WINDOW)
    size, said = smallest(page)
    assert size >= LEAST_PX, f"{said!r} is {size:.1f} px"
    assert not nodes(page)
    touch_of_rack = page.locator('#drawing .thing[data-group="rack-3"] > .touch').first
    fold = page.locator('#drawing .fold[data-group="rack-3"]')
    expect(fold).to_have_attribute("aria-expanded", "false")
    fold.focus()
    page.keyboard.press("Enter")
    expect(fold).to_have_attribute("aria-expanded", "true")
    expect(fold).to_be_focused()
    inside = nodes(page)
    assert len(inside) > 20
    assert smallest(page)[0] >= LEAST_PX
    touch(page, inside[0]).click()
    expect(page.locator(".plugs li")).to_have_count(1)
    expect(state(page, inside[0])).to_have_attribute("data-state", "lost")
    expect(touch(page, inside[0])).to_have_attribute("aria-pressed", "true")
    touch(page, inside[0]).focus()
    page.keyboard.press("ArrowDown")
    assert held(page) not in ("", inside[0])
    fold.click()
    expect(fold).to_have_attribute("aria-expanded", "false")
    assert not nodes(page)
    expect(page.locator(".plugs li")).to_have_count(1)  # folded, it is out all the same
    expect(touch_of_rack).to_have_attribute("aria-pressed", "mixed")
    page.locator("#part").press_sequentially("box-7.7.d")
    expect(page.locator("#parts option").first).to_have_attribute("value", "box-7.7.d1")
    page.locator("#part").fill("box-7.7.d9")
    page.keyboard.press("Enter")
    expect(page.locator(".plugs li")).to_have_count(2)
    expect(page.locator(".plugs")).to_contain_text("box-7.7.d9")
