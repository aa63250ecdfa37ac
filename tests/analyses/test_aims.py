from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.aims import effect_words
from falsework.analyses.verdicts import Effect, Verdict
from falsework.errors import few
from falsework.study import study_lab

BASE = """
falsework: 1
lab: Aims
outside: {mains: the wall, friend: another house}
power:
  A: {is: strip, fed by: mains}
  B: {is: strip, fed by: mains}
kinds: {disk: {is: drive}}
machines:
  n1: {is: node, fed by: A, drives: 1 disk, power back: on, wakes in: 60 s}
  n2: {is: node, fed by: B, drives: 1 disk, power back: on, wakes in: 60 s}
  n3: {is: node, fed by: B, drives: 1 disk, power back: on, wakes in: 60 s}
services:
  votes: {on: n1..3, serves: majority, restarts in: 10 s}
  moves: {on: [n1, n2], takes over: 40 s, restarts in: 10 s}
  lone: {on: n3, restarts in: 10 s}
data:
  papers: {of: lone, in: n3}
  films: {of: lone, in: n3, backed up: [{to: n1, every: 1 day}]}
"""


def judged(aim, text=BASE):
    """The one aim of a lab: whether it is met, what is said, and why."""
    (result,) = study_lab(lab_of(f"{text}aims: {{wish: {{{aim}}}}}\n")).aims
    return result


@pytest.mark.parametrize(
    ("aim", "says"),
    [
        ("lose: node, at most: blinks, of: [votes, moves]", "3 losses looked at, none worse than blinks"),
        ("lose: n2, at most: thin, of: moves", "1 loss looked at, none worse than thin"),
        ("lose: node, at most: falls, of: votes, at once: 2", "3 losses looked at, none worse than falls"),
        (
            "lose: node, at most: blinks, blinks under: 1 min, of: moves",
            "3 losses looked at, none too early or too long",
        ),
        ("lose: drive, of: films, at most: falls", "3 losses looked at, none worse than falls"),
        ("cold start: without hands, of: [votes, lone]", "all is up 1 min 10 s after the power is back"),
        (
            "cold start: without hands, within: 2 min, of: [votes, lone]",
            "all is up 1 min 10 s after the power is back",
        ),
    ],
)
def test_an_aim_that_is_met_says_what_was_looked_at(aim, says):
    """A met aim tells how much was tried."""
    result = judged(aim)
    assert (result.met, result.says) == (True, says)
    assert result.why == ()
    assert result.witness is None


@pytest.mark.parametrize(
    ("aim", "says", "why"),
    [
        (
            "lose: node, at most: thin",
            "lose n3: lone falls at once",
            ("the only copy of lone is down: lone.1 runs on n3, since n3 is lost",),
        ),
        (
            "lose: node, at most: thin, of: moves",
            "lose n1: moves blinks for 40 s",
            ("moves is served by moves.1: moves.1 runs on n1, since n1 is lost",),
        ),
        (
            "lose: strip, at most: blinks, of: votes",
            "lose B: votes falls at once; 1 more fall",
            (
                "votes has 1 of 3 copies and needs 2: votes.2 runs on n2, since n2 has no power, since B is lost",
            ),
        ),
        (
            "lose: node, at once: 2, at most: blinks, of: moves",
            "lose n1 and n2: moves falls at once; 1 more fall",
            ("moves has 0 of 2 copies and needs 1: moves.1 runs on n1, since n1 is lost",),
        ),
        (
            "lose: node, at most: blinks, blinks under: 30 s, of: moves",
            "lose n1: moves blinks for 40 s",
            ("moves is served by moves.1: moves.1 runs on n1, since n1 is lost",),
        ),
        (
            "lose: drive, of: papers, at most: blinks",
            "lose n3.d1: papers is gone, and no backup of it survives",
            (),
        ),
        (
            "cold start: without hands, within: 1 min, of: [votes, lone]",
            "votes is up only 1 min 10 s after the power is back",
            (),
        ),
        ("told: yes", "the lab has no alarm; add one under alarms", ()),
    ],
)
def test_a_broken_aim_says_what_breaks_it_and_why(aim, says, why):
    """A broken aim names its witness, what that does, and the chain from the service to the part."""
    result = judged(aim)
    assert (result.met, result.says, result.why) == (False, says, why)


def test_what_comes_late_enough_does_not_count():
    """Behind a battery the fall comes after eight minutes: an aim about the first five is met, one about ten is not."""
    text = BASE.replace(
        "A: {is: strip, fed by: mains}",
        "cell: {is: ups, fed by: mains, runs: {100 W: 8 min}}\n  A: {is: strip, fed by: cell}",
    )
    text = text.replace("fed by: A,", "fed by: A, draws: 100 W,").replace("fed by: B", "fed by: A")
    assert judged("lose: mains, at most: thin, within: 5 min", text).met is True
    result = judged("lose: mains, at most: thin, within: 10 min, of: lone", text)
    assert result.met is False


POOL = """
falsework: 1
lab: Room
machines: {h1..3: {is: node, memory: 8 GiB}}
pools: {herd: {hosts: h1..3, keeps free: 0 GiB}}
services:
  small: {on: herd, copies: 3, placed: [h1, h2, h3], takes: 2 GiB, apart: not}
  big: {on: herd, placed: h1, takes: SIZE}
"""


def test_room_that_is_there_and_room_that_is_not():
    """With 6 GiB left on each host a copy of 5 GiB finds room; one of 6 GiB does not, for h1's small copy takes some."""
    result = judged("room without: node", POOL.replace("SIZE", "4 GiB"))
    assert (result.met, result.says) == (True, "all copies have room without any one of 3")
    result = judged(
        "room without: h1",
        POOL.replace("SIZE", "6 GiB").replace(
            "h1..3: {is: node, memory: 8 GiB}",
            "h1: {is: node, memory: 9 GiB}, h2..3: {is: node, memory: 7 GiB}",
        ),
    )
    assert result.met is False
    assert result.says == "without h1 1 copy finds no room in herd, big.1 among them"
    assert result.why == ("big.1 takes 6 GiB of memory, and the largest hole left is 5 GiB",)


def test_room_without_sizes_stays_open():
    """Where no copy says what it takes the aim can't be judged, and it says what to add."""
    result = judged("room without: node", POOL.replace(", takes: 2 GiB", "").replace(", takes: SIZE", ""))
    assert result.met is None
    assert result.says == "no copy on a pool says what it takes; give services `takes`"


ALARM = BASE.replace("services:", "services:\n  watch: {on: WATCH, restarts in: 1 s}") + (
    "alarms: {bell: {raised by: watch, leaves by: [friend], told in: 1 min}}\n"
)


def test_an_alarm_that_leaves_and_one_that_falls_with_what_it_tells_of():
    """A watch on n1 outlives n3; one on n3 falls with the service that it should tell of."""
    result = judged("told: yes, lose: n3", ALARM.replace("WATCH", "n1"))
    assert (result.met, result.says) == (True, "an alarm leaves after every loss that matters (1 looked at)")
    result = judged("told: yes, lose: n3", ALARM.replace("WATCH", "n3"))
    assert result.met is False
    assert result.says == "lose n3: watch and lone fall, and no alarm leaves"
    assert result.why == (
        "bell passes watch: the only copy of watch is down, since watch.1 runs on n3, since n3 is lost",
    )


def test_a_stuck_cold_start_names_the_circle():
    """What waits for itself after a power cut breaks the aim, and the circle is the reason."""
    text = BASE.replace(
        "  lone: {", "  one: {on: n1, needs: [two]}\n  two: {on: n2, needs: [one]}\n  lone: {"
    )
    result = judged("cold start: at all", text)
    assert result.says == "after a power cut one and two stay down"
    assert result.why == ("each waits for the next: one -> two -> one",)


def test_hands_and_outside_help_are_told_apart():
    """What stays off breaks `without hands` alone; what needs the outside world breaks `without outside help` alone."""
    off = BASE.replace(
        "n3: {is: node, fed by: B, drives: 1 disk, power back: on",
        "n3: {is: node, fed by: B, drives: 1 disk, power back: stays off",
    )
    assert judged("cold start: without hands, of: lone", off).why == (
        "n3 stays off until switched on by hand",
    )
    assert judged("cold start: at all, of: lone", off).met is True
    world = BASE.replace("lone: {on: n3,", "lone: {on: n3, needs: [friend],")
    assert (
        judged("cold start: without outside help, of: lone", world).says
        == "after a power cut lone stays down"
    )
    assert judged("cold start: without hands, of: lone", world).met is True


ORDER = """
falsework: 1
lab: Order
machines: {n1..2: {is: node}}
services: {names: {on: n1, reached at: 10.0.0.5}, pages: {on: n2, needs: [names]}}
stand-ins: {laptop: {for: names}}
order:
  - {do: one, with: laptop, brings: pages}
  - {do: two, brings: names, HOW}
  - {do: three, retires: laptop}
"""


def test_addresses_kept_during_the_build():
    """Repointed clients keep their address; clients that learnt the stand-in's lose it when it is retired."""
    assert judged("addresses kept: yes", ORDER.replace("HOW", "repoints: pages")).says == (
        "no address changes under its clients in 3 steps"
    )
    result = judged("addresses kept: yes", ORDER.replace(", HOW", ""))
    assert result.met is False
    assert result.says == "step 3 takes away the address of laptop that pages has learnt"
    assert judged("addresses kept: yes").met is None


@pytest.mark.parametrize(
    ("aim", "says"),
    [
        (
            "at most: thin",
            "it says nothing that can be judged; give it lose, cold start, room without, told or out under",
        ),
    ],
)
def test_what_can_not_be_judged_stays_open(aim, says):
    """An aim that the tool can't judge is neither met nor broken, and says why."""
    result = judged(aim)
    assert (result.met, result.says) == (None, says)


def test_the_worst_part_of_an_aim_decides():
    """An aim of two halves is broken if either is."""
    assert judged("cold start: without hands, lose: n3, at most: thin, of: lone").met is False
    assert judged("cold start: without hands, lose: n1, at most: thin, of: lone").met is True
    assert judged("out under: 1 min, lose: n1, at most: thin, of: lone").met is False
    assert judged("out under: 60 days, lose: n1, at most: thin, of: lone").met is True


def test_time_out_in_a_year_is_judged_by_what_is_expected():
    """By hand: lone is out while n3, its supply, strip B or mains are; the worst part is named with what it costs."""
    text = BASE.replace("mains: the wall", "mains: {fails: 1 /year, mends in: 1 h}").replace(
        "n3: {is: node,", "n3: {is: node, fails: 0.5 /year, mends in: 10 h,"
    )
    result = judged("out under: 2 h, of: lone", text)
    assert result.met is False
    assert result.kind == "out"
    assert result.says.startswith("lone is expected to be out ")
    assert result.why[0].startswith("without failures of n3 it would be 5 h ")
    assert judged("out under: 10 h, of: lone", text).met is True


@pytest.mark.parametrize(
    ("effect", "words"),
    [
        (Effect(service="s", verdict=Verdict.STANDS), "stands"),
        (Effect(service="s", verdict=Verdict.THIN), "stands with nothing to spare"),
        (Effect(service="s", verdict=Verdict.BLINKS, falls_s=5.0, blinks_s=40.0), "blinks for 40 s"),
        (Effect(service="s", verdict=Verdict.FALLS, falls_s=0.0), "falls at once"),
        (Effect(service="s", verdict=Verdict.FALLS, falls_s=1920.0), "falls after 32 min"),
        (Effect(service="s", verdict=Verdict.LOST, falls_s=0.0), "loses its data, and no backup survives"),
    ],
)
def test_effects_in_words(effect, words):
    """Each verdict has its words, with its time where it has one."""
    assert effect_words(effect) == words


@pytest.mark.parametrize(
    ("count", "words"), [(1, "a"), (2, "a and b"), (4, "a, b, c and d"), (7, "a, b, c, d and 3 more")]
)
def test_a_few_names(count, words):
    """Up to four names are told, of more the first four and how many more."""
    assert few("abcdefg"[:count]) == words
