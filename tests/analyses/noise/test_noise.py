"""Does each room hear who is in it and beyond its walls, and is what is allowed held against how long people stay?"""

from __future__ import annotations

from math import inf, isfinite
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.model.texts import lab_of

from falsework.analyses.noise.figures import ALL
from falsework.analyses.noise.telling import (
    above_mend,
    above_says,
    day_says,
    headline,
    limits_says,
    nowhere_says,
    room_says,
    unheard_says,
    worth_telling,
)
from falsework.analyses.noise.whole import NIOSH, OSHA, noise, room_levels

CELLAR = """
places:
  cellar: {is: room, stands at: 28 dB, heard from: 2 m, stayed in: 2 h, next door: {study: 40 dB}}
  study: {is: room, stands at: 25 dB, heard from: 1 m, stayed in: 8 h}
  rack: {is: rack, in: cellar}
machines:
  host-1..2: {is: node, in: rack, noise: 58 dB}
  quiet: {is: node, in: study, noise: 30 dB}
"""


def room(text, name):
    """One room of a text."""
    return next(each for each in noise(lab_of(text)).rooms if each.room == name)


def test_a_cellar_by_hand():
    """Two of 58 dB at one metre are 61.01, at two metres 54.99; with 28 dB of its own 55.0."""
    found = room(CELLAR, "cellar")
    (heard, beyond) = found.heard
    assert heard.things == ("host-1", "host-2")
    assert heard.one_db == pytest.approx(51.979, abs=1e-3)
    assert heard.all_db == pytest.approx(54.990, abs=1e-3)
    assert found.level_db == pytest.approx(54.999, abs=1e-3)
    # The quiet one is heard through the same wall, from the other side: 30 dB at one metre, less 40.
    assert (beyond.things, beyond.through) == (("quiet",), "study")
    assert beyond.all_db == pytest.approx(-10)


def test_the_study_hears_the_cellar_through_the_wall():
    """What is heard in the cellar, less the wall: 54.99 - 40 = 14.99 dB."""
    found = room(CELLAR, "study")
    beyond = next(each for each in found.heard if each.through)
    assert (beyond.through, beyond.all_db) == ("cellar", pytest.approx(14.990, abs=1e-3))
    assert found.level_db == pytest.approx(31.3, abs=0.05)  # 30, 25 and 15 dB together


def test_a_wall_that_both_say_may_differ_by_side():
    """Each side's figure holds for what goes out of it."""
    text = CELLAR.replace("stayed in: 8 h}", "stayed in: 8 h, next door: {cellar: 10 dB}}")
    out = next(each for each in room(text, "study").heard if each.through)
    back = next(each for each in room(text, "cellar").heard if each.through)
    assert out.all_db == pytest.approx(14.990, abs=1e-3)
    assert back.all_db == pytest.approx(20)


def test_an_echo_makes_it_louder():
    """With 10 m2 that swallow sound at two metres: 10 log10(1 + 0.4 / 0.0398) = 10.4 dB more."""
    bare = CELLAR.replace("heard from: 2 m,", "heard from: 2 m, absorbs: 10 m2,")
    assert room(bare, "cellar").machines_db - room(CELLAR, "cellar").machines_db == pytest.approx(
        10.435, abs=1e-3
    )


LOUD = """
places:
  mill: {is: room, stands at: 30 dB, heard from: 1 m, stayed in: 4 h}
  attic: {is: room, stands at: 30 dB}
machines:
  saw-1..2: {is: node, in: mill, noise: 88 dB}
  fan: {is: node, in: mill, noise: 60 dB}
"""


def test_what_is_allowed_is_held_against_the_stay():
    """91 dB: the one limit allows 7 h, the other 2 h; four hours are above the second."""
    found = room(LOUD, "mill")
    permitted, recommended = found.allowed
    assert found.level_db == pytest.approx(91.014, abs=1e-3)
    assert (permitted.by, recommended.by) == (OSHA, NIOSH)
    assert permitted.hours == pytest.approx(6.95, abs=0.01)
    assert recommended.hours == pytest.approx(1.99, abs=0.01)
    assert (permitted.above, recommended.above) == (False, True)
    assert recommended.dose == pytest.approx(2.0, abs=0.01)
    assert recommended.level_db == pytest.approx(88)
    assert found.broken
    assert above_says(found) == "mill has 91 dB: NIOSH 98-126 allows 2 h a day, and somebody stays 4 h"
    assert above_mend(found).startswith("take saw-1 and saw-2 out of it (91 to 60 dB)")


def test_a_stay_that_nobody_tells_is_not_held_against_a_room():
    """Eight hours are taken; the room is above for them, and nothing is broken."""
    found = noise(lab_of(LOUD.replace(", stayed in: 4 h", "")))
    mill = found.rooms[0]
    assert (mill.above, mill.broken, found.above) == (True, False, False)
    assert "nobody says whether it is less than 8 h" in headline(found)


def test_nobody_may_stay_above_the_ceiling():
    """Above 115 dB no time at all is permitted."""
    found = room(LOUD.replace("88 dB", "118 dB").replace("4 h", "1 min"), "mill")
    assert found.allowed[0].hours == 0
    assert found.allowed[0].above
    assert above_says(found).startswith("mill has 121 dB: ")


def test_what_is_below_80_db_counts_for_nothing():
    """Neither limit is told in hours then."""
    found = room(CELLAR, "cellar")
    assert [each.hours for each in found.allowed] == [inf, inf]
    assert limits_says(found) == "a stay of 2 h a day: neither limit counts what is below 80 dB"


def test_a_loud_room_is_within_the_limits_for_its_stay_only():
    """A minute at 88 dB is no harm, and the headline says what it hangs on."""
    said = headline(noise(lab_of("places: {a: {is: room, stands at: 88 dB, stayed in: 1 min}}")))
    assert said.startswith("a is within both published limits for as long as people stay: 88 dB")


def test_the_whole_day_adds_up():
    """Two hours at 88 dB and one at 91 are one and a half of a day's dose, though each alone is within it."""
    text = """
places:
  a: {is: room, stands at: 88 dB, stayed in: 3 h}
  b: {is: room, stands at: 91 dB, stayed in: 1 h}
"""
    found = noise(lab_of(text))
    assert not any(each.above for each in found.rooms)
    assert found.day[1].dose == pytest.approx(3 / 4 + 1 / 2)
    assert found.above
    assert headline(found) == day_says(found.day)
    assert "125 % of a day's dose by NIOSH 98-126" in day_says(found.day)


def test_moves_tell_both_rooms():
    """Away for good leaves the fan and the room; in the attic the saws are as loud as they were."""
    moves = room(LOUD, "mill").moves
    away = next(each for each in moves if each.to == "" and each.things == ("saw-1", "saw-2"))
    assert away.here_db == pytest.approx(60.004, abs=1e-3)
    assert away.there_db is None
    there = next(each for each in moves if each.to == "attic" and each.things == ("saw-1", "saw-2"))
    # Nobody says how far off people are there: two metres are taken.
    assert there.there_db == pytest.approx(91.010 - 6.021, abs=1e-3)
    assert there.there_before_db == pytest.approx(30)
    one = next(each for each in moves if each.to == "" and each.things == ("saw-1",))
    assert one.here_db == pytest.approx(88.007, abs=1e-3)
    assert not [each for each in moves if each.things == ("fan",)]  # nobody would hear the difference


BOXES = """
places: {r: {is: room, heard from: 1 m, stands at: 0 dB}}
kinds:
  loud: {is: node, noise: 50 dB}
machines:
  told: {is: enclosure, holds: {a..b: loud}, in: r, noise: 58 dB}
  silent: {is: enclosure, holds: {a..b: loud}, in: r}
  plain: {is: enclosure, holds: {a..b: {is: node}}, in: r}
  desk: {is: node, in: r, drives: {d1: {is: drive, size: 1 TB}}}
  outside: {is: node}
"""


def test_a_box_speaks_for_what_is_in_it():
    """A box's own level counts once; without one its nodes' levels; without those one is taken for the box."""
    found = noise(lab_of(BOXES))
    heard = {each.things: each.told_db for each in found.rooms[0].heard}
    assert heard == {
        ("told",): 58,
        ("silent.a", "silent.b"): 50,
        ("plain",): 55,
        ("desk",): 40,
    }
    assert found.nowhere == ("outside",)
    assert nowhere_says(found.nowhere).startswith("Nobody says in which room outside stands")


def test_what_is_taken_tells_what_hangs_on_it():
    """For whom, and what the room would be at either end of what is usual."""
    taken = {(each.key, each.things): each for each in noise(lab_of(BOXES)).taken}
    box = taken["noise", ("plain",)]
    assert (box.of, box.low, box.high) == ("the level of r (61 dB)", "59 dB", "66 dB")
    assert ("noise", ("desk",)) in taken
    echo = taken["absorbs", ("r",)]
    assert echo.value == "no echo"
    assert float(echo.high.split()[0]) > float(echo.low.split()[0])
    assert ("heard from", ("r",)) not in taken
    desk = taken["noise", ("desk",)]
    assert (desk.of, desk.low, desk.high) == ("the level of r (61 dB)", "61 dB", "62 dB")


def test_nothing_is_told_to_hang_on_what_changes_nothing():
    """A quiet switch beside a loud box: its level is taken, and no ends are told."""
    text = (
        "places: {r: {is: room}}\nmachines: {saw: {is: node, in: r, noise: 90 dB}, sw: {is: switch, in: r}}"
    )
    taken = next(each for each in noise(lab_of(text)).taken if each.things == ("sw",))
    assert (taken.of, taken.low, taken.high) == ("", "", "")
    assert headline(noise(lab_of(text.replace("90 dB", "60 dB")))) == (
        "r is within both published limits: 54 dB, about as loud as a quiet office"
    )


def test_a_lab_without_rooms():
    """Nothing can be heard, and nothing stops."""
    found = noise(lab_of("machines: {n: node}"))
    assert (found.rooms, found.nowhere, found.taken, found.above) == ((), ("n",), (), False)
    assert headline(found) == "no room is told of, so nothing can be heard in one"


def test_a_room_without_machines():
    """It has its own level; nothing is asked about how far off they are."""
    found = noise(lab_of("places: {r: {is: room, stands at: 33 dB, stayed in: 1 h}}"))
    assert found.rooms[0].level_db == 33
    assert found.rooms[0].machines_db == -inf
    assert found.taken == ()
    assert room_says(found.rooms[0]) == "r: 33 dB, its own; no machine is heard there"


def test_what_nobody_hears_is_counted_not_listed():
    """What is twenty decibels below the room is left to the count."""
    found = room(CELLAR, "cellar")
    assert [each.things for each in worth_telling(found)] == [("host-1", "host-2")]
    assert unheard_says(found) == "and 1 machine that can't be heard beside these"


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(20, 100), min_size=1, max_size=5),
    st.integers(0, 60),
    st.sampled_from(["", ", absorbs: 8 m2"]),
)
def test_more_machines_are_never_quieter(noises, wall, echo):
    """Each machine that is added makes its own room and the next no quieter, and taking it out gives the level back."""

    def text(levels):
        machines = ", ".join(f"m{n}: {{is: node, in: a, noise: {db} dB}}" for n, db in enumerate(levels))
        return (
            f"places: {{a: {{is: room, stands at: 30 dB, next door: {{b: {wall} dB}}{echo}}},"
            f" b: {{is: room, stands at: 20 dB}}}}\nmachines: {{{machines}, far: {{is: node, in: b, noise: 20 dB}}}}"
        )

    whole = noise(lab_of(text(noises)))
    fewer = room_levels(lab_of(text(noises[:-1]) if len(noises) > 1 else text([0])))
    for more, less in zip(whole.rooms, fewer, strict=True):
        assert more.level_db >= less.level_db - 1e-6
    if len(noises) > 1:
        for move in whole.rooms[0].moves:
            if not move.to and move.things == (f"m{len(noises) - 1}",):
                assert move.here_db == pytest.approx(fewer[0].level_db)


def test_the_page_is_right_about_its_cellar():
    """Every figure of the worked example on the explanation page, and what it says is taken."""
    page = (Path(__file__).parents[3] / "docs/explanation/noise.md").read_text(encoding="utf-8")
    text = CELLAR.replace("stands at: 25 dB, heard from: 1 m", "stands at: 25 dB").replace(
        "  quiet: {is: node, in: study, noise: 30 dB}\n", ""
    )
    cellar, study = room(text, "cellar"), room(text, "study")
    assert f"{cellar.level_db:.1f} dB" == "55.0 dB"
    assert f"{study.level_db:.1f} dB" == "25.4 dB"
    one = next(each for each in cellar.moves if each.things == ("host-1",) and not each.to)
    assert f"{one.here_db:.1f} dB" == "52.0 dB"
    for said in ("55.0 dB at two metres", "25.4 dB with them", "the cellar has 52.0 dB"):
        assert said in page
    for figure in ALL:
        if isfinite(figure.value):
            assert f"{figure.value:.0f} " in page[page.index(f"| `{figure.key}`") :]
