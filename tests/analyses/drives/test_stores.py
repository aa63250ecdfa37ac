"""How durable are the stores of a lab as they are, and which are worth a remark?"""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of

from falsework.analyses.drives.stores import store_odds
from falsework.engines.durability.chain import durability
from falsework.engines.durability.group import Group
from falsework.engines.durability.redundant import Alike
from falsework.findings.finding import CODES, DATA_CAUTION
from falsework.findings.rules.drives import drives
from falsework.units import HOUR_S, YEAR_S

TB = 1e12

LAB = """\
lab: l
kinds: {d: {is: drive, size: 2 TB, fails: 4 %/year, mends in: 4 h, read errors: 1e-15 /bit, speed: 100 MB/s}}
machines: {box: {is: node, drives: 4 d}}
stores: {s: {drives: box.d*, layout: double parity, rebuild gets: 50 %}}
"""


def test_a_store_has_the_odds_of_its_chain():
    """Double parity over four: the chain of four drives of which two may be gone, replaced after four hours."""
    (found,) = store_odds(lab_of(LAB))
    member = Alike(count=4, rate=0.04 / YEAR_S, size_bytes=2 * TB, bytes_per_s=100e6, read_errors=1e-15)
    chain = durability(
        Group(members=(member,), tolerated=2, load_leaves=0.5, spares=0, spare_comes_s=4 * HOUR_S)
    )
    assert found.usual.lost == pytest.approx(chain.lost, rel=1e-12)
    assert found.usable_bytes == 4 * TB
    assert (found.survives, found.last) == (2, False)
    # 2 TB at half of 100 MB/s.
    assert found.rebuild_s == pytest.approx(40_000)
    assert found.begins_s == pytest.approx(4 * HOUR_S)


def test_a_drive_without_a_size_leaves_the_odds_open():
    """Nothing is made up: the store is told with what it survives, and no odds."""
    (found,) = store_odds(lab_of(LAB.replace("size: 2 TB, ", "")))
    assert (found.usual, found.usable_bytes, found.survives) == (None, None, 2)


@pytest.mark.parametrize("scheme", ["single", "mirror", "parity", "triple parity", "2 copies", "2+1 pieces"])
def test_every_layout_that_a_lab_may_have_is_told(scheme):
    """Whatever a store's layout: odds between 0 and 1, the rough way close to the exact one."""
    text = LAB.replace("double parity", scheme)
    if scheme == "triple parity":
        text = text.replace("4 d", "5 d")
    (found,) = store_odds(lab_of(text))
    (rough,) = store_odds(lab_of(text), ends=False)
    assert 0 < found.low.lost <= found.usual.lost <= found.high.lost < 1
    assert rough.usual.lost == pytest.approx(found.usual.lost, rel=0.02)


def codes(text):
    """The codes of what is found."""
    return [each.code for each in drives(lab_of(text))]


PAIR = LAB.replace("4 d", "2 d").replace("double parity", "mirror")


def test_a_sound_store_is_no_finding():
    """A mirror of small drives with good sheets, a spare at hand: nothing is said."""
    assert codes(PAIR) == []


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        # 2 TB at 1e-14 a bit: 0.16 errors expected, 14.8 % for one or more (E12, E13 scaled).
        ([("1e-15", "1e-14")], ["unreadable in a rebuild"]),
        # The same with a second parity: a false alarm.
        ([("1e-15", "1e-14"), ("2 d", "4 d"), ("mirror", "double parity")], []),
        # The same of which nobody told the rate: not held against it.
        ([("read errors: 1e-15 /bit, ", "")], []),
        # 1 TB: 7.7 %, under the tenth.
        ([("1e-15", "1e-14"), ("2 TB", "1 TB")], []),
        # A drive that is three weeks away.
        ([("stores:", "spares: {d: {shelf: 0, comes in: 21 days}}\nstores:")], ["long without redundancy"]),
        # One on the shelf: a false alarm.
        ([("stores:", "spares: {d: {shelf: 1, comes in: 21 days}}\nstores:")], []),
    ],
)
def test_what_is_wrong_is_told_and_false_alarms_are_not(changes, found):
    """Read errors with nothing to spare, and weeks without redundancy; each with place, mend and caution."""
    text = PAIR
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    assert codes(text) == found
    for each in drives(lab_of(text)):
        assert each.code in CODES
        assert each.where is not None
        assert each.mend
        assert each.caution == DATA_CAUTION


@pytest.mark.parametrize("scheme", ["mirror", "parity", "double parity", "2 copies", "2+1 pieces"])
@pytest.mark.parametrize("hours", [1.0, 5.0, 300.0])
def test_a_rebuild_takes_as_long_as_it_is_known_to_take(scheme, hours):
    """Whatever the layout; what lasts longer is the less durable, and what sizes and speeds say is told beside."""
    text = LAB.replace("double parity", scheme)
    (plain,) = store_odds(lab_of(text))
    (known,) = store_odds(
        lab_of(text.replace("rebuild gets: 50 %", f"rebuilds in: {hours} h, rebuild gets: 50 %"))
    )
    assert known.rebuild_s == pytest.approx(hours * HOUR_S, rel=1e-9)
    assert known.by_speed_s == plain.by_speed_s == plain.rebuild_s
    assert (known.usual.lost > plain.usual.lost) is (known.rebuild_s > plain.rebuild_s)


def test_measured_rebuilds_correct_the_one_that_was_worked_out():
    """40 000 s by sizes and speeds count as a tenth of a measured time; two rebuilds took 8 and 18 h."""
    (found,) = store_odds(
        lab_of(LAB.replace("rebuild gets: 50 %", "rebuild gets: 50 %, timed: {rebuilds in: [8 h, 18 h]}"))
    )
    assert found.rebuild_s == pytest.approx((40_000**0.1 * 28_800 * 64_800) ** (1 / 2.1))


def test_a_check_says_what_a_measured_rebuild_makes_of_a_store():
    """Eight days of rebuilding are longer than a mirror should stay with nothing to spare."""
    text = LAB.replace("double parity", "mirror")
    assert "long without redundancy" not in codes(text)
    assert "long without redundancy" in codes(
        text.replace("rebuild gets: 50 %", "timed: {rebuilds in: [8 days, 9 days]}")
    )
