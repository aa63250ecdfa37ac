"""Do counted take-overs correct how often a service is said or assumed to stumble?"""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, read, refused, told
from tests.model.texts import thing as thing_of

from falsework.engines.reliability.sharing import as_one, beta_between
from falsework.model.stumbling import Stumbled, Stumbles, guess_of

PAIR = "machines: {{n1..2: node}}\nservices: {{mail: {{on: [n1, n2], takes over: 40 s{}}}}}\n"


def mail(more):
    """The service in a lab that says so of it."""
    return thing_of(PAIR.format(more), "mail")


def ends(service):
    """The share that counts, from low to high."""
    return (service.stumbles.low, service.stumbles.high)


def test_a_range_that_was_written_counts_at_its_word():
    """Beta with the ends as 5 and 95 percentiles, then one of twelve more."""
    found = mail(", stumbles: 2..10 %, stumbled: 1 of 12")
    assert ends(found) == pytest.approx(beta_between(0.02, 0.10).updated(1, 12).between)
    assert found.stumbled.corrected.before.low == pytest.approx(0.02)


def test_what_was_assumed_counts_as_one_in_so_many():
    """1 to 5 % have a mean of 2.7 %, so that they count as one in 37."""
    found = mail(", stumbled: 3 of 5 until 2026-11-26")
    guess = found.stumbled.corrected.guess
    assert (guess.failed, guess.trials) == (1.0, pytest.approx(1 / beta_between(0.01, 0.05).mean))
    assert found.stumbled.corrected.belief.mean == pytest.approx(4 / (guess.trials + 5))
    assert found.stumbled.until == "2026-11-26"


def test_one_figure_that_was_written_counts_as_one_in_so_many_too():
    """2 % are one in fifty."""
    assert ends(mail(", stumbles: 2 %, stumbled: 0 of 10")) == pytest.approx(
        as_one(0.02).updated(0, 10).between
    )


def test_without_a_count_nothing_changes():
    """The figure and the assumption stay as they were."""
    assert ends(mail("")) == (0.01, 0.05)
    assert ends(mail(", stumbles: 2 %")) == (0.02, 0.02)


def test_it_is_told_with_what_it_rests_on():
    """Once, in place of the assumption that it corrects."""
    lab = lab_of(PAIR.format(", stumbled: 1 of 12"))
    (found,) = [each for each in lab.assumptions if each.key == "stumbles"]
    assert (found.things, found.value) == (("mail",), "0.741..9.45 %")
    assert found.source == "1 of 12 counted; the 1..5 % of what is assumed counts as 1 of 37.3"


def test_what_can_be_no_belief_is_none():
    """Always and never leave nothing to learn."""
    share = mail(", stumbles: 100 %").stumbles
    assert guess_of(share, written=True) is None


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (
            ", stumbles: 100 %, stumbled: 1 of 3",
            "take-overs of mail were counted, and nothing can be made of how often it stumbles."
            " Give more than 0 and less than 100 %, and no range as wide as all.",
        ),
        (", stumbles: 0 %, stumbled: 1 of 3", "0 % to 0 % is no share. Give more than 0 and at most 100 %."),
    ],
)
def test_a_share_of_which_nothing_can_be_made_is_a_fault(more, message):
    """One message, at the share."""
    (found,) = told(PAIR.format(more))
    assert found == f"lab.yaml:3:61 (services.mail.stumbles): {message}"


@pytest.mark.parametrize("text", ["1 of 12", "0 of 1", "12 of 12 until 2026-11-26 07:35:12"])
def test_a_count_is_read(text):
    """So many of so many, perhaps until some moment."""
    found = read(Stumbles(), text)
    counts, _, until = text.partition(" until ")
    assert found == Stumbled(*map(int, counts.split(" of ")), until)


@pytest.mark.parametrize(
    "text",
    [
        "1", "1 in 12", "5 of 3", "0 of 0", "-1 of 3", "1.5 of 3", "1 of 1e9", "1 of 9999999", "one of two", "1 of 3 until Tuesday",
        "1 of 3 until 2026-11-26T07:35:12+01:00", "²2 of 30", "[1 of 3]", "{a: b}", "''",
    ],
)  # fmt: skip
def test_what_is_no_count_is_refused(text):
    """One message, with its place."""
    (message,) = refused(Stumbles(), text)
    assert message.startswith("lab.yaml:1:4 (k): ")
