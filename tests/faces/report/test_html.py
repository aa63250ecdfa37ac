"""Is the report one page that says everything, fetches nothing and runs nothing?"""

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest
from tests.faces.report.pictures import DRAFT, HOSTILE, KITCHEN, ROOT

from falsework.faces.report.html import report, verdict
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.study import study, study_lab


@cache
def studied(name):
    """The study of a lab."""
    return study_lab(build(read_text(HOSTILE, "hostile.yaml"))) if name == "hostile" else study(ROOT / name)


@cache
def page(name):
    """Its report."""
    return report(studied(name))


class Read(HTMLParser):
    """Collects tags, attributes, ids and the text that a reader sees."""

    def __init__(self):
        super().__init__()
        self.tags, self.attributes, self.ids, self.text, self._style = set(), [], [], [], False
        self.open = []

    def handle_starttag(self, tag, attrs):
        """Note what is opened."""
        self.tags.add(tag)
        self.attributes.extend(attrs)
        self.ids.extend(value for key, value in attrs if key == "id")
        self._style = tag == "style"
        if tag not in ("meta", "br", "img", "link", "input"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        """Hold each end to the last start."""
        self._style = False
        assert self.open.pop() == tag

    def handle_data(self, data):
        """Note what a reader sees."""
        if not self._style:
            self.text.append(data)


def parsed(name):
    """The report, read."""
    read = Read()
    read.feed(page(name))
    assert read.open == []
    return read


each_page = pytest.mark.parametrize("name", [KITCHEN, DRAFT, "hostile"])


@each_page
@pytest.mark.slow
def test_the_page_runs_and_fetches_nothing(name):
    """No script, no handler, no address to fetch; every element that opens closes."""
    read = parsed(name)
    assert read.tags.isdisjoint({"script", "link", "img", "iframe", "object", "embed", "form", "b"})
    assert not [key for key, _ in read.attributes if key.startswith("on")]
    assert all(value.startswith("#") for key, value in read.attributes if key in ("href", "src"))
    outside = re.findall(r"(?:https?:)?//[^\s\"'<)]+", page(name))
    assert set(outside) <= {"http://www.w3.org/2000/svg", "//www.w3.org/2000/svg"}
    assert "@import" not in page(name)


@pytest.mark.slow
@each_page
def test_ids_are_unique_on_the_whole_page(name):
    """Three drawings share the page without sharing an id."""
    read = parsed(name)
    assert len(read.ids) == len(set(read.ids))


@each_page
def test_links_lead_somewhere(name):
    """Each link within the page has its target."""
    read = parsed(name)
    assert {value[1:] for key, value in read.attributes if key == "href"} <= set(read.ids)


def test_the_verdict_stands_on_top():
    """The sentence with the counts of broken and unjudged aims precedes everything else."""
    found = studied(DRAFT)
    broken = sum(1 for aim in found.aims if aim.met is False)
    assert broken > 1
    text = " ".join(parsed(DRAFT).text)
    assert f"{broken} of {len(found.aims)} aims are broken" in text
    assert text.index("aims are broken") < text.index("Elevation")


@pytest.mark.parametrize(
    ("met", "said"),
    [
        ((), "names no aims"),
        ((True, True), "All 2 aims are met"),
        ((False, True), "1 of 2 aims is broken"),
        ((False, False, None), "2 of 3 aims are broken, 1 is not judged"),
        ((True, None), "No aim is broken, 1 of 2 is met, 1 is not judged"),
        ((None, None), "None of the 2 aims could be judged"),
    ],
)
def test_the_verdict_counts(met, said):
    """One sentence for each mix of met, broken and unjudged aims."""
    found = studied(DRAFT)
    aims = tuple(replace(found.aims[0], met=each) for each in met)
    assert said in verdict(replace(found, aims=aims))


def test_everything_found_is_told():
    """Each aim and finding is on the page with its place and its mend."""
    text = re.sub(r"\s+", " ", " ".join(parsed(DRAFT).text))
    for aim in studied(DRAFT).aims:
        assert aim.name in text
        assert str(aim.where) in text
    for finding in studied(DRAFT).findings:
        assert finding.mend in text
        assert finding.code == "aim broken" or finding.says in text
        assert finding.where is None or str(finding.where) in text
        assert finding.caution in text


def test_assumed_figures_have_their_source():
    """Each assumed figure stands with key, value and source."""
    text = " ".join(parsed(KITCHEN).text)
    for each in studied(KITCHEN).lab.assumptions:
        assert each.key in text
        assert each.value in text
        assert each.source in text


def test_cautions_stand_beside_what_can_hurt():
    """Power and data figures defer to codes, makers and licensed practice."""
    text = " ".join(parsed(DRAFT).text)
    assert "local electrical codes, makers' instructions and licensed practice" in text
    assert "make sure that a copy you have restored from exists elsewhere" in text


def test_hostile_text_is_only_text():
    """Markup, templates and turning marks of a lab are shown, not obeyed."""
    text = " ".join(parsed("hostile").text)
    assert "<script>alert(1)</script>" in text
    assert "<b>bold</b> aim & {{ 7*7 }}" in text
    assert "\u202e" not in page("hostile")
    assert "onerror=alert(1)> 'quoted' {{ 7*7 }}" in text


def test_the_same_study_gives_the_same_page():
    """Nothing of the clock or of chance is in the page."""
    assert report(studied(KITCHEN)) == page(KITCHEN)
