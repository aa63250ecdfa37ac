from __future__ import annotations

import re

import pytest

from falsework.analyses.order import Order, Slip
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.findings.rules.raising import order
from falsework.where import Where

PLACE = Where("lab.yaml", 12, 7)
KINDS = re.findall(r"`([a-z ]+)`\s+\(", Slip.__doc__)


def told(what, step=3, thing="pages", on="laptop", never=("way in", "print")):
    """The finding about one slip."""
    slip = Slip(what=what, step=step, thing=thing, on=on, where=PLACE)
    (finding,) = order(Order(slips=(slip,), broken=((),) * step, never=never))
    return finding


@pytest.mark.parametrize("what", KINDS)
def test_every_slip_is_told_with_its_place_and_a_mend(what):
    """Whatever may be wrong is said in a sentence that names the thing, with a mend and the place."""
    finding = told(what)
    assert finding.where == PLACE
    assert finding.mend
    assert "{" not in finding.says + finding.mend
    assert finding.code == "order"
    assert any(name in finding.says for name in ("pages", "laptop", "way in"))


def test_all_kinds_of_slip_are_described():
    """The description of a slip lists them all."""
    assert len(KINDS) == 15
    assert {"unmet", "two owners", "left", "state", "never"} <= set(KINDS)


@pytest.mark.parametrize(
    ("what", "says", "mend"),
    [
        (
            "unmet",
            "step 3: pages needs laptop, which is not there yet",
            "bring laptop before, or lend a stand-in for it",
        ),
        (
            "state",
            "step 3 takes away laptop, and pages, which it held, was never moved",
            "add moves: pages to the step that brings its permanent home, or to this one",
        ),
        (
            "never",
            "no step brings way in and print",
            "add them to the brings: of the steps that make them, or to built: under today",
        ),
        (
            "on itself",
            "step 3: pages needs laptop, and is itself what stands in for laptop",
            "take the need away, or name another provider beside laptop",
        ),
    ],
)
def test_the_words_of_a_slip(what, says, mend):
    """Whole sentences, as they are shown."""
    finding = told(what)
    assert (finding.says, finding.mend) == (says, mend)


def test_what_can_hurt_is_cautioned():
    """Data that may be lost, and power that trips."""
    assert told("state").caution == DATA_CAUTION
    assert told("trips").caution == POWER_CAUTION
    assert told("unmet").caution == ""
