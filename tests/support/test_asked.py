"""Which parts are meant by a name or a word?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.errors import QuestionError
from falsework.support.asked import asked_parts
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
power: {A: {is: strip}, B: {is: strip}}
machines: {n1..2: {is: node, fed by: [A, B]}, strip-box: {is: node, fed by: A}}
"""


def asked(*names, out=()):
    """The parts that names mean in the lab above."""
    return asked_parts(Standing(lab_of(LAB), out=out), names)


def test_a_word_stands_for_all_such_parts():
    """`strip` is both strips; a name is itself; each comes once, in the order asked for."""
    assert asked("strip") == ("A", "B")
    assert asked("B", "strip", "n1") == ("B", "A", "n1")


def test_what_is_out_is_not_lost_again():
    """A strip that is out is left out."""
    assert asked("strip", out=["A"]) == ("B",)


@pytest.mark.parametrize(
    ("name", "says"), [("strips", "Did you mean 'strip', for each of them"), ("n9", "no part is called 'n9'")]
)
def test_a_slip_is_asked_about(name, says):
    """A slip names what is near."""
    with pytest.raises(QuestionError, match=says):
        asked(name)
