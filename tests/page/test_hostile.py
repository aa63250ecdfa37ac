import json
from urllib.parse import quote

import pytest
from tests.page.conftest import settled

from falsework.faces.page.sheets import SHEETS

HOSTILE = [
    "<script>alert(1)</script>",
    "</title><script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)>",
    "]]><svg onload=alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "javascript:alert(1)",
    "&lt;b&gt;",
    "</style><style>*{color:red}",
    "<!--",
]
q = [json.dumps(each) for each in HOSTILE]
LAB = f"""falsework: 1
lab: {q[1]}
about: {q[0]}
kinds:
  box<b: {{is: node, cores: 4, memory: 16 GiB, drives: 1 disk</svg, draws: 12..45 W, firmware: {q[0]}, batch: {q[2]}, about: {q[3]}, price: 10}}
  disk</svg: {{is: drive, size: 500 GB, about: {q[6]}}}
outside:
  mains<!--: {q[0]}
power:
  socket<img src=x onerror=alert(1): {{is: circuit, fed by: mains<!--, volts: 230 V, breaker: 16 A}}
  strip</script: {{is: strip, fed by: socket<img src=x onerror=alert(1), outlets: 6}}
machines:
  desk<script-1..3: {{kind: box<b, fed by: strip</script, about: {q[4]}}}
  hub</a: {{is: switch, ports: 8, fed by: strip</script}}
wire:
  cables:
    - desk<script-* -- hub</a
services:
  names<img src=x onerror=alert(1): [desk<script-1, desk<script-2]
  files</main: {{on: desk<script-*, serves: majority, about: {q[7]}}}
  pages<svg onload=alert(1): {{on: [desk<script-1, desk<script-3], needs: [names<img src=x onerror=alert(1), files</main]}}
aims:
  one less<iframe src=javascript:alert(1): {{lose: node, at most: thin}}
  never<style: {{lose: strip</script, at most: thin}}
"""

"""A lab that says something hostile wherever it may say anything."""

PULLED = "desk%3Cscript-1"
MARKUP = ("<script>alert", "<img src=x", "<svg onload", "<iframe src", "<style>*")
STRANGE = """() => {
  const strange = [...document.querySelectorAll("body script, iframe, img, object, embed, base, main style, #block style")];
  const acting = [...document.querySelectorAll("*")].filter((each) =>
    [...each.attributes].some((said) => said.name.startsWith("on") || /^\\s*javascript:/i.test(said.value)
      && ["href", "src", "action", "xlink:href"].includes(said.name)));
  return [...strange, ...acting].map((each) => each.outerHTML.slice(0, 200));
}"""


@pytest.mark.slow
def test_hostile_text_stays_text_on_every_sheet(page_kept, sheet):
    """Names and texts full of markup become text: in the source, in the document, and after the work is done."""
    served = page_kept(LAB)
    for each in SHEETS:
        for asked in (
            "",
            f"?out={PULLED}",
            f"?out={PULLED}&why=files%3C%2Fmain&at=10&look={PULLED}&open={PULLED}",
        ):
            answer = served.get(each.path + asked)
            assert answer.status == 200, each.path
            assert not [said for said in MARKUP if said in answer.text], each.path
    page = sheet(served)
    for each in SHEETS:
        page.goto(f"{served.base}{each.path}?out={PULLED}")
        settled(page)
        assert page.evaluate(STRANGE) == [], each.path
        assert page.title().count("<script>") == 1  # as text: it is the name of the lab


@pytest.mark.slow
def test_hostile_addresses_stay_text(page_kept, sheet):
    """What a link from elsewhere may put into the address is text too."""
    served = page_kept(LAB)
    page = sheet(served, allow="status of 4")
    for said in HOSTILE:
        given = quote(said, safe="")
        page.goto(f"{served.base}/?out={given}&why={given}&at={given}&open={given}&look={given}&may={given}")
        assert page.evaluate(STRANGE) == []
        for path in (f"/{given}", f"/answers/lose?out={given}", f"/answers/{given}", f"/file?file={given}"):
            answer = served.get(path)
            assert 400 <= answer.status < 500, path
            if "json" not in answer.headers["content-type"]:
                assert not [each for each in MARKUP if each in answer.text], path


@pytest.mark.slow
def test_json_for_programs_is_not_taken_for_a_page(page_kept):
    """Answers to programs say what they are, so that no browser makes a page of the text in them."""
    served = page_kept(LAB)
    answer = served.get(f"/answers/lose?out={PULLED}")
    assert answer.headers["content-type"].startswith("application/json")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert json.loads(answer.text)["lab"] == HOSTILE[1]
