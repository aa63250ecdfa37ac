"""Are weekly hours read as people mean them, and is nonsense told with its place?"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.errors import LabError
from falsework.model.hours import together, weekly
from falsework.units import WEEK_S
from falsework.where import Where

H, D = 3600.0, 86_400.0
PLACE = Where("lab.yaml", 4, 7)


def on(day, start, end):
    """Hours of one day, as seconds of the week."""
    return (day * D + start * H, day * D + end * H)


@pytest.mark.parametrize(
    ("text", "windows"),
    [
        ("Mon-Fri 19:00-22:00 and Sat 09:00-17:00", (*(on(d, 19, 22) for d in range(5)), on(5, 9, 17))),
        ("Sun 03:00-04:00", (on(6, 3, 4),)),
        ("Mon, Wed and Fri 09:00-10:00", (on(0, 9, 10), on(2, 9, 10), on(4, 9, 10))),
        ("Tue 08:00-12:00, 13:00-17:30", (on(1, 8, 12), on(1, 13, 17.5))),
        ("tuesday 8:00 - 12:00 AND WED 13:00–14:00", (on(1, 8, 12), on(2, 13, 14))),
        ("Fri-Mon 10:00-11:00", (on(0, 10, 11), on(4, 10, 11), on(5, 10, 11), on(6, 10, 11))),
        ("Wed 22:00-02:00", (on(2, 22, 26),)),
        ("Sun 22:00-02:00", ((0.0, 2 * H), on(6, 22, 24))),
        ("Mon 22:00-00:00 and Tue 00:00-01:00", (on(0, 22, 25),)),
        ("Mon 09:00-12:00 and Mon 11:00-13:00", (on(0, 9, 13),)),
        ("daily 00:00-24:00", ((0.0, WEEK_S),)),
        ("daily 12:00-13:00", tuple(on(d, 12, 13) for d in range(7))),
        ("always", ((0.0, WEEK_S),)),
    ],
)
def test_hours_are_read(text, windows):
    """The text names these windows: in order, merged, folded at the end of the week."""
    assert weekly(text, PLACE) == windows


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no hours are written here. Write for example Mon-Fri 19:00-22:00 and Sat 09:00-17:00."),
        ("evenings", "'evenings' is not a day of the week."),
        ("Mno 09:00-17:00", "'Mno' is not a day of the week. Did you mean Mon?"),
        ("Mon-Fry 09:00-17:00", "'Fry' is not a day of the week. Did you mean Fri?"),
        ("09:00-17:00", "'09:00-17:00' does not say on which days. Write daily 09:00-17:00 for every day."),
        ("Mon-Fri", "'Mon-Fri' names days without a time of day. Write Mon-Fri 09:00-17:00, or 00:00-24:00"),
        ("Mon 9-17", "'9-17' lacks minutes. Write 09:00-17:00."),
        ("Mon 9am-5pm", "'Mon 9am-5pm' counts hours by twelve. Write 19:00 for seven in the evening."),
        ("Mon 09:00", "'09:00' is not a time of day from and to. Write for example 19:00-22:00."),
        ("Mon 09:00-25:00", "'09:00-25:00' is not on the clock. Write times from 00:00 to 24:00."),
        ("Mon 09:60-10:00", "'09:60-10:00' is not on the clock."),
        ("Mon 24:00-01:00", "'24:00-01:00' is not on the clock."),
        ("Mon 09:00-09:00", "'09:00-09:00' begins when it ends. Write 00:00-24:00 for the whole day."),
        ("Mon 09:00-10:00 and", "'Mon 09:00-10:00 and' ends in 'and'. Take it away, or write what follows."),
        (", Mon 09:00-10:00", "has ',' with nothing before it"),
        ("Mon and and Tue 09:00-10:00", "has 'and' with nothing before it"),
        ("Mon always", "'always' stands beside other words. Write always alone, or daily for every day."),
        ("Mon 09:00-10:00 and Tue", "names days without a time of day. Write Tue 09:00-17:00"),
        ("Mon 09:00-10:00 " * 50, "is too long to be hours of the week"),
    ],
)
def test_nonsense_is_told_with_its_place(text, said):
    """What can't be hours is a fault of the lab file: place, path, value, and how to mend it."""
    with pytest.raises(LabError) as caught:
        weekly(text, PLACE, "people.me.works")
    assert str(caught.value).startswith("lab.yaml:4:7 (people.me.works): ")
    assert said in str(caught.value)
    assert len(caught.value.faults) == 1


def test_several_people_work_when_any_of_them_does():
    """Hours of several people join where they touch or overlap; nobody's hours are no hours."""
    one, other = weekly("Mon 09:00-12:00 and Sun 22:00-02:00"), weekly("Mon 02:00-03:00, 11:00-13:00")
    assert together(one, other) == ((0.0, 3 * H), on(0, 9, 13), on(6, 22, 24))
    assert together(one) == one
    assert together() == ()


@given(st.text(alphabet="MonTueSat 0123456789:-,and\n\x00–", max_size=40) | st.text(max_size=40))
def test_any_text_is_windows_or_a_fault(text):
    """Whatever is written gives windows in order within the week, or a fault; never anything else."""
    try:
        windows = weekly(text)
    except LabError:
        return
    flat = [edge for window in windows for edge in window]
    assert windows
    assert flat == sorted(set(flat))
    assert flat[0] >= 0
    assert flat[-1] <= WEEK_S
