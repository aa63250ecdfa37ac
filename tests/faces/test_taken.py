"""Is a figure that was taken told with its source and what hangs on it?"""

from __future__ import annotations

from falsework.faces.cli.taken import taken_lines
from falsework.faces.taken import taken_plain, taken_says, taken_schema
from falsework.support.taken import Taken

WHOLE = Taken(
    key="power factor",
    things=("n1", "n2"),
    value="0.95",
    source="assumed",
    of="what A carries",
    low="100 VA",
    high="110 VA",
)
BARE = Taken(key="volts", things=(), value="230 V", source="IEC 60038")


def test_the_sentence_has_it_all():
    """Key, value, for whom, source, and the result at both ends; what is not known is left out."""
    assert taken_says(WHOLE) == (
        "power factor 0.95 for n1 and n2 (assumed); what A carries: 100 VA to 110 VA at the ends of what is usual"
    )
    assert taken_says(BARE) == "volts 230 V (IEC 60038)"


def test_nothing_taken_nothing_told():
    """No head without a line under it."""
    assert [*taken_lines(())] == []
    assert len([*taken_lines((WHOLE, BARE))]) == 4


def test_a_program_gets_every_key_of_the_schema():
    """The plain form has what the schema requires, and no more."""
    assert [*taken_plain(WHOLE)] == taken_schema()["taken figure"]["required"]
