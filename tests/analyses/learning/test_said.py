"""Is a time that somebody tells taken down as it was meant, and what is none refused with a way to mend it?"""

from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.drives.stores import store_odds
from falsework.analyses.learning import Measured, learn, said
from falsework.errors import QuestionError
from falsework.model.timed import Timing
from falsework.model.timing import ASSUMED, WRITTEN
from falsework.support.standing import Standing

TEXT = """
lab: t
kinds: {disk: {is: drive, size: 4 TB, speed: 1.28 Gb/s}}
machines: {n1: {is: node, drives: 4 disk}, n2: node}
stores: {keep: {drives: n1.d1..4, layout: parity, rebuild gets: 50 %}}
services: {mail: {on: [n1, n2], takes over: 40 s}, door: {on: [n1, n2], floats: 10.0.0.9}}
data: {letters: {of: mail, in: keep, size: 90 GB, backed up: n2}}
"""


@pytest.fixture(scope="module")
def lab():
    """The lab of this file."""
    return lab_of(TEXT)


def test_what_is_told_is_learnt_as_what_was_seen(lab):
    """A rebuild that took 9 h: 4 TB at half of 160 MB/s are 50 000 s, and that counts as 0.1."""
    told = said(lab, "keep: rebuilds in 9 h on 2026-11-26 14:30")
    assert told == Measured(
        thing="keep", attribute="rebuilds_in", timing=Timing(32_400.0, "2026-11-26 14:30")
    )
    (update,) = learn(Standing(lab), (), [told]).updates
    assert (update.key, update.source, update.guessed, update.runs) == (
        "rebuilds in",
        "worked out",
        ASSUMED,
        (0,),
    )
    assert update.before == pytest.approx(50_000.0)
    assert update.after == pytest.approx((50_000.0**0.1 * 32_400.0) ** (1 / 1.1))
    assert update.posterior.weight == pytest.approx(1.1)


def test_a_rebuild_that_was_written_counts_as_four():
    """As every figure that is written."""
    lab = lab_of(TEXT.replace("rebuild gets: 50 %", "rebuilds in: 20 h"))
    (update,) = learn(Standing(lab), (), [said(lab, "keep: rebuilds in 10 h on 2026-11-26")]).updates
    assert (update.before, update.source, update.guessed) == (72_000.0, "written", WRITTEN)
    assert update.after == pytest.approx((72_000.0**4 * 36_000.0) ** 0.2)


def test_a_restore_that_was_timed(lab):
    """90 GB through a port of 1 Gb/s are 12 min by sizes and speeds."""
    (update,) = learn(Standing(lab), (), [said(lab, "letters: restores in 20 min on 2026-11-26")]).updates
    assert (update.key, update.source, update.before) == ("restores in", "worked out", pytest.approx(720.0))
    assert update.after == pytest.approx((720.0**0.1 * 1200.0) ** (1 / 1.1))


def test_the_figure_that_is_told_is_the_one_that_counts_afterwards():
    """What `learn` says will count is what the store is judged by once it stands in the file."""
    lab = lab_of(TEXT)
    (update,) = learn(Standing(lab), (), [said(lab, "keep: rebuilds in 9 h on 2026-11-26")]).updates
    written = TEXT.replace("rebuild gets: 50 %", "timed: {rebuilds in: [9 h on 2026-11-26]}")
    assert store_odds(lab_of(written))[0].rebuild_s == pytest.approx(update.after)
    more = lab_of(written)
    (again,) = learn(Standing(more), (), [said(more, "keep: rebuilds in 8 h on 2026-11-27")]).updates
    assert again.before == pytest.approx(update.after)
    assert again.posterior.weight == pytest.approx(2.1)


@pytest.mark.parametrize("on", ["2026-11-26 14:30", "2026-11-26T14:30:00"])
def test_twice_is_once(on):
    """A moment that stands in the file, however it is written, or that was told before, teaches nothing again."""
    lab = lab_of(TEXT.replace("rebuild gets: 50 %", f"timed: {{rebuilds in: [9 h on {on}]}}"))
    told = said(lab, "keep: rebuilds in 8 h on 2026-11-26 14:30")
    found = learn(Standing(lab), (), [told])
    assert found.empty
    assert found.passed == ((0, "keep", "a time of 2026-11-26 14:30 is known already"),)
    fresh = said(lab, "n1: wakes in 95 s on 2026-11-26")
    found = learn(Standing(lab), (), [fresh, fresh])
    assert [len(each.new) for each in found.updates] == [1]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "keep, rebuilds in 9 h",
            "'keep, rebuilds in 9 h' tells no time that was measured."
            " Write 'keep: rebuilds in 9 h on 2026-11-26 14:30'.",
        ),
        ("keap: rebuilds in 9 h", "nothing in the lab is called 'keap'. Did you mean 'keep'?"),
        (
            "keep: restores in 9 h",
            "'restores in 9 h' is no time of keep, a store. Its figures are rebuilds in.",
        ),
        (
            "mail.1: restarts in 9 s",
            "'restarts in 9 s' is no time of mail.1, a copy. Nothing about it takes a time that is learnt.",
        ),
        (
            "door: takes over 9 s on 2026-11-26",
            "door says nothing of `takes over` in the lab file."
            " Say `takes over` too, where one copy serves and another takes over.",
        ),
        (
            "keep: rebuilds in 9 h",
            "'keep: rebuilds in 9 h' does not tell when."
            " Say the day or the moment, in UTC, as in 'keep: rebuilds in 9 h on 2026-11-26 14:30'.",
        ),
        (
            "keep: rebuilds in 9 h on Tuesday",
            "'rebuilds in 9 h on Tuesday' tells no time that was measured."
            " Write a time that was measured, such as 28 s or 28 s on 2026-11-26.",
        ),
        (
            "keep: rebuilds in 9 h on 2026-11-26T14:30+01:00",
            "'rebuilds in 9 h on 2026-11-26T14:30+01:00' tells no time that was measured."
            " Write the moment in UTC, without a zone.",
        ),
        (
            "keep: rebuilds in 9 GiB on 2026-11-26",
            "'9 GiB' is an amount of data, and a time is wanted here. Write for example 18 min.",
        ),
    ],
)
def test_what_tells_no_time_is_refused(lab, text, message):
    """One sentence on what is wrong, and one on how to mend it."""
    with pytest.raises(QuestionError) as caught:
        said(lab, text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "text", ["", ": ", "keep: ", "keep:", "x" * 5000, "keep: rebuilds in inf h on 2026-11-26"]
)
def test_nonsense_is_an_error_of_the_family(lab, text):
    """Whatever is typed."""
    with pytest.raises(QuestionError):
        said(lab, text)
