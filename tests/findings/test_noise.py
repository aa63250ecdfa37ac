"""Is a room told of that is too loud for those who stay in it, and no other?"""

from __future__ import annotations

from tests.model.texts import lab_of

from falsework.findings.finding import CODES, NOISE_CAUTION, Level
from falsework.findings.rules.noise import loud

TEXT = """
places: {mill: {is: room, heard from: 1 m, stayed in: 4 h}}
machines: {saw-1..2: {is: node, in: mill, noise: 88 dB}}
"""


def test_too_loud():
    """Four hours at 91 dB are twice what one limit allows."""
    (found,) = loud(lab_of(TEXT))
    assert (found.code, found.level, found.things) == ("too loud", Level.REMARK, ("mill", "saw-1", "saw-2"))
    assert found.code in CODES
    assert found.says == "mill has 91 dB: NIOSH 98-126 allows 2 h a day, and somebody stays 4 h"
    assert found.why == (
        "saw-1 and saw-2 alone make 91 dB of it",
        "that stay is 200 % of a day's dose by NIOSH 98-126",
    )
    assert found.mend == "take saw-1 and saw-2 out of it, or stay for less long, or wear ear protection"
    assert (found.caution, found.where is not None) == (NOISE_CAUTION, True)


def test_a_stay_that_nobody_tells_is_no_reason_to_cry():
    """Nor is one that is short enough, nor a quiet room."""
    assert list(loud(lab_of(TEXT.replace(", stayed in: 4 h", "")))) == []
    assert list(loud(lab_of(TEXT.replace("4 h", "1 h")))) == []
    assert list(loud(lab_of(TEXT.replace("88 dB", "58 dB")))) == []
