"""Are messages of both standards read as the standards say?"""

import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs.forms import said
from falsework.logs.line import UNSAID
from falsework.logs.stamps import SECOND, Stamps

UTC = datetime.UTC


def us(*parts, zone=UTC):
    """A moment in microseconds since 1970."""
    return round(datetime.datetime(*parts, tzinfo=zone).timestamp() * SECOND)


NEAR = us(2026, 3, 1)


def read(text, zone=UTC, near=NEAR, host="file"):
    """What a line says."""
    return said(text if isinstance(text, bytes) else text.encode(), Stamps(zone, near), host)


@pytest.mark.parametrize(
    ("line", "at", "host", "app", "severity", "text"),
    [
        (
            "<34>1 2003-10-11T22:14:15.003Z mymachine.example.com su - ID47 - \ufeff'su root' failed for lonvick on /dev/pts/8",
            us(2003, 10, 11, 22, 14, 15, 3000),
            "mymachine.example.com",
            "su",
            2,
            "'su root' failed for lonvick on /dev/pts/8",
        ),
        (
            "<165>1 2003-08-24T05:14:15.000003-07:00 192.0.2.1 myproc 8710 - - %% It's time to make the do-nuts.",
            us(2003, 8, 24, 12, 14, 15, 3),
            "192.0.2.1",
            "myproc",
            5,
            "%% It's time to make the do-nuts.",
        ),
        (
            '<165>1 2003-10-11T22:14:15.003Z mymachine.example.com evntslog - ID47 [exampleSDID@32473 iut="3" '
            'eventSource="Application" eventID="1011"] \ufeffAn application event log entry...',
            us(2003, 10, 11, 22, 14, 15, 3000),
            "mymachine.example.com",
            "evntslog",
            5,
            "An application event log entry...",
        ),
        (
            "<34>Oct 11 22:14:15 mymachine su: 'su root' failed for lonvick on /dev/pts/8",
            us(2025, 10, 11, 22, 14, 15),
            "mymachine",
            "su",
            2,
            "'su root' failed for lonvick on /dev/pts/8",
        ),
    ],
)
def test_the_examples_of_the_standards(line, at, host, app, severity, text):
    """RFC 5424 section 6.5, examples 1 to 3, and RFC 3164 section 5.4, example 1 (its year is the nearest one)."""
    assert read(line)[:5] == (at, host, app, severity, text)


def test_nothing_but_structured_data_is_what_the_line_says():
    """RFC 5424 section 6.5, example 4: two elements and no text."""
    data = '[exampleSDID@32473 iut="3" eventSource="Application"][examplePriority@32473 class="high"]'
    found = read(f"<165>1 2003-10-11T22:14:15.003Z mymachine.example.com evntslog - ID47 {data}")
    assert found.text == data


def test_escapes_in_structured_data_do_not_end_it():
    r"""RFC 5424 section 6.3.3: \" \\ and \] are one sign each, and a text may begin with a bracket."""
    data = r'[a@1 quote="say \"ja\"" slash="a\\b" bracket="x\]y" kept="\n"]'
    found = read(rf"<13>1 2026-03-01T00:00:00Z h a - - {data} [not] data")
    assert found.text == "[not] data"


def test_what_is_nil_is_left_to_the_file():
    """A host that is not said is the file's; an application that is not said is none; without a time there is no line."""
    assert read("<13>1 2026-03-01T00:00:00Z - - - - - hello")[1:] == ("file", "", 5, "hello", "", 0)
    assert read("<13>1 - h a - - - hello") is None


def test_a_priority_out_of_range_is_none():
    """192 and above are no priorities."""
    assert read("<192>1 2026-03-01T00:00:00Z h a - - - hello") is None
    assert read("<192>Mar  1 00:00:00 h a: hello") is None


def test_a_received_message_keeps_both_times():
    """A line that begins with the time of who took it in, and holds the message with its own."""
    found = read("2026-03-01T10:00:02.5Z store <30>1 2026-03-01T10:00:00Z web-1 app - - - hello")
    assert (found.host, found.by, found.by_us - found.at_us) == ("web-1", "store", 2_500_000)


@pytest.mark.parametrize(
    ("near", "year"),
    [(us(2026, 1, 2), 2025), (us(2025, 12, 30), 2025), (us(2026, 6, 1), 2025), (us(2026, 8, 1), 2026)],
)
def test_the_year_is_the_one_that_is_nearest(near, year):
    """A line of the end of December, asked about in the days around New Year and in summer."""
    assert read("Dec 31 23:59:59 h a: bye", near=near).at_us == us(year, 12, 31, 23, 59, 59)


def test_a_leap_day_is_of_a_leap_year():
    """29 February asked about in 2026 is of 2028 or 2024, whichever is nearer; no error."""
    assert read("Feb 29 12:00:00 h a: x", near=us(2026, 1, 1)).at_us == us(2024, 2, 29, 12)
    assert read("Feb 30 12:00:00 h a: x") is None


def test_the_zone_counts_where_no_offset_is_said():
    """A time without an offset is of the zone asked for, summer and winter; one with an offset is not touched."""
    zone = ZoneInfo("Europe/Berlin")
    assert read("Mar  1 12:00:00 h a: x", zone).at_us == us(2026, 3, 1, 11)
    assert read("2026-07-01 12:00:00 x", zone).at_us == us(2026, 7, 1, 10)
    assert read("2026-07-01T12:00:00+00:00 x", zone).at_us == us(2026, 7, 1, 12)


@pytest.mark.parametrize(
    ("line", "at", "app", "text"),
    [
        ("2026-03-01 04:05:06,789 INFO ready", us(2026, 3, 1, 4, 5, 6, 789000), "", "INFO ready"),
        ("2026/03/01 04:05:06 worker: ready", us(2026, 3, 1, 4, 5, 6), "worker", "ready"),
        ("2026-03-01T04:05:06.123456789+0530 x", us(2026, 2, 28, 22, 35, 6, 123456), "", "x"),
        ("2026-03-01T04:05:60Z leap", us(2026, 3, 1, 4, 6, 0), "", "leap"),
        ("2026-03-01 04:05:06 +0100 x", us(2026, 3, 1, 3, 5, 6), "", "x"),
        ("2026-03-01 04:05:06-07 x", us(2026, 3, 1, 11, 5, 6), "", "x"),
        ("2026-03-01 04:05:06 -12 degrees", us(2026, 3, 1, 4, 5, 6), "", "-12 degrees"),
        ("[2026-03-01T04:05:06Z] ERROR: no", us(2026, 3, 1, 4, 5, 6), "", "ERROR: no"),
        ("[1772337906.25] up", us(2026, 3, 1, 4, 5, 6, 250000), "", "up"),
        ("1772337906 up", us(2026, 3, 1, 4, 5, 6), "", "up"),
        ("2026-03-01 10:00:00 Starting backup: now", us(2026, 3, 1, 10), "", "Starting backup: now"),
        (
            "[Sun Mar 01 04:05:06.25 2026] [core:error] no",
            us(2026, 3, 1, 4, 5, 6, 250000),
            "",
            "[core:error] no",
        ),
        ("Sun Mar  1 04:05:06 2027 x", us(2027, 3, 1, 4, 5, 6), "", "x"),
        (
            'time="2026-03-01T04:05:06Z" level=warn msg="no way"',
            us(2026, 3, 1, 4, 5, 6),
            "",
            'level=warn msg="no way"',
        ),
        ("ts=1772337906.25 msg=up", us(2026, 3, 1, 4, 5, 6, 250000), "", "msg=up"),
        ("2026-03-01T10:00:00Z desk-1 kernel: power", us(2026, 3, 1, 10), "kernel", "power"),
        (
            '192.0.2.7 - - [01/Mar/2026:05:05:06 +0100] "GET / HTTP/1.1" 200 5',
            us(2026, 3, 1, 4, 5, 6),
            "",
            '192.0.2.7 "GET / HTTP/1.1" 200 5',
        ),
    ],
)
def test_plain_lines_with_a_time(line, at, app, text):
    """The usual ways in which programs write a time before a line."""
    found = read(line)
    assert (found.at_us, found.app, found.text) == (at, app, text)


@pytest.mark.parametrize(
    "line",
    [
        "",
        "   at frame 3",
        "[   12.345678] usb 1-1: new device",
        "2026-13-01 00:00:00 x",
        "12345 things",
        "<",
        "<13>",
        "{",
        "Mar",
    ],
)
def test_what_has_no_time_is_no_line(line):
    """Continuations, times since the start of a machine, months that are none."""
    assert read(line) is None


def test_a_severity_in_words_is_heard():
    """Near the beginning of a plain line; a line that says none has none."""
    assert [
        read(f"2026-03-01 10:00:00 {each} x").severity for each in ("ERROR", "[warn]", "panic:", "fine")
    ] == [3, 4, 0, UNSAID]


@given(
    line=st.one_of(
        st.binary(max_size=200),
        st.from_regex(rb"\A<\d{1,3}>1 2026-0[1-9]-01T0\d:00:00Z .{0,80}", fullmatch=False),
    )
)
@settings(max_examples=80, deadline=None)
def test_any_bytes_are_read_without_an_error(line):
    """Whatever bytes come, the answer is a line or none."""
    found = read(line)
    assert found is None or isinstance(found.at_us, int)


def test_a_hostile_line_takes_no_long():
    """Long runs of what a pattern might try again and again: the work grows with the length, which the steps show."""
    for line in (
        "<13>1 2026-03-01T00:00:00Z h a - - [a" + ' b="\\\\' * 8000,
        "<13>1 2026-03-01T00:00:00Z h a - - [" + " " * 60000,
        "a" * 60000,
        "[" * 60000,
    ):
        assert read(line) is None or read(line).text
