"""Do measured times correct the figures of a lab, in one place, and told?"""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, read, refused, told
from tests.model.texts import thing as thing_of

from falsework.model.simple import Watched
from falsework.model.timed import Timing, Timings
from falsework.model.timing import ASSUMED, WRITTEN, belief_of, settled_s, timed_of, times_of
from falsework.units import Quantity

PAIR = "machines: {{n1..2: node}}\nservices: {{mail: {{on: [n1, n2], {}}}}}\n"


def mail(more):
    """The service in a lab that says so of it."""
    return thing_of(PAIR.format(more), "mail")


def test_a_written_figure_counts_like_four_measured_times():
    """40 s written and 28, 33 s measured: the weighted geometric mean; the file's own figure is kept beside."""
    found = mail("takes over: 40 s, timed: {takes over: [28 s, 33 s on 2026-11-26 07:35:12]}")
    assert found.takes_over == pytest.approx((40.0**4 * 28.0 * 33.0) ** (1 / 6))
    (correction,) = timed_of(found).corrections
    assert (correction.before, correction.written, correction.weight) == (40.0, True, WRITTEN)
    assert times_of(timed_of(found))["takes_over"] == (Timing(28.0), Timing(33.0, "2026-11-26 07:35:12"))


def test_an_assumed_figure_gives_way_at_once():
    """60 s assumed and 240 s measured: as good as 240 s."""
    found = mail("timed: {restarts in: 4 min}")
    assert found.restarts_in == pytest.approx((60.0**ASSUMED * 240.0) ** (1 / 1.1))
    assert belief_of(found, "restarts_in").weight == pytest.approx(1.1)


def test_a_floating_address_that_nobody_timed_before():
    """Without a figure the measured times are all there is."""
    found = mail("floats: 10.0.0.9, timed: {floats: [2 s, 8 s]}")
    assert found.floats.in_ == pytest.approx(4.0)
    assert found.floats.address == ("10.0.0.9",)
    assert mail("floats: 10.0.0.9 in 4 s, timed: {floats: 4 s}").floats.in_ == pytest.approx(4.0)


def test_a_range_stays_a_range():
    """Repairs: the ends move with what was measured, and come nearer to each other."""
    text = "machines: {{n: {{is: node, mends in: 2..8 h{}}}}}\n"
    before, after = (
        thing_of(text.format(more), "n").mends_in for more in ("", ", timed: {mends in: [5 h, 6 h]}")
    )
    assert before == Quantity(low=7200.0, high=28800.0)
    assert after.low > before.low
    assert after.high / after.low < before.high / before.low
    assert (after.low * after.high) ** 0.5 == pytest.approx((14400.0**4 * 18000 * 21600) ** (1 / 6))


def test_times_of_a_kind_are_for_all_of_the_kind():
    """As with everything that a kind says."""
    lab = lab_of("kinds: {box: {is: node, timed: {mends in: 3 h}}}\nmachines: {n1..2: box}\n")
    assert lab.things["n1"].mends_in == lab.things["n2"].mends_in
    assert lab.things["n1"].mends_in != thing_of("machines: {n: node}", "n").mends_in


def test_a_pool_too():
    """From losing a host to its copies running elsewhere."""
    text = "machines: {n1..2: node}\npools: {p: {hosts: n1..2, restarts in: 2 min, timed: {restarts in: [60 s]}}}\n"
    assert thing_of(text, "p").restarts_in == pytest.approx((120.0**4 * 60.0) ** 0.2)


def test_what_wakes_too():
    """A machine, from power to ready; a strip has no such figure unless it is said."""
    text = "machines: {n: {is: node, wakes in: 2 min, timed: {wakes in: [60 s], mends in: [3 h]}}}\n"
    found = thing_of(text, "n")
    assert found.wakes_in == pytest.approx((120.0**4 * 60.0) ** 0.2)
    assert {each.key for each in timed_of(found).corrections} == {"wakes in", "mends in"}
    assert told("power: {A: {is: strip, timed: {wakes in: [60 s]}}}\n") == [
        "lab.yaml:2:31 (power.A.timed): times of `wakes in` were measured, and A says nothing of it."
        " Say `wakes in` too."
    ]


STORE = "kinds: {{d: {{is: drive, size: 1 TB}}}}\nmachines: {{n: {{is: node, drives: 2 d}}}}\nstores: {{s: {{drives: n.d*, layout: mirror, {}}}}}\n"


def test_a_figure_that_is_worked_out_counts_like_an_assumed_one():
    """Where nobody wrote one; where somebody did, what sizes and speeds say does not count at all."""
    measured = thing_of(STORE.format("timed: {rebuilds in: [9 h, 4 h]}"), "s")
    assert settled_s(measured, "rebuilds_in", 1000.0) == pytest.approx(
        (1000.0**ASSUMED * 32400 * 14400) ** (1 / 2.1)
    )
    assert belief_of(measured, "rebuilds_in", 1000.0).weight == pytest.approx(2.1)
    both = thing_of(STORE.format("rebuilds in: 6 h, timed: {rebuilds in: [9 h]}"), "s")
    assert (
        settled_s(both, "rebuilds_in", 1000.0)
        == both.rebuilds_in
        == pytest.approx((21600.0**4 * 32400) ** 0.2)
    )
    assert settled_s(thing_of(STORE.format("spares: 0"), "s"), "rebuilds_in", 1000.0) == 1000.0


def test_what_takes_no_time_at_all_is_a_fault():
    """Nothing is rebuilt or restored in no time."""
    assert told(STORE.format("rebuilds in: 0 s")) == [
        "lab.yaml:4:57 (stores.s.rebuilds in): s rebuilds in no time, it says."
        " Give the time that it takes, such as 9 h, or leave it out."
    ]


def test_a_corrected_figure_is_told_with_what_it_rests_on():
    """It is listed like an assumed one, once, and the assumption that it replaces is not."""
    lab = lab_of(PAIR.format("takes over: 40 s, timed: {takes over: [28 s, 33 s], restarts in: 70 s}"))
    listed = {each.key: each for each in lab.assumptions if each.things == ("mail",)}
    assert listed["takes over"].source == "measured twice; the 40 s of the file counts as 4 more"
    assert listed["takes over"].value == "37 s"
    assert listed["restarts in"].source == "measured once; the 1 min of what is assumed counts as 0.1 more"
    assert [each.key for each in lab.assumptions].count("restarts in") == 1


def test_without_measured_times_nothing_changes():
    """An empty key, or none, leaves every figure and every assumption as it was."""
    for more in ("takes over: 40 s", "takes over: 40 s, timed: {}"):
        assert mail(more).takes_over == 40.0
    assert belief_of(mail("takes over: 40 s"), "takes_over").next == pytest.approx((25.4, 63.0), abs=0.1)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (
            "timed: {takes over: 30 s}",
            "lab.yaml:3:40 (services.mail.timed): times of `takes over` were measured, and mail says nothing of it."
            " Say `takes over` too, where one copy serves and another takes over.",
        ),
        (
            "timed: {floats: 3 s}",
            "lab.yaml:3:40 (services.mail.timed): times of `floats` were measured, and mail says nothing of it."
            " Say which address `floats`, or time what it does instead.",
        ),
        (
            "timed: {takes ovr: 30 s}",
            "lab.yaml:3:41 (services.mail.timed): no key is called 'takes ovr' here. Did you mean 'takes over'?",
        ),
    ],
)
def test_times_of_what_there_is_not_are_faults(more, message):
    """Each with its place, and how to mend it."""
    assert told(PAIR.format(more)) == [message]


@pytest.mark.parametrize("text", ["28 s", "28 s on 2026-11-26", "1 min 4 s on 2026-11-26 07:35:12", "0.2 s"])
def test_a_time_may_say_when(text):
    """The day, or the moment in UTC."""
    assert read(Timings(), text).on == text.partition(" on ")[2]


@pytest.mark.parametrize(
    "text",
    [
        "28", "0 s", "-3 s", "28 GiB", "28 s on Tuesday", "28 s on 2026-13-01", "28 s on 2026-11-26 25:00",
        "28 s on 2026-11-26T07:35:12+01:00", "inf s", "nan s", "1e9 years", "[28 s]", "{a: b}", "''",
    ],
)  # fmt: skip
def test_what_is_no_measured_time_is_refused(text):
    """Hostile or slipped: one message that says what to write."""
    (message,) = refused(Timings(), text)
    assert message.startswith("lab.yaml:1:4 (k): ")


def test_a_count_may_say_until_when():
    """So that what was counted once is not counted again."""
    assert read(Watched(), "2 in 40 years until 2026-11-26 07:35:12").until == "2026-11-26 07:35:12"
    assert read(Watched(), "2 in 40 years").until == ""


@pytest.mark.parametrize(
    "until", ["Tuesday", "2026-13-01", "2026-11-26T07:35:12+01:00", "2026-11-26 until 2027-01-01"]
)
def test_a_moment_that_is_none_is_refused(until):
    """One message, with its place."""
    (message,) = refused(Watched(), f"2 in 40 years until {until}")
    assert message.startswith("lab.yaml:1:4 (k): found '2 in 40 years until ")
