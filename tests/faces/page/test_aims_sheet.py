import re
from pathlib import Path

import pytest
from tests.faces.page.asking import client, page_for

from falsework.findings.keyed import key
from falsework.study import study

pytestmark = pytest.mark.slow

DRAFT = Path("examples/observatory/draft.yaml")


@pytest.fixture(scope="module")
def observatory():
    """The sheet of the observatory's first draft, and what its check found."""
    ask = client(page_for(DRAFT))
    ask.get("/aims")
    return ask.get("/aims").text, study(DRAFT), ask


def plain(text):
    """Markup as text."""
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", "", text)).replace("&#39;", "'").replace("&gt;", ">")


def test_every_aim_and_finding_is_told_with_its_place(observatory):
    """The words of the check, each with the address of its line in the file."""
    text, found, _ = observatory
    told = plain(text)
    for aim in found.aims:
        assert f"{aim.says}." in told
    for each in found.findings:
        assert each.says.split(": ", 1)[-1] in told
        if each.where:
            assert f'#line-{each.where.line}"><bdi>{each.where}</bdi></a>' in text


def test_a_broken_aim_leads_to_what_breaks_it(observatory):
    """The elevation with the witness out and the reason asked for answers, and so do the others that break it."""
    text, found, ask = observatory
    addresses = [each.replace("&amp;", "&") for each in re.findall(r'href="(/\?out=[^"]+)"', text)]
    shown = [aim for aim in found.broken if aim.witness is not None]
    assert len(addresses) >= len(shown) > 0
    for aim in shown:
        assert any(f"out={aim.witness.lost[0].replace(' ', '%20')}&" in each for each in addresses)
    assert {ask.get(each).status_code for each in addresses[:12]} == {200}
    assert "Broken by any other one of these too" in text


def test_each_finding_leads_to_its_mend_or_says_why_not(observatory):
    """A link with its key, or one sentence."""
    text, found, _ = observatory
    for each in found.findings:
        assert f"finding={key(each)}" in text or "No edit of the file is offered" in text
    assert f"/mend?finding={key(found.findings[0])}" in text


def test_without_aims_or_findings_it_says_so(tmp_path):
    """And what an aim is."""
    lab = tmp_path / "lab.yaml"
    lab.write_text("lab: x\nmachines: {a: {is: node}}\n")
    ask = client(page_for(lab))
    ask.get("/aims")
    text = ask.get("/aims").text
    assert "An aim is what you want to be true" in text
    assert "names no aims" in text


def test_names_of_the_lab_are_no_markup(tmp_path):
    """Whatever an owner calls things."""
    evil = "<img src=x onerror=alert(1)>"
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        f"lab: x\nmachines: {{'{evil}': {{is: node}}}}\nservices: {{notes: {{on: '{evil}'}}}}\n"
        f"aims: {{'{evil} may go': {{lose: node, at most: thin}}}}\n"
    )
    ask = client(page_for(lab))
    ask.get("/aims")
    text = ask.get("/aims").text
    assert "&lt;img src=x onerror=alert(1)&gt; may go" in text
    assert "<img" not in text
