"""Does the sheet of the year tell what `odds` and `years` tell?"""

import signal

import pytest
from tests.faces.page.sheets import (
    HOSTILE,
    KITCHEN,
    LONELY,
    MENDED,
    alike,
    answered,
    hold_to_the_page,
    lab,
    made,
    read,
    said,
)

from falsework.errors import FalseworkError
from falsework.faces.cli import odds, years
from falsework.faces.page.year_work import work, work_years
from falsework.lab.digest import digest_of
from falsework.model.build import load

OBSERVATORY = pytest.param(MENDED, marks=pytest.mark.slow)


@pytest.mark.parametrize("of", [KITCHEN, OBSERVATORY])
def test_answers_are_those_of_odds(of, capsys):
    """With ranges, programs get what the command line gives; without, too, but for last binary digits."""
    found = made(work, of).answers
    assert alike(found["odds"], answered(odds.odds_of, odds.Asked(lab=lab(of)), capsys))
    assert found["odds --ranges"] == answered(odds.odds_of, odds.Asked(lab=lab(of), ranges=True), capsys)


@pytest.mark.parametrize("of", [KITCHEN, OBSERVATORY])
def test_answers_are_those_of_years(of, capsys):
    """The same years are drawn as by the command."""
    found = made(work_years, of, count=100).answers["years"]
    assert found == answered(years.years_of, years.Asked(lab=lab(of), years=100), capsys)


@pytest.mark.parametrize("of", [KITCHEN, LONELY, HOSTILE, OBSERVATORY])
def test_the_sheet_is_whole_and_harmless(of):
    """Everything closes and nothing runs, whatever the names in the lab are; so do the years."""
    hold_to_the_page(made(work, of).html)
    hold_to_the_page(made(work_years, of, count=20).html)


def test_every_service_is_told_with_its_range_and_what_stops_it():
    """Each service stands with minutes, 5 to 95 percent, its cut sets and what its figure hangs on."""
    found = made(work, KITCHEN)
    text = said(found.html)
    for each in found.answers["odds"]["services"]:
        assert f"{each['id']} :" in text or f"{each['id']}:" in text
    assert "5 to 95 percent" in text
    assert "the smallest sets of parts" in text
    assert "hangs on" in text
    assert "Mend this first" in text


def test_a_bad_year_is_told():
    """The drawn years tell one that is worse than most."""
    text = said(made(work_years, KITCHEN, count=200).html)
    assert "A bad year" in text
    assert "200 years, seed 1" in text
    assert "drawn, not lived" in text


def test_a_lab_without_services_is_told_what_to_write():
    """Where nothing could be out, the key that is missing is named."""
    text = said(made(work, "falsework: 1\nlab: Parts\nmachines:\n  desk-1: {is: node}\n").html)
    assert "services" in text
    assert "no service" in text


def test_pulled_parts_are_out_beforehand(capsys):
    """With a part pulled, the answer is that of `--out`."""
    found = made(work, KITCHEN, ("desk-1",)).answers["odds"]
    assert alike(found, answered(odds.odds_of, odds.Asked(lab=lab(KITCHEN), out=("desk-1",)), capsys))


def test_more_years_than_anyone_draws_are_refused():
    """A million years and more are a slip, and told as one."""
    with pytest.raises(FalseworkError, match="years"):
        made(work_years, KITCHEN, count=10_000_000)


def test_drawings_can_be_taken_home():
    """Both works leave their drawing as a file."""
    assert made(work, KITCHEN).files["odds.svg"].startswith(b"<svg")
    assert made(work_years, KITCHEN, count=20).files["years.svg"].startswith(b"<svg")
    assert ("href", "/year/odds.svg") in read(made(work, KITCHEN).html).attributes


def test_drawing_years_can_be_stopped_early():
    """Stopped, the years that were drawn by then are told, with a word that there are fewer."""
    path = lab(KITCHEN)
    told = []

    def tell(what, done, of):
        told.append(done)
        if what == "years drawn" and 0 < done < of and len(told) < 4:
            signal.raise_signal(signal.SIGINT)

    before = signal.getsignal(signal.SIGINT)
    found = work_years(str(path), digest_of(load(path).files), (), tell, count=100_000)
    assert signal.getsignal(signal.SIGINT) is before
    drawn = found.answers["years"]
    assert 0 < drawn["years"] < 100_000
    assert "stopped" in said(found.html)
