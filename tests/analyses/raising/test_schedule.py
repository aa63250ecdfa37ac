"""Tests of the calendar of an order of work."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.analyses.raising.evenings import usual, worker_of
from falsework.analyses.raising.result import Doing, Fragile, Moment, Plan, Single, Step
from falsework.analyses.raising.schedule import schedule, stretches
from falsework.errors import LabError, LimitError, QuestionError
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.people import Person
from falsework.units import ThreePoint

FRIDAY = datetime.datetime(2026, 12, 4)
LAB = """
falsework: 1
lab: a shelf
outside: {mains: {}}
machines:
  desk: {is: node, fed by: mains, raising: {takes: 1 h, by: %s, comes on: %s}}
"""


def lab(people="", by="me", comes="2026-12-04"):
    """A shelf with one desk and these people."""
    text = LAB % (by, comes) + (f"people:\n{people}" if people else "")
    if not people:
        text = text.replace(", by: me", "")
    return build(read_text(text, "shelf.yaml"))


EVENINGS = "  me: {works: Mon-Fri 19:00-22:00 and Sat 09:00-17:00}\n"


def step(number, takes, hands=0, **more):
    """A step of so many minutes, the first of which are hands."""
    guess = takes if isinstance(takes, tuple) else (takes, takes, takes)
    low, likely, high = (60.0 * each for each in guess)
    return Step(
        number=number,
        doing=Doing.BRING,
        things=more.pop("things", (f"thing-{number}",)),
        says=f"bring thing-{number}",
        takes=ThreePoint(low=low, likely=likely, high=high),
        hands_s=60.0 * hands,
        **more,
    )


def plan(*steps):
    """An order of work of these steps."""
    empty = Moment(step=0, built=frozenset(), lent=frozenset(), serving={})
    return Plan(
        steps=steps, already=(), stand_ins=(), cost_s=0, bound_s=0, stuck=(), circle=(), would_do=(),
        moments=tuple(replace(empty, step=number) for number in range(len(steps) + 1)),
    )  # fmt: skip


def moments(count, fragile):
    """Fragile moments from {service: (first, last)}: it serves from the first on, alone on `prop` until the last."""
    found = []
    for number in range(count + 1):
        serving = tuple(name for name, (first, _) in fragile.items() if number >= first)
        alone = tuple(name for name in serving if number < fragile[name][1])
        singles = (Single(part="prop", services=alone),) if alone else ()
        found.append(
            Fragile(step=number, serving=serving, missing=(), singles=singles, margin=1 if singles else 2)
        )
    return tuple(found)


def at(day, hour, minute=0):
    """A moment of December."""
    return datetime.datetime(2026, 12, day, hour, minute)


def spans(made):
    """Begin and end of each slot."""
    return [(slot.begins, slot.ends) for slot in made.slots]


def made(the_lab, the_plan, fragile=(), **more):
    """The calendar, by one thread."""
    return schedule(the_lab, the_plan, fragile, begins=FRIDAY, workers=1, **more)


def test_hands_come_in_the_evening_and_the_rest_goes_on_by_itself():
    """Work waits for the evening, what it leaves runs into the night, and the next work is done beside it."""
    result = made(lab(EVENINGS), plan(step(1, 600, 20), step(2, 30, 30)))
    assert spans(result) == [(at(4, 19), at(5, 5)), (at(4, 19, 20), at(4, 19, 50))]
    assert result.slots[0].work == ((at(4, 19), at(4, 19, 20)),)
    assert [slot.who for slot in result.slots] == ["me", "me"]
    assert (result.begins, result.ends, result.earliest_end) == (at(4, 19), at(5, 5), at(5, 5))


def test_a_whole_piece_waits_for_the_next_window():
    """Two pieces of 100 minutes don't fit an evening of 180; the second is done on Saturday morning."""
    result = made(lab(EVENINGS), plan(step(1, 100, 100), step(2, 100, 100, after=(1,))))
    assert spans(result)[1] == (at(5, 9), at(5, 10, 40))


def test_work_longer_than_an_evening_is_split_over_the_next():
    """Work of ten hours takes Friday evening and seven hours of Saturday."""
    result = made(lab(EVENINGS), plan(step(1, 600, 600)))
    assert result.slots[0].work == ((at(4, 19), at(4, 22)), (at(5, 9), at(5, 16)))


def test_a_delivery_and_days_away_are_waited_for():
    """What comes on Monday while its only person is away that day begins on Tuesday evening."""
    away = "  me: {works: Mon-Fri 19:00-22:00, away: [2026-12-07]}\n"
    result = made(lab(away), plan(step(1, 10, 10, not_before=datetime.date(2026, 12, 7))))
    assert spans(result) == [(at(8, 19), at(8, 19, 10))]


def test_two_people_work_at_once_each_in_their_hours():
    """What only one may do is done by that one; the other does the rest meanwhile."""
    two = EVENINGS + "  warden: {works: Mon-Sun 08:00-18:00}\n"
    the_plan = plan(step(1, 60, 60, by=("me",)), step(2, 60, 60), step(3, 60, 60, by=("warden",)))
    result = made(lab(two), the_plan)
    assert [slot.who for slot in result.slots] == ["me", "warden", "warden"]
    alone = made(lab(two), plan(step(1, 60, 60)), hands=("me",))
    assert spans(alone) == [(at(4, 19), at(4, 20))]


def test_without_people_an_unnamed_pair_of_hands_works_at_all_hours():
    """One thing after another, from the first minute, and nobody is named."""
    result = made(lab(), plan(step(1, 30, 30), step(2, 30, 30)))
    assert sorted(spans(result)) == [(at(4, 0), at(4, 0, 30)), (at(4, 0, 30), at(4, 1))]
    assert [slot.who for slot in result.slots] == ["", ""]
    assert all(slot.work for slot in result.slots)


def test_a_day_stands_for_its_midnight_and_seconds_are_rounded_up():
    """A begin by date is midnight; a step of 61 seconds takes two minutes."""
    the_plan = plan(step(1, 61 / 60))
    by_day = schedule(lab(), the_plan, (), begins=datetime.date(2026, 12, 4), workers=1)
    assert spans(by_day) == [(at(4, 0), at(4, 0, 2))]
    late = schedule(lab(), the_plan, (), begins=at(4, 0).replace(second=1), workers=1)
    assert late.begins == at(4, 0, 1)


def test_what_makes_a_service_fragile_waits_as_long_as_the_end_allows():
    """The service is fragile from step 1 to step 3; step 1 waits beside the ten hours of step 2."""
    the_plan = plan(step(1, 30), step(2, 600), step(3, 60, after=(1, 2)))
    result = made(lab(), the_plan, moments(3, {"names": (1, 3)}))
    assert spans(result)[0] == (at(4, 9, 30), at(4, 10))
    assert (result.fragile_h, result.least_fragile_h) == (1.0, 1.0)
    plainly = made(lab(), the_plan)
    assert spans(plainly)[0] == (at(4, 0), at(4, 0, 30))


def test_fragile_hours_are_those_that_the_finished_lab_has_not():
    """Services that stay as they are count nothing, others from step to step, alike ones together."""
    fragile = moments(4, {"names": (1, 3), "time": (1, 3), "mail": (2, 9), "web": (0, 2)})
    assert [(each.first, each.last, each.weight) for each in stretches(plan(*steps(4)), fragile)] == [
        (None, 1, 1),
        (0, 2, 2),
    ]
    assert stretches(plan(*steps(4)), ()) == ()


def steps(count):
    """Some steps of an hour, one after another."""
    return [step(n, 60, after=(n - 1,) if n > 1 else ()) for n in range(1, count + 1)]


def test_the_spread_adds_squares_along_the_steps_that_decide_the_end():
    """Two steps in a chain, deviations 30 and 40 minutes, make 50; what runs beside them counts nothing."""
    the_plan = plan(
        step(1, (60, 120, 240)),
        step(2, (60, 120, 300), after=(1,)),
        step(3, (10, 20, 1000)),
    )
    result = made(lab(), the_plan)
    assert result.critical == (1, 2)
    assert math.isclose(result.spread_s, 50 * 60)


def test_hands_make_a_chain_too():
    """Where steps only share the hands, those before the last one decide its end."""
    result = made(lab(), plan(step(1, 30, 30), step(2, 60, 10)))
    assert result.critical == (2,)
    result = made(lab(), plan(step(1, 30, 30), step(2, 40, 40)))
    assert sorted(result.critical) == [1, 2]


def test_nothing_to_do_is_an_empty_calendar():
    """An order without steps begins and ends at once."""
    result = made(lab(), plan())
    assert (result.slots, result.begins, result.ends, result.critical) == ((), FRIDAY, FRIDAY, ())


@given(
    st.lists(
        st.tuples(st.integers(1, 300), st.integers(0, 300), st.sets(st.integers(1, 6), max_size=2)),
        min_size=1,
        max_size=6,
    ),
    st.integers(0, 6),
)
@settings(max_examples=25)
def test_every_calendar_keeps_the_rules(rows, delivered):
    """Whatever the steps: after what they wait for, inside the hours, one thing at a time, the work whole."""
    the_plan = plan(
        *(
            step(
                number, takes, min(hands, takes), after=tuple(sorted(a for a in after if a < number)),
                not_before=datetime.date(2026, 12, 4 + delivered) if number == 2 else None,
            )
            for number, (takes, hands, after) in enumerate(rows, 1)
        )
    )  # fmt: skip
    result = made(lab(EVENINGS), the_plan)
    slots = {slot.step: slot for slot in result.slots}
    pieces = sorted(span for slot in result.slots for span in slot.work)
    assert all(one[1] <= other[0] for one, other in pairwise(pieces))
    for each in the_plan.steps:
        slot = slots[each.number]
        assert all(slots[before].ends <= slot.begins for before in each.after)
        assert each.not_before is None or slot.begins.date() >= each.not_before
        worked = sum((end - start for start, end in slot.work), datetime.timedelta())
        assert worked.total_seconds() == each.hands_s
        after_work = slot.work[-1][1] if slot.work else slot.begins
        assert (slot.ends - after_work).total_seconds() == each.takes.likely - each.hands_s
        for start, end in slot.work:
            opens, closes = {5: (9, 17)}.get(start.weekday(), (19, 22))
            assert start.weekday() < 6
            assert start.date() == end.date()
            assert opens * 60 <= start.hour * 60 + start.minute
            assert end.hour * 60 + end.minute <= closes * 60
        if each.hands_s <= 180 * 60:
            assert len(slot.work) == (each.hands_s > 0)
    assert result.ends == max(slot.ends for slot in result.slots)
    assert result.earliest_end <= result.ends


def test_hours_past_midnight_and_past_sunday_are_one_window():
    """A night from 22:00 to 02:00 every day is seven windows of four hours, Sunday's too; half an hour on Saturday is short."""
    (person,) = lab("  me: {works: daily 22:00-02:00}\n").of(Person)
    begins = datetime.datetime(2026, 12, 6, 12)  # a Sunday
    assert worker_of(person, begins, 2).windows[:2] == ((600, 840), (2040, 2280))
    assert worker_of(person, begins, 14).whole == 240
    assert usual([(0, 60), (600, 630), (10020, 10080)]) == 30


def cut_over(copying, **last):
    """A freeze of 5 minutes, a copy, a check of 15, a hand-over of 5 and a client that is told in 5."""
    rows = [("FREEZE", 5, 5), ("COPY", copying, 1), ("CHECK", 15, 15), ("HAND_OVER", 5, 5), ("REPOINT", 5, 5)]
    return [
        replace(
            step(number, takes, hands, after=(number - 1,) if number > 2 else (1,), **last),
            doing=Doing[doing],
            of="prop",
        )
        for number, (doing, takes, hands) in enumerate(rows, 2)
    ]


def test_from_the_freeze_to_the_last_client_is_one_go():
    """After 150 minutes of evening nothing is frozen that can't be finished: 40 minutes wait for Saturday morning."""
    result = made(lab(EVENINGS), plan(step(1, 150, 150), *cut_over(10)))
    ends = [at(5, 9, 5), at(5, 9, 15), at(5, 9, 30), at(5, 9, 35), at(5, 9, 40)]
    assert [slot.ends for slot in result.slots[1:]] == ends
    assert [slot.begins for slot in result.slots[1:]] == [at(5, 9), *ends[:-1]]
    copy = result.slots[2]
    assert copy.work == ((at(5, 9, 5), at(5, 9, 6)),)
    assert result.critical == (1, 2, 3, 4, 5, 6)


def test_whoever_freezes_stays_with_it():
    """Other work of that person does not go on while the copy runs."""
    lone = replace(step(7, 5, 5), after=())
    result = made(lab(EVENINGS), plan(step(1, 1, 1), *cut_over(60), lone))
    frozen = result.slots[1].begins, result.slots[5].ends
    assert not frozen[0] <= result.slots[6].begins < frozen[1]


def test_what_no_window_holds_is_done_in_steps():
    """A copy of ten hours runs over night, and the check comes the next morning."""
    result = made(lab(EVENINGS), plan(step(1, 1, 1), *cut_over(600)))
    assert spans(result)[2:4] == [(at(4, 19, 6), at(5, 5, 6)), (at(5, 9), at(5, 9, 15))]


def test_what_has_to_be_done_in_between_parts_a_cut_over():
    """A client can only be told after a step that itself waits for the hand-over: no circle, and all in order."""
    steps_ = [step(1, 5, 5), *cut_over(10), step(7, 30, 30, after=(5,))]
    steps_[5] = replace(steps_[5], after=(5, 7))
    result = made(lab(EVENINGS), plan(*steps_))
    assert result.slots[5].begins >= result.slots[6].ends >= result.slots[4].ends


def test_fragile_hours_inside_one_go_are_counted_to_the_minute():
    """Fragile from the end of the copy until the hand-over: 20 minutes, though both are one job."""
    the_plan = plan(step(1, 1, 1), *cut_over(10))
    assert math.isclose(made(lab(), the_plan, moments(6, {"names": (3, 5)})).fragile_h, 20 / 60)


def refused(error, the_lab, the_plan, **more):
    """What is said where no calendar can be made."""
    with pytest.raises(error) as caught:
        made(the_lab, the_plan, **more)
    return str(caught.value)


def test_a_step_that_nobody_taking_part_can_do_is_named_with_its_place():
    """The step, who could do it, where that is written, and who is there instead."""
    two = EVENINGS + "  warden: {works: Mon-Sun 08:00-18:00}\n"
    the_plan = plan(step(1, 60, 60, by=("me",), things=("desk",)))
    assert refused(LabError, lab(two), the_plan, hands=("warden",)) == (
        "shelf.yaml:6:61 (desk.raising.by): step 1 (bring thing-1) can only be done by me, who takes no part. "
        "Taking part: warden. Let one of them do it, or let me take part."
    )


def test_a_delivery_after_every_horizon_is_named_with_its_place():
    """A delivery in another century is a slip of the pen."""
    the_plan = plan(step(1, 60, things=("desk",), not_before=datetime.date(2126, 12, 4)))
    assert refused(LabError, lab(EVENINGS, comes="2126-12-04"), the_plan) == (
        "shelf.yaml:6:75 (desk.raising.comes on): step 1 (bring thing-1) waits for a delivery on 2126-12-04, "
        "more than 10 years after the begin. "
        "Look at the year of the delivery, or at the day on which the work begins."
    )


def test_a_person_who_never_works_is_named():
    """Away on every day of the only weekday: the person and the key to mend."""
    mondays = [datetime.date(2026, 12, 7) + datetime.timedelta(weeks=n) for n in range(530)]
    the_lab = lab("  me: {works: Mon 19:00-22:00}\n")
    (person,) = the_lab.of(Person)
    the_lab = replace(the_lab, things={**the_lab.things, "me": replace(person, away=tuple(mondays))})
    said = refused(LabError, the_lab, plan(step(1, 60, 60)))
    assert "people.me.works" in said
    assert "needs me, who never works in 10 years from the begin" in said


def test_work_that_outlasts_ten_years_is_too_much():
    """A minute a week does not do a year's work."""
    said = refused(LimitError, lab("  me: {works: Sat 09:00-09:01}\n"), plan(step(1, 9000, 9000)))
    assert said.startswith("the work of step 1 (bring thing-1) does not end within 10 years")


def test_steps_in_a_circle_are_named():
    """Two steps that wait for each other are both named."""
    said = refused(LabError, lab(), plan(step(1, 5, after=(2,)), step(2, 5, after=(1,))))
    assert "wait for each other" in said
    assert "1" in said
    assert "2" in said


def test_an_unknown_name_and_a_time_zone_are_refused():
    """Both are questions that have no answer, with what to do instead."""
    assert refused(QuestionError, lab(EVENINGS), plan(), hands=("mee",)) == (
        "nobody is called 'mee'. Did you mean me?"
    )
    with pytest.raises(QuestionError, match="without a zone"):
        schedule(lab(), plan(), (), begins=FRIDAY.replace(tzinfo=datetime.UTC))
