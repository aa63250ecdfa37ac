"""Does the sheet of failures lead from each loss to the elevation, and show what is asked for?"""

import re
from urllib.parse import parse_qsl, urlsplit

import pytest
from tests.faces.page.asking import client, page_for
from tests.faces.page.sheets import HOSTILE, KITCHEN, LONELY, hold_to_the_page, lab, read, said
from tests.faces.report.pictures import standing

from falsework.analyses.verdicts import Verdict, lose


def asked(of, address="/failures"):
    """The sheet of a lab, worked out."""
    return client(page_for(lab(of))).get(address, headers={"HX-Request": "true"})


def sheet(of, address="/failures"):
    """Its markup, in `<main>`."""
    text = asked(of, address).text
    return text[text.index("<main") : text.index("</main>")].partition(">")[2]


def links(html, start):
    """Addresses that begin so, with their questions."""
    found = [value for key, value in read(html).attributes if key == "href" and value.startswith(start)]
    return [(urlsplit(each).path, parse_qsl(urlsplit(each).query)) for each in found]


@pytest.mark.parametrize("of", [KITCHEN, LONELY, HOSTILE])
def test_the_sheet_is_whole_and_harmless(of):
    """Everything closes and nothing runs, whatever the names in the lab are."""
    hold_to_the_page(sheet(of))


def test_every_loss_that_hurts_leads_to_the_elevation():
    """Each part whose loss does something stands there once in words, with the address that pulls it."""
    html = sheet(KITCHEN)
    pulled = {value for path, query in links(html, "/?") for key, value in query if key == "out"}
    lab_ = standing(KITCHEN)
    for part in lab_.parts:
        loss = lose(lab_, (part,))
        if loss.worst >= Verdict.BLINKS:
            assert part in pulled, part


def test_a_mark_leads_to_the_reason():
    """Each address that asks why names a service that the loss in it hurts."""
    lab_ = standing(KITCHEN)
    asks = [dict(query) for _, query in links(sheet(KITCHEN), "/?") if "why" in dict(query)]
    assert asks
    for each in asks:
        assert lose(lab_, (each["out"],)).of(each["why"]).verdict >= Verdict.BLINKS


def test_one_service_can_be_asked_for():
    """With a service, only losses that hurt it are told; with a kind, only those of that kind."""
    lab_ = standing(KITCHEN)
    service = lab_.support.services[0]
    html = sheet(KITCHEN, f"/failures?of={service}")
    heads = re.findall(r'<th scope="row">(.*?)</th>', html, flags=re.DOTALL)
    names = re.findall(r"<bdi>(.*?)</bdi></a>", " ".join(heads))
    assert names
    assert all(lose(lab_, (name,)).of(service).verdict > Verdict.STANDS for name in names)
    kinds = re.findall(
        r"<bdi>(.*?)</bdi></a>",
        " ".join(
            re.findall(r'<th scope="row">(.*?)</th>', sheet(KITCHEN, "/failures?is=node"), flags=re.DOTALL)
        ),
    )
    assert kinds
    assert {lab_.support.things[name].word for name in kinds} == {"node"}


def test_only_what_breaks_an_aim():
    """With `only=aims` every loss told breaks one, and the aim is named beside it."""
    html = sheet(KITCHEN, "/failures?only=aims")
    rows = re.findall(r'<th scope="row">(.*?)</th>', html, flags=re.DOTALL)
    for row in rows:
        assert row.count("breaks") == row.count("</a>")
    text = said(html)
    assert ("break an aim" in text) or ("breaks an aim" in text)


def test_what_is_pulled_stays_pulled():
    """With a part out, every address keeps it, and the loss comes on top."""
    html = sheet(KITCHEN, "/failures?out=desk-1")
    asks = [[value for key, value in query if key == "out"] for _, query in links(html, "/?out")]
    assert asks
    assert all(each[0] == "desk-1" for each in asks)
    assert "With desk-1 out beforehand" in said(html)


@pytest.mark.parametrize(
    "address", ["/failures?of=%3Cb%3E", "/failures?is=no+such+kind", "/failures?only=x&of=&is="]
)
def test_questions_without_sense_are_answered(address):
    """What no loss is like is said, or changes nothing."""
    found = asked(KITCHEN, address)
    assert found.status_code == 200
    hold_to_the_page(sheet(KITCHEN, address))
