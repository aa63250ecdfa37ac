"""Is what a drill showed told apart from what was foretold, and from what has nothing to do with it?"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.observing import observe, outage, probe, run
from tests.strategies import lab_of, texts

from falsework.analyses.comparing import Sort, Wrong, compare
from falsework.analyses.verdicts import Verdict
from falsework.errors import QuestionError
from falsework.record.observed import NEVER
from falsework.record.seen import Gap, Mark, Marked, Why
from falsework.support.standing import Standing

TEXT = """
lab: t
machines: {n1..3: node, spare: {is: node}}
services:
  mail: {on: [n1, n2], takes over: 40 s}
  wiki: {on: n1}
  dns: {on: [n1, n3]}
  late: {on: n3, needs: {to run: [wiki for 5 min]}}
probes:
  inside: {asks: ping 10.0.0.9, sees: dns, from: n1}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def of(standing, *probes, lost=("n1",), thing=None, **more):
    """The line of what the first probe sees."""
    return compare(standing, run(lost, *probes, **more)).of(thing or probes[0].sees)


def test_a_drill_of_a_lab_that_is_as_its_file_says_is_as_foretold(standing):
    """Nothing is wrong, slower or faster where the engine itself was watched."""
    found = compare(standing, observe(standing, ["n1"]))
    assert {line.thing: line.sort for line in found.lines} == dict.fromkeys(
        ("mail", "wiki", "dns", "late"), Sort.AS_FORETOLD
    )
    assert found.right
    says = "fell at once and was back 40 s later, as foretold: falls at once, back 40 s (25 s to 1 min 3 s) later"
    assert found.of("mail").says == says


@pytest.mark.parametrize(
    ("lasts_s", "sort"),
    [
        (12.0, Sort.FASTER),
        (24.0, Sort.FASTER),
        (26.0, Sort.AS_FORETOLD),
        (62.0, Sort.AS_FORETOLD),
        (66.0, Sort.SLOWER),
    ],
)
def test_a_time_that_the_owner_wrote_is_held_within_a_factor(standing, lasts_s, sort):
    """40 s that are written may be 25 to 63 s; beyond is faster or slower, and not wrong."""
    assert of(standing, probe("mail", outage(60.0, 60.0 + lasts_s))).sort is sort


def test_an_assumed_time_is_held_less_tight():
    """The same 100 s after an assumed minute are as foretold, and after a written one slower."""
    text = "lab: t\nmachines: {{n1..2: node}}\npools: {{p: {{hosts: n1..2, restarts in: 1 s}}}}\nservices: {{v: {{on: p{}}}}}\n"
    seen = probe("v", outage(60.0, 160.0))
    for more, sort in (("", Sort.AS_FORETOLD), (", restarts in: 60 s", Sort.SLOWER)):
        assert of(Standing(lab_of(text.format(more))), seen).sort is sort


@pytest.mark.parametrize(
    ("thing", "from_s", "until_s", "wrong"),
    [
        ("dns", 60.0, 90.0, Wrong.FELL),
        ("dns", 300.0, NEVER, Wrong.FELL),
        ("mail", 60.0, 670.0, Wrong.STAYED),
        ("wiki", 60.0, 100.0, Wrong.CAME),
        ("late", 100.0, 670.0, Wrong.SOONER),
        ("late", 650.0, 670.0, Wrong.LATER),
        ("mail", 200.0, 240.0, Wrong.LATER),
    ],
)
def test_what_was_otherwise_is_wrong_and_says_in_which_way(standing, thing, from_s, until_s, wrong):
    """Each way of being otherwise has its name, and its sentence says what was foretold."""
    line = of(standing, probe(thing, outage(from_s, until_s)))
    assert (line.sort, line.wrong) == (Sort.WRONG, wrong)
    assert "foretold: " in line.says or "nothing that it leans on was lost" in line.says


@pytest.mark.parametrize("thing", ["mail", "wiki", "late"])
def test_what_stands_though_it_should_fall_is_wrong(standing, thing):
    """A probe that was answered all the time tells that it stood."""
    line = of(standing, probe(thing))
    assert (line.sort, line.wrong) == (Sort.WRONG, Wrong.STOOD)
    assert line.says.startswith("stood; foretold: falls ")


def test_what_falls_later_than_the_drill_lasted_need_not_fall(standing):
    """A hold of five minutes says nothing about a drill of two."""
    line = of(standing, probe("late"), put_back_s=180.0, until_s=200.0)
    assert line.sort is Sort.AS_FORETOLD
    assert line.says == "stood, as foretold: it falls after 5 min, and was put back before that"


def test_what_was_put_back_before_it_had_to_return_is_as_foretold_so_far(standing):
    """A take-over of 40 s in a drill of 30 s is neither right nor wrong."""
    line = of(standing, probe("mail", outage(60.0, 95.0)), put_back_s=90.0, until_s=120.0)
    assert line.sort is Sort.AS_FORETOLD
    assert "so far" in line.says


def test_outages_before_the_action_and_after_the_putting_back_are_apart(standing):
    """They make nothing wrong, and are kept by themselves."""
    seen = probe("dns", outage(10.0, 20.0), outage(680.0, 690.0))
    line = of(standing, seen)
    assert line.sort is Sort.AS_FORETOLD
    assert (len(line.before), len(line.after)) == (1, 1)
    assert math.isinf(line.falls_s)


def test_what_was_out_already_says_nothing(standing):
    """An outage that began long before the action hides what the action does."""
    line = of(standing, probe("mail", outage(10.0, 100.0)))
    assert line.sort is Sort.NOT_SEEN
    assert line.says.startswith("was out already")


def test_one_question_without_an_answer_is_chance(standing):
    """A single bad answer is no outage of what should stand; two in a row are."""
    assert of(standing, probe("dns", outage(99.95, 100.05))).sort is Sort.AS_FORETOLD
    assert of(standing, probe("dns", outage(99.95, 100.15))).sort is Sort.WRONG


def test_what_flickers_is_one_outage(standing):
    """A copy that answers once while it comes up has not come back and fallen again."""
    line = of(standing, probe("mail", outage(60.0, 80.0), outage(80.3, 100.0)))
    assert (line.sort, line.more) == (Sort.AS_FORETOLD, ())
    line = of(standing, probe("mail", outage(60.0, 100.0), outage(200.0, 240.0)))
    assert (line.wrong, len(line.more)) == (Wrong.AGAIN, 1)


def test_while_any_probe_is_answered_it_serves(standing):
    """Two ways to one service: it was out while both were."""
    one, other = outage(60.0, 100.0), outage(60.0, 300.0)
    assert of(standing, probe("dns", one, name="a"), probe("dns", name="b")).sort is Sort.AS_FORETOLD
    line = of(standing, probe("mail", one, name="a"), probe("mail", other, name="b"))
    assert line.sort is Sort.AS_FORETOLD
    assert line.lasts_s == pytest.approx(40.0, abs=0.2)


def test_a_probe_that_was_never_answered_says_nothing(standing):
    """It asks amiss, or what it sees was out all the time."""
    line = of(standing, probe("mail", yes=0))
    assert line.sort is Sort.NOT_SEEN
    both = of(standing, probe("mail", outage(60.0, 100.0), name="a"), probe("mail", yes=0, name="b"))
    assert both.sort is Sort.AS_FORETOLD


def test_a_probe_that_asks_from_what_is_lost_says_nothing(standing):
    """It went out with what it stands on, whatever it sees."""
    line = of(standing, probe("dns", outage(60.0, 670.0), name="inside"))
    assert line.sort is Sort.NOT_SEEN
    assert "asks from what was taken out" in line.says


def test_a_gap_of_the_stopwatch_leaves_it_open(standing):
    """What ran away while nobody looked is not held to have stood."""
    gap = Gap(from_s=55.0, until_s=400.0, why=Why.ASLEEP)
    assert of(standing, probe("mail"), gaps=[gap]).sort is Sort.NOT_SEEN
    assert of(standing, probe("mail", outage(60.0, 400.0, unsure=True)), gaps=[gap]).sort is Sort.NOT_SEEN
    line = of(standing, probe("dns"), gaps=[gap])
    assert (line.sort, line.sure) == (Sort.AS_FORETOLD, False)


def test_without_an_action_nothing_is_judged(standing):
    """A run that only watched, and one whose moment nobody marked, say why."""
    watched = compare(standing, run((), probe("mail", outage(60.0, 100.0)), marks=[]))
    assert (watched.lines, watched.why_not) == ((), "nothing was taken out in it")
    said = [Marked(at_s=1.0, mark=Mark.SAID)]
    assert compare(standing, run(["n1"], marks=said)).why_not == "nobody marked when it was done"


def test_parts_that_the_lab_has_no_more_are_told(standing):
    """A run about a part that was renamed since is refused by name."""
    with pytest.raises(QuestionError, match="no part is called 'n9'"):
        compare(standing, run(["n9"], probe("mail")))


def test_what_was_out_beforehand_counts(standing):
    """With the first copy out already, losing the second brings the service down: no take-over is foretold."""
    found = compare(standing, run(["n2"], probe("mail", outage(60.0, 665.0)), out=["n1"]))
    assert found.of("mail").foretold.verdict is Verdict.FALLS
    assert found.of("mail").sort is Sort.AS_FORETOLD


def test_what_was_out_already_can_not_be_taken_out(standing):
    """Nothing is foretold of it, and that is said instead of a cold start."""
    found = compare(standing, run(["n1"], probe("mail"), out=["n1"]))
    assert (found.lines, found.why_not) == ((), "all that was taken out in it was out beforehand")


def test_other_things_than_services_are_compared_too(standing):
    """A node that a probe sees is down from the action until it is put back."""
    line = of(standing, probe("n1", outage(60.0, 662.0)))
    assert (line.service, line.sort) == (False, Sort.AS_FORETOLD)
    assert of(standing, probe("n1")).wrong is Wrong.STOOD


def test_probes_that_see_nothing_of_the_lab_are_named(standing):
    """A probe of which nobody knows what it sees is not lost silently."""
    assert compare(standing, run(["n1"], probe("", name="stray"))).unknown == ("stray",)


def test_a_copy_that_is_stopped_is_foretold_like_a_part_that_is_lost(standing):
    """The node goes on; the service that the copy belongs to is interrupted."""
    found = compare(standing, run(["mail.1"], probe("mail", outage(60.0, 100.0)), probe("wiki")))
    assert found.lost == ("mail.1",)
    assert [(line.thing, line.sort) for line in found.seen] == [
        ("mail", Sort.AS_FORETOLD),
        ("wiki", Sort.AS_FORETOLD),
    ]


def test_a_full_store_is_foretold_like_one_that_is_lost():
    """Its drives go on, and what has its state in it falls."""
    text = """
        lab: t
        kinds: {disk: {is: drive}}
        machines: {n1..2: {is: node, drives: 2 disk}}
        stores: {shelf: {drives: n1.d*, layout: mirror}}
        services: {wiki: {on: n2, state in: shelf}}
        """
    seen = run(["shelf"], probe("wiki", outage(60.0, 662.0)), tries="full disk")
    found = compare(Standing(lab_of(text)), seen)
    assert (found.lost, found.of("wiki").sort) == (("shelf",), Sort.AS_FORETOLD)


COLD = """
lab: t
machines: {n1: {is: node, wakes in: 2 min, power back: on}, n2: {is: node, power back: stays off}}
services: {dns: {on: n1, restarts in: 60 s}, wiki: {on: n2}}
aims: {it comes back: {cold start: without hands}}
"""


@pytest.mark.parametrize(
    ("thing", "until_s", "sort", "wrong"),
    [
        ("dns", 660.0 + 180.0, Sort.AS_FORETOLD, Wrong.NOT),
        ("dns", 660.0 + 30.0, Sort.FASTER, Wrong.NOT),
        ("dns", 660.0 + 600.0, Sort.SLOWER, Wrong.NOT),
        ("dns", NEVER, Sort.WRONG, Wrong.STAYED),
        ("wiki", NEVER, Sort.AS_FORETOLD, Wrong.NOT),
        ("wiki", 900.0, Sort.WRONG, Wrong.CAME),
        ("dns", 300.0, Sort.NOT_SEEN, Wrong.NOT),
    ],
)
def test_a_cold_start_is_timed_from_when_the_power_is_back(thing, until_s, sort, wrong):
    """Three minutes to wake and restart; what stays off does not come back, and how it stopped does not matter."""
    seen = probe(thing, outage(20.0, until_s, ends_s=3000.0))
    found = compare(Standing(lab_of(COLD)), run((), seen, tries="cold start", until_s=3000.0))
    line = found.of(thing)
    assert (line.sort, line.wrong) == (sort, wrong)
    assert found.from_s == 660.0
    if sort is Sort.SLOWER:
        assert line.says.startswith("was back 10 min after the power; foretold: 3 min (")


def test_a_cold_start_whose_moment_nobody_marked_says_so():
    """Without a mark there is nothing to count from."""
    found = compare(Standing(lab_of(COLD)), run((), probe("dns"), tries="cold start", marks=[]))
    assert found.why_not == "nobody marked when the power was back"


@settings(max_examples=6, deadline=None)
@given(text=texts(), data=st.data())
def test_a_lab_that_is_as_its_file_says_raises_no_false_alarm(text, data):
    """Whatever is lost in whatever lab: what the exact engine does is never wrong, slower or faster."""
    standing = Standing(lab_of(text))
    lost = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=2, unique=True))
    found = compare(standing, observe(standing, lost, every_s=data.draw(st.sampled_from((0.1, 1.0)))))
    assert {line.sort for line in found.lines} <= {Sort.AS_FORETOLD, Sort.NOT_SEEN}
    assert all(standing.baseline.up(line.thing) is False for line in found.sorted(Sort.NOT_SEEN))


@settings(max_examples=6, deadline=None)
@given(text=texts(), data=st.data())
def test_whatever_was_seen_is_judged(text, data):
    """Any outages of any probes in any order: every service has its line, and every line its sentence."""
    standing = Standing(lab_of(text))
    moments = st.floats(-10.0, 800.0) | st.just(NEVER)
    probes = []
    for number in range(data.draw(st.integers(0, 4))):
        sees = data.draw(st.sampled_from([*standing.support.things, "nobody"]))
        times = sorted(data.draw(st.lists(moments, max_size=6)))
        pairs = zip(times[::2], times[1::2], strict=False)
        outages = [outage(first, last) for first, last in pairs if first != NEVER]
        probes.append(probe(sees, *outages, name=f"p{number}", yes=data.draw(st.integers(0, 1))))
    lost = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=2, unique=True))
    put_back_s = data.draw(st.sampled_from((None, 60.0, 61.0, 700.0)))
    found = compare(standing, run(lost, *probes, put_back_s=put_back_s))
    assert set(standing.support.services) <= {line.thing for line in found.lines}
    assert all(line.says and "nan" not in line.says for line in found.lines)
    assert all((line.sort is Sort.WRONG) == (line.wrong is not Wrong.NOT) for line in found.lines)


BATTERY = """\
falsework: 1
lab: One on the wall, one on the battery
power:
  circuit: {is: circuit, volts: 230 V, breaker: 16 A}
  battery: {is: ups, fed by: circuit, runs: {300 W: 30 min}}
machines:
  a: {is: node, fed by: circuit, draws: 300 W}
  b: {is: node, fed by: battery, draws: 300 W}
services:
  mail: {on: [a, b], takes over: 20 s}
"""


@pytest.mark.parametrize(
    ("outages", "put_back_s", "sort", "wrong"),
    [
        ([(60.0, 80.0)], 660.0, Sort.AS_FORETOLD, Wrong.NOT),
        ([(60.0, 80.0), (1860.0, 4000.0)], 3660.0, Sort.AS_FORETOLD, Wrong.NOT),
        ([(60.0, 140.0)], 660.0, Sort.SLOWER, Wrong.NOT),
        ([(60.0, 670.0)], 660.0, Sort.WRONG, Wrong.STAYED),
        ([(60.0, 4000.0)], 3660.0, Sort.WRONG, Wrong.STAYED),
        ([], 660.0, Sort.WRONG, Wrong.STOOD),
        ([(60.0, 80.0), (300.0, 400.0)], 660.0, Sort.WRONG, Wrong.AGAIN),
        ([(60.0, 80.0)], 3660.0, Sort.WRONG, Wrong.STOOD),
        ([(60.0, 80.0), (1860.0, 1900.0)], 3660.0, Sort.WRONG, Wrong.CAME),
        ([(60.0, 140.0), (1860.0, 4000.0)], 3660.0, Sort.SLOWER, Wrong.NOT),
    ],
)
def test_what_is_interrupted_first_and_falls_for_good_later_is_held_to_both(outages, put_back_s, sort, wrong):
    """The battery takes over after 20 s and is empty after half an hour: each span is judged, the worse told."""
    until_s = put_back_s + 60.0
    seen = probe("mail", *(outage(*each, ends_s=until_s) for each in outages))
    line = of(Standing(lab_of(BATTERY)), seen, lost=("circuit",), put_back_s=put_back_s, until_s=until_s)
    assert (line.sort, line.wrong) == (sort, wrong), line.says
    assert line.foretold.verdict is Verdict.FALLS


def test_a_drill_of_a_lab_with_a_battery_is_as_foretold():
    """What the engine itself foretells of both spans agrees with itself, whenever it is put back."""
    standing = Standing(lab_of(BATTERY))
    for put_back_s in (62.0, 660.0, 1859.0, 1862.0, 3660.0):
        found = compare(
            standing, observe(standing, ["circuit"], put_back_s=put_back_s, until_s=put_back_s + 60)
        )
        assert found.of("mail").sort is Sort.AS_FORETOLD, found.of("mail").says
