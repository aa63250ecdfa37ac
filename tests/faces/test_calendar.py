"""Tests of the calendar file, read back by another library."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.handmade_raising import plan, schedule, shed

from falsework.faces.calendar import calendar


def read(text):
    """The events of a calendar by their first line of text, as another library reads them."""
    events = list(vobject.readOne(text).vevent_list)
    assert len({event.uid.value for event in events}) == len(events)
    return events


def made(the_plan=None, the_schedule=None):
    """The calendar of the order made by hand."""
    return calendar(shed().lab, the_plan or plan(), the_schedule or schedule())


def test_another_library_reads_the_same_appointments():
    """Each stretch of work and each stretch that goes on by itself comes back with its times, one to one."""
    expected = set()
    for step, slot in zip(plan().steps, schedule().slots, strict=True):
        title = f"{step.number}. {step.says}"
        expected |= {(title, begins, ends, "OPAQUE") for begins, ends in slot.work}
        rest = slot.work[-1][1] if slot.work else slot.begins
        if rest < slot.ends:
            expected.add((f"{title}: goes on by itself", rest, slot.ends, "TRANSPARENT"))
    got = [(e.summary.value, e.dtstart.value, e.dtend.value, e.transp.value) for e in read(made())]
    assert len(got) == len(expected)
    assert set(got) == expected
    assert [each[1] for each in got] == sorted(each[1] for each in got)


def test_times_float_on_the_wall_clock():
    """No zone and no Z stands at a begin or an end; the stamp is the day of the begin."""
    lines = made().split("\r\n")
    times = [line for line in lines if line.startswith(("DTSTART", "DTEND"))]
    assert times[0] == "DTSTART:20261204T190000"
    assert not [line for line in times if line.endswith("Z") or "TZID" in line]
    assert {line for line in lines if line.startswith("DTSTAMP")} == {"DTSTAMP:20261204T000000Z"}


def test_the_description_has_what_is_wanted_at_hand():
    """Who, caution, what it waits for, the owner's command over two lines, each on a line of its own."""
    (event,) = [e for e in read(made()) if e.summary.value == "4. install desk-1"]
    assert event.description.value.split("\n") == [
        "Who: me",
        "Caution: desk-1 weighs 21 kg: lift with two.",
        "After: step 3",
        "Waits for a delivery: 2026-12-07",
        "Your command: install --from laptop",
        "  desk-1",
    ]


def test_what_goes_on_by_itself_names_nobody_and_a_delivery_that_is_past_is_not_told():
    """The rest of a step has no hands; in January last month's parts are there."""
    (rest,) = [e for e in read(made()) if e.summary.value == "4. install desk-1: goes on by itself"]
    assert "Who:" not in rest.description.value
    late = replace(schedule(), begins=datetime.datetime(2027, 1, 4, 19))
    assert "delivery" not in made(the_schedule=late).replace("\r\n ", "")


def test_the_name_of_the_calendar_is_escaped():
    """A comma in the lab's name stays a part of it (RFC 5545, 3.3.11)."""
    named = calendar(replace(shed().lab, name="Rock, north"), plan(), schedule())
    assert "\r\nNAME:Raising Rock\\, north\r\n" in named


def test_lines_are_folded_and_end_as_the_standard_wants():
    """No line is longer than 75 octets, and each ends in CRLF (RFC 5545, 3.1)."""
    text = made()
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75


def test_g12_folding_never_splits_a_letter_and_what_has_a_meaning_is_escaped():
    """G12, RFC 5545, 3.1 and 3.3.11: every octet line is whole UTF-8, goes on after one space, and reads back."""
    name = "Möwenfels € é\\ö; wide, " * 12
    named = calendar(replace(shed().lab, name=name), plan(), schedule())
    lines = named.encode().split(b"\r\n")
    assert all(len(line) <= 75 and line.decode() for line in lines[:-1])
    assert any(line.startswith(b" ") and not line.startswith(b"  ") for line in lines)
    told = named.replace("\r\n ", "").split("\r\nNAME:")[1].split("\r\n")[0]
    escaped = name.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    assert told.strip() == f"Raising {escaped}".strip()
    assert "\\n" in named.replace("\r\n ", "")  # descriptions have lines


def test_work_over_two_evenings_is_two_appointments():
    """Each says which part it is."""
    slot = replace(
        schedule().slots[0],
        work=tuple(
            (datetime.datetime(2026, 12, day, 19), datetime.datetime(2026, 12, day, 20)) for day in (2, 3)
        ),
    )
    split = replace(schedule(), slots=(slot, *schedule().slots[1:]))
    assert [e.summary.value for e in read(made(the_schedule=split))[:2]] == [
        "1. power c1 and strip (1 of 2)",
        "1. power c1 and strip (2 of 2)",
    ]


def test_a_moved_appointment_keeps_its_uid_and_the_same_order_makes_the_same_bytes():
    """A week later every step is the same appointment; made again it is the same file."""
    week = datetime.timedelta(weeks=1)
    later = replace(
        schedule(),
        begins=schedule().begins + week,
        slots=tuple(
            replace(
                slot,
                begins=slot.begins + week,
                ends=slot.ends + week,
                work=tuple((a + week, b + week) for a, b in slot.work),
            )
            for slot in schedule().slots
        ),
    )
    assert [e.uid.value for e in read(made())] == [e.uid.value for e in read(made(the_schedule=later))]
    assert made() == made()


def test_a_step_without_any_length_is_a_moment():
    """It has a begin and no end, because an end must be later."""
    slot = schedule().slots[5]
    moment = replace(schedule(), slots=(replace(slot, ends=slot.begins),))
    (event,) = read(made(the_schedule=moment))
    assert event.dtstart.value == slot.begins
    assert not hasattr(event, "dtend")


@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=("Cc", "Zl", "Zp", "Cs")), min_size=1, max_size=120
    )
)
@settings(max_examples=50)
def test_any_text_comes_back(text):
    """Commas, semicolons, backslashes, long lines and other scripts survive escaping and folding."""
    first = replace(plan().steps[0], says=text, check=f"{text}\n{text}")
    other = replace(plan(), steps=(first, *plan().steps[1:]))
    event = read(made(the_plan=other))[0]
    assert event.summary.value == f"1. {text}"
    assert f"Check: {text}\n{text}" in event.description.value


@pytest.mark.parametrize("sign", ["\x07", "\x00", "\x7f", "\r"])
def test_control_characters_are_left_out(sign):
    """The standard does not allow them in text."""
    first = replace(plan().steps[0], says=f"power{sign} c1")
    text = made(the_plan=replace(plan(), steps=(first, *plan().steps[1:])))
    assert sign not in text.replace("\r\n", "")
    assert read(text)[0].summary.value == "1. power c1"
