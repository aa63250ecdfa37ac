"""Is a stretch of a log read whole, with as little of the rest as may be?"""

import datetime
import gzip
import io
import lzma

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs import reading
from falsework.logs.line import LONGEST_NAME, SIGN
from falsework.logs.reading import Tally, read
from falsework.logs.seeking import first_at, next_time, numbers
from falsework.logs.source import Refused, Source, source
from falsework.logs.stamps import SECOND, Stamps

BEGIN = 1_772_337_600
"""2026-03-01 04:00:00 UTC."""


def written(at_s, text):
    """A line of a log."""
    when = datetime.datetime.fromtimestamp(at_s, datetime.UTC)
    return f"{when:%Y-%m-%dT%H:%M:%S}Z desk-1 app[7]: {text}\n".encode()


def looked(path, number=0):
    """The file as a source."""
    return source(path, number, Stamps())


def stretch(path, begin, end, tally=None):
    """The texts of a stretch, seconds since `BEGIN`."""
    found = read(
        looked(path),
        Stamps(),
        (BEGIN + begin) * SECOND,
        (BEGIN + end) * SECOND,
        tally=tally or Tally(),
    )
    return [line.text for line in found]


@pytest.fixture
def large(tmp_path):
    """A log of a line each second, in order, some hundred KiB."""
    path = tmp_path / "desk-1.log"
    path.write_bytes(b"".join(written(BEGIN + each, f"line {each} {'.' * 60}") for each in range(8_000)))
    return path


def test_a_stretch_of_a_file_in_order_is_sought(large, monkeypatch):
    """The lines of the stretch, all of them, while most of the file is never read."""
    seen = []
    monkeypatch.setattr(
        reading, "said", lambda raw, *more, say=reading.said: seen.append(raw) or say(raw, *more)
    )
    found = stretch(large, 6_000, 6_010)
    assert [each.split()[1] for each in found] == [str(each) for each in range(6_000, 6_010)]
    assert looked(large).ordered
    assert len(seen) < 3_000


def test_a_clock_that_was_wrong_for_a_moment_ends_nothing(tmp_path):
    """A line of 2040 in a file in order: what follows it is read all the same, and that the time went back is told."""
    path = tmp_path / "a.log"
    lines = [written(BEGIN + each, f"line {each}") for each in range(100)]
    lines.insert(50, written(BEGIN + 440_000_000, "odd"))
    path.write_bytes(b"".join(lines))
    tally = Tally()
    assert len(stretch(path, 0, 100, tally)) == 100
    assert tally.back == 1


def test_a_file_out_of_order_is_read_whole(tmp_path):
    """What stands in the wrong half is found too."""
    path = tmp_path / "mixed.log"
    order = [*range(4_000, 8_000), *range(4_000)]
    path.write_bytes(b"".join(written(BEGIN + each, f"line {each}") for each in order))
    assert not looked(path).ordered
    assert stretch(path, 2_000, 2_003) == ["line 2000", "line 2001", "line 2002"]


@pytest.mark.slow
@given(late=st.lists(st.integers(0, 299), min_size=2_000, max_size=2_000), begin=st.integers(0, 2_000))
@settings(max_examples=3, deadline=None)
def test_lines_that_are_a_little_late_are_not_missed(tmp_path_factory, late, begin):
    """Each line up to five minutes late: the stretch has every line of its time."""
    path = tmp_path_factory.mktemp("late") / "a.log"
    times = [each - late[each] for each in range(2_000)]
    path.write_bytes(b"".join(written(BEGIN + at, f"{at} {'.' * 100}") for at in times))
    found = stretch(path, begin, begin + 60)
    assert [int(each.split()[0]) for each in found] == [at for at in times if begin <= at < begin + 60]


@pytest.mark.parametrize("pack", [gzip.compress, lzma.compress], ids=["gzip", "xz"])
def test_a_packed_file(tmp_path, pack):
    """Packed by either way of the standard library; the name of the file is the host's where lines say none."""
    path = tmp_path / "desk-9.log.1.gz"
    path.write_bytes(pack(b"2026-03-01T04:00:00Z INFO hello\n"))
    found = looked(path)
    assert (found.packed, found.ordered, found.host) == (True, False, "desk-9")
    assert stretch(path, 0, 1) == ["INFO hello"]


@pytest.mark.slow
def test_a_packed_file_that_was_cut_off_gives_what_there_is(tmp_path):
    """The lines before the cut are read, and it is told that more may have been there."""
    path = tmp_path / "cut.gz"
    noise = b"".join(written(BEGIN + each, f"line {each * 7919 % 10007} {each**3}") for each in range(12_000))
    whole = gzip.compress(noise)
    path.write_bytes(whole[: len(whole) // 2])
    tally = Tally()
    assert stretch(path, 0, 60_000, tally)[:2] == ["line 0 0", "line 7919 1"]
    assert "end" in tally.broke


@pytest.mark.slow
def test_lines_without_a_time_go_on_with_the_one_before(tmp_path):
    """A trace of several lines is one; what stands before the first time is counted; a flood of them is cut."""
    path = tmp_path / "a.log"
    flood = b"  more\n" * 10_000
    path.write_bytes(
        b"lost\n" + written(BEGIN, "broke:") + b"  at one\n  at two\n" + written(BEGIN + 1, "flood") + flood
    )
    tally = Tally()
    found = stretch(path, 0, 9, tally)
    assert found[0] == "broke: / at one / at two"
    assert len(found[1]) <= reading.MOST_JOINED + 1
    assert (tally.lines, tally.timeless, tally.joined) == (2, 1, 10_002)


def test_signs_that_move_or_hide_text_become_visible(tmp_path):
    """Escapes of terminals, NULs, turned text and bytes that are no text never reach a screen as they are."""
    path = tmp_path / "a.log"
    path.write_bytes(written(BEGIN, "x").replace(b"x", b"\x1b[2Jred\x00\xff\xe2\x80\xaetxt\tend"))
    (text,) = stretch(path, 0, 1)
    assert text == f"{SIGN}[2Jred{SIGN}{SIGN}{SIGN}txt end"
    assert text.isprintable()


def test_names_that_are_too_long_are_cut(tmp_path):
    """A host and a program of thousands of letters: what is remembered of each stays small."""
    path = tmp_path / "a.log"
    path.write_bytes(
        b'{"ts": %d, "host": "%s", "app": "%s", "msg": "x"}\n' % (BEGIN, b"h" * 9_000, b"a" * 9_000)
    )
    (line,) = read(looked(path), Stamps(), BEGIN * SECOND, (BEGIN + 1) * SECOND, tally=Tally())
    assert (len(line.host), len(line.app), line.text) == (LONGEST_NAME, LONGEST_NAME, "x")


def test_a_disk_that_fails_in_the_middle(large, monkeypatch):
    """Whether it is in order can't be seen then: it is read from its beginning, and the numbers of lines are left out."""

    def fails(*_):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("falsework.logs.source.in_order", fails)
    assert not looked(large).ordered
    large.unlink()
    assert numbers(large, [9]) == {}


def test_zeros_that_a_power_cut_left_are_passed_over(tmp_path):
    """A block of NULs in the middle, as file systems leave it: lines before and after it are read."""
    path = tmp_path / "a.log"
    path.write_bytes(written(BEGIN, "before") + bytes(5_000) + b"\n" + written(BEGIN + 5, "after"))
    found = stretch(path, 0, 9)
    assert [found[0][:6], found[1]] == ["before", "after"]


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "it is empty"),
        (b"no time here\n" * 5, "no line at its beginning has a time that can be read"),
        (bytes(range(256)) * 40, "it is no text"),
        (b"\x28\xb5\x2f\xfd\x00", "it is packed in a way that is not read here (zstd)"),
        (b"\x1f\x8b\x08\x00" + b"\xff" * 40, "it cannot be read"),
    ],
)
def test_a_file_that_is_no_log_is_refused(tmp_path, content, what):
    """Each with what is wrong and how to mend it."""
    path = tmp_path / "x.log"
    path.write_bytes(content)
    found = looked(path)
    assert isinstance(found, Refused)
    assert found.what.startswith(what)
    assert found.mend.endswith(".")


def test_no_file_and_a_folder_are_refused(tmp_path):
    """Neither is opened."""
    assert looked(tmp_path / "none").what == "there is no such file"
    assert looked(tmp_path).what == "it is no file"


@given(
    steps=st.lists(st.integers(0, 100), min_size=1, max_size=400),
    blanks=st.integers(0, 3),
    moment=st.integers(-10, 20_000),
)
@settings(max_examples=30, deadline=None)
def test_seeking_never_misses(steps, blanks, moment):
    """Where it says to begin there is the beginning of a line, and no line before it is of the moment or later."""
    at, data, begins = 0, b"", []
    for step in steps:
        at += step
        begins.append((len(data), at))
        data += b"%d %s\n" % (at, b"." * 700) + b"no time\n" * blanks
    stream = io.BytesIO(data)
    found = first_at(
        stream, len(data), moment, lambda raw: int(raw.split()[0]) if raw[:1].isdigit() else None
    )
    assert found in {offset for offset, _ in begins}
    assert all(offset >= found for offset, when in begins if when >= moment)


def test_a_time_far_in_is_found():
    """After hundreds of KiB without a time, or with lines longer than a look."""
    data = b"x" * 200_000 + b"\n" + b"no time\n" * 20_000 + b"7 here\n"
    found = next_time(io.BytesIO(data), 5, len(data), lambda raw: 7 if raw[:1] == b"7" else None)
    assert found == (len(data) - 7, 7)


def test_places_become_numbers_of_lines(tmp_path):
    """Counted as an editor counts; what lies too far in is left out."""
    path = tmp_path / "a"
    path.write_bytes(b"one\ntwo\n\nfour\n")
    assert numbers(path, [9, 0, 4]) == {0: 1, 4: 2, 9: 4}
    assert numbers(path, [9, 0], most=4) == {0: 1}
    assert isinstance(looked(path), Refused | Source)
