"""Do many files give one answer, whatever is wrong with some of them, and with little memory?"""

import itertools

import pytest
from tests.island_logs import AHEAD_S, MOMENT, write

from falsework.logs import gathering, merging
from falsework.logs.gathering import Stretch, gather
from falsework.logs.stamps import SECOND

AT = round(MOMENT.timestamp()) * SECOND
STRETCH = Stretch(
    ordinary_us=AT - 15_000 * SECOND, from_us=AT - 600 * SECOND, moment_us=AT, until_us=AT + 1_800 * SECOND
)


def said(found):
    """What is told, by host."""
    return [(each.line.host, each.line.text, each.count) for each in found.entries]


def test_a_bad_file_spoils_nothing(tmp_path):
    """Missing, empty, no text, without times: each is refused by itself, and the rest says what it says without them."""
    paths = write(tmp_path)
    (tmp_path / "empty.log").touch()
    (tmp_path / "pixels.log").write_bytes(bytes(range(256)) * 9)
    bad = [tmp_path / name for name in ("none.log", "empty.log", "pixels.log", "n" * 300)]
    found = gather([bad[0], *paths, bad[1], paths[0], bad[2], bad[3]], STRETCH)
    assert [each.path for each in found.refused] == bad
    assert said(found) == said(gather(paths, STRETCH))
    assert len(found.files) == len(paths)


def test_runs_on_disk_change_nothing(tmp_path):
    """Merged with hardly any memory the answer is the same."""
    paths = write(tmp_path)
    assert said(gather(paths, STRETCH, most_held=5_000)) == said(gather(paths, STRETCH))


@pytest.mark.slow
def test_the_order_of_files_changes_nothing_that_is_told(tmp_path):
    """Lines of one moment may change places; what is told does not."""
    paths = write(tmp_path)
    answers = [
        (sorted(said(found)), found.reference, [(each.low_us, each.high_us) for each in found.clocks])
        for found in (
            gather(order, STRETCH) for order in itertools.islice(itertools.permutations(paths), 0, 24, 7)
        )
    ]
    assert all(each == answers[0] for each in answers)


def test_where_a_line_stands_is_told(tmp_path):
    """Its file and its number in it."""
    paths = write(tmp_path)
    found = gather(paths, STRETCH)
    assert found.entries
    for entry in found.entries:
        number = found.numbers[entry.line.file, entry.line.offset]
        line = paths[entry.line.file].read_text().splitlines()[number - 1]
        assert entry.line.text.split()[0] in line


def test_work_is_told_of(tmp_path):
    """How far the reading is, never beyond its end."""
    paths = write(tmp_path)
    told = []
    gather(paths, STRETCH, tell=lambda *each: told.append(each))
    assert {each[0] for each in told} == {f"reading {path.name}" for path in paths}
    assert all(0 <= done <= whole == sum(path.stat().st_size for path in paths) for _, done, whole in told)


def test_a_stop_leaves_no_run_behind(tmp_path, monkeypatch):
    """Stopped in the middle of reading, as by a person, every temporary file is closed."""
    opened = []
    monkeypatch.setattr(
        merging.tempfile,
        "TemporaryFile",
        lambda make=merging.tempfile.TemporaryFile, **more: opened.append(make(**more)) or opened[-1],
    )
    monkeypatch.setattr(gathering, "folded", _stopped)
    with pytest.raises(KeyboardInterrupt):
        gather(write(tmp_path), STRETCH, most_held=5_000)
    assert len(opened) > 3
    assert all(each.closed for each in opened)


def _stopped(lines, *_):
    next(lines)
    raise KeyboardInterrupt


def test_one_host_under_two_names_is_one(tmp_path):
    """Files of one machine that call it differently count as one host where somebody knows that they are."""
    (tmp_path / "a.log").write_text("<11>1 2026-03-14T03:12:09Z a.example x - - - one\n")
    (tmp_path / "b.log").write_text("<11>1 2026-03-14T03:12:10Z a x - - - two\n")
    paths = sorted(tmp_path.iterdir())
    assert gather(paths, STRETCH).hosts == ("a", "a.example")
    assert gather(paths, STRETCH, name_of=lambda host: host.partition(".")[0]).hosts == ("a",)


def test_a_billion_hosts_take_little_memory(tmp_path, monkeypatch):
    """Above a bound hosts are one, and so are their kinds."""
    monkeypatch.setattr(gathering, "MOST_HOSTS", 10)
    path = tmp_path / "a.log"
    path.write_text("".join(f"<11>1 2026-03-14T03:12:09Z h{n} x - - - odd\n" for n in range(200)))
    found = gather([path], STRETCH)
    assert len(found.hosts) == 11
    assert gathering.OTHERS in found.hosts
    assert found.kinds == 11


def test_numbers_of_lines_are_left_out_where_they_cost_too_much(tmp_path, monkeypatch):
    """Then the place in bytes is all that is told."""
    monkeypatch.setattr(gathering, "MOST_COUNTED", 0)
    assert gather(write(tmp_path), STRETCH).numbers == {}


@pytest.mark.slow
def test_a_folder_is_its_files(tmp_path):
    """All but hidden ones and folders in it; what is no log there is passed over, unless it is named; none is refused."""
    paths = write(tmp_path)
    (tmp_path / ".hidden").write_text("x")
    (tmp_path / "inner").mkdir()
    (tmp_path / "empty").touch()
    (tmp_path / "README").write_text("What lies here?")
    assert [each.name for each in gather([tmp_path], STRETCH).passed] == ["README", "empty"]
    assert [each.path.name for each in gather([tmp_path, tmp_path / "README"], STRETCH).refused] == ["README"]
    assert [each.source.path for each in gather([tmp_path], STRETCH).files] == paths
    assert [each.what for each in gather([tmp_path / "inner"], STRETCH).refused] == ["it is no file"]


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 3, 4])
def test_offsets_are_recovered_from_files(tmp_path, seed):
    """Other days on the island: each clock lies within its bounds, and what is told is what was new, each time."""
    found = gather(
        write(tmp_path, seed=seed),
        STRETCH,
        name_of=lambda host: "twin-1.a" if host == "twin-1a" else host.partition(".rock")[0],
    )
    assert {each.clock for each in found.clocks} == set(AHEAD_S)
    for each in found.clocks:
        truth = (AHEAD_S[each.clock] - AHEAD_S[found.reference]) * SECOND
        assert each.low_us <= truth <= each.high_us
        assert each.within_us < 0.1 * SECOND
    assert len(found.entries) == 6
