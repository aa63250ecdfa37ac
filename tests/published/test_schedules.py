"""The scheduler against published projects and textbook cases.

Sources: R. Kolisch, A. Sprecher, "PSPLIB - a project scheduling problem library", European Journal of Operational
Research 96 (1997) 205-216 (the projects; the length of the critical path, "MPM-Time", stands in each file); their
least makespans as in the `optimum.csv` tables of the data repository ptal/kobe-rcpsp, commit 994fcf0e.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from benchmarks.psplib import Malformed, project
from tests.engines.scheduling.referee import faults
from tests.published.trees import OPEN_DATA, figures

from falsework.engines.scheduling.bounds import least_makespan, reach
from falsework.engines.scheduling.solve import solve
from falsework.engines.scheduling.tasks import Project, Task, Worker
from falsework.units import ThreePoint

pytestmark = pytest.mark.slow

SET = "rcpsp-psplib"
ABSENT = f"the open data sets are not here: set FALSEWORK_OPEN_DATA to the folder that holds {SET}/"
ANSWERS = figures(SET)
FILES = sorted((OPEN_DATA / SET).glob("j[36]0/*.sm"))
QUICK = ["j301_8", "j3010_1", "j3017_10", "j3025_6", "j3041_8", "j3046_3"]
SECONDS = 120.0  # far more than any of them needs
# Of these the optima are known, and the files may be added to the data.
ALSO = {
    "j301_1": 43, "j301_3": 47, "j301_4": 62, "j301_5": 39, "j301_6": 48, "j301_7": 60, "j301_8": 53,
    "j301_9": 49, "j301_10": 45,
}  # fmt: skip


def text_of(name):
    """The text of a project; skips the test where it is absent."""
    for path in FILES:
        if path.stem == name:
            return path.read_text(encoding="utf-8")
    return pytest.skip(ABSENT if not FILES else f"{name}.sm is not among the projects in {SET}/")


def least_of(name):
    """The published least makespan."""
    return int(ANSWERS[name]["makespan_optimal"])


def header(text):
    """The length of the critical path that a file itself gives."""
    lines = text.splitlines()
    (at,) = [number for number, line in enumerate(lines) if "MPM-Time" in line]
    return int(lines[at + 1].split()[-1])


def solved(name):
    """Solve a project to the end, and look at the timetable with other eyes."""
    made = project(text_of(name))
    found = solve(made, seconds=SECONDS, workers=1)
    assert faults(made, found) == []
    assert found.proven
    return found.makespan


@pytest.mark.parametrize(
    "name",
    [
        *QUICK,
        *(pytest.param(n, marks=pytest.mark.slow) for n in ANSWERS if n[:3] == "j30" and n not in QUICK),
    ],
)
def test_projects_of_thirty_jobs_are_proved_to_their_published_optimum(name):
    """Least makespan found, proved, and equal to the published one."""
    assert solved(name) == least_of(name)


@pytest.mark.parametrize("name", sorted(ALSO))
def test_further_published_optima(name):
    """Where the file is there, its optimum is found and proved."""
    assert solved(name) == ALSO[name]


@pytest.mark.parametrize("path", FILES or [None], ids=lambda path: path.stem if path else "absent")
def test_the_critical_path_is_the_one_in_the_file_and_bounds_keep_under_the_optimum(path):
    """K08: without limits the critical path; no bound of ours is over the published optimum."""
    if path is None:
        pytest.skip(ABSENT)
    made = project(path.read_text(encoding="utf-8"))
    assert reach(made).makespan == header(path.read_text(encoding="utf-8"))
    known = ANSWERS[path.stem]
    published = int(known.get("makespan_optimal") or known["makespan_upper_bound"])
    assert least_makespan(made, reach(made)) <= published


@pytest.mark.parametrize("name", ["j6010_2", "j601_3"])
def test_larger_projects_that_a_quick_timetable_and_a_bound_settle(name):
    """Of 60 jobs, proved to the published optimum."""
    assert solved(name) == least_of(name)


def test_three_point_guess():
    """K01: a public PERT example, 5, 8, 14: mean 8.5, deviation 1.5."""
    guess = ThreePoint(low=5, likely=8, high=14)
    assert (guess.mean, guess.deviation) == (8.5, 1.5)


def test_one_operator():
    """K07, single-machine theory: work of 3, 1 and 2 hours ends after 6; shortest first ends at 1, 3 and 6 (own figures)."""
    worker = Worker(windows=((0, 100),), whole=100)
    made = Project(tasks=tuple(Task(duration=d, work=d, who=(0,)) for d in (3, 1, 2)), workers=(worker,))
    assert solve(made, workers=1).makespan == 6
    first = Project(
        tasks=(
            Task(duration=3, work=3, who=(0,), after=(2,)),
            Task(duration=1, work=1, who=(0,)),
            Task(duration=2, work=2, who=(0,), after=(1,)),
        ),
        workers=(worker,),
    )
    assert sorted(solve(first, workers=1).ends) == [1, 3, 6]


SMALL = """\
projects                      :  1
************************************************************************
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
************************************************************************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
------------------------------------------------------------------------
  1      1     0       0
  2      1     3       2
  3      1     4       1
  4      1     0       0
************************************************************************
RESOURCEAVAILABILITIES:
  R 1
    2
************************************************************************
"""


def test_a_small_file_by_hand():
    """Two jobs that don't fit beside each other follow one another: 3 and 4 are 7."""
    assert solve(project(SMALL), workers=1).makespan == 7


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("PRECEDENCE RELATIONS:", "RELATIONS:", "there is no PRECEDENCE RELATIONS"),
        ("   2        1          1           4", "   2        1          2           4", "line 6: job 2 should have one mode"),
        ("   2        1          1           4", "   2        1          1           9", "line 6: job 2 is followed by job 9"),
        ("  2      1     3       2", "  2      2     3       2", "line 14: job 2 should have mode 1"),
        ("  2      1     3       2", "  2      1     3       3", "line 14: job 2 needs 3 of R1; there are 2"),
        ("  2      1     3       2", "  2      1     x       2", "line 14: 'x' is not a whole number"),
        ("  2      1     3       2", "  2      1     -3      2", "line 14: '-3' is not a whole number"),
        ("  3      1     4       1\n", "", "REQUESTS/DURATIONS does not list the jobs"),
        ("  R 1\n    2", "  R 1\n    2  3", "line 20: 1 resources and 2 numbers"),
        ("  R 1\n    2", "  N 1\n    2", "line 19: only renewable resources"),
        ("  R 1\n    2\n", "", "RESOURCEAVAILABILITIES should be"),
        ("   1        1          2", "   5        1          2", "the jobs under PRECEDENCE RELATIONS are not numbered"),
    ],
)  # fmt: skip
def test_a_malformed_file_is_told_in_one_line(old, new, said):
    """Each slip is named with its line."""
    assert old in SMALL
    with pytest.raises(Malformed) as caught:
        project(SMALL.replace(old, new, 1))
    assert str(caught.value).startswith(said)
    assert "\n" not in str(caught.value)


def test_jobs_in_a_circle_are_refused():
    """A job that comes before what it waits for."""
    with pytest.raises(Malformed, match=r"^the jobs 2 and 4 wait for each other$"):
        project(SMALL.replace("   4        1          0", "   4        1          1           2"))


def test_the_benchmark_prints_a_line_a_file_and_fails_for_what_it_cannot_read(tmp_path):
    """One JSON object for the good file, one line on standard error for each bad one, and status 2."""
    good, bad, circle = tmp_path / "small.sm", tmp_path / "bad.sm", tmp_path / "circle.sm"
    good.write_text(SMALL)
    bad.write_bytes(b"\xff\xfe")
    circle.write_text(SMALL.replace("   4        1          0", "   4        1          1           2"))
    script = Path(__file__).parents[2] / "benchmarks" / "schedules.py"
    files = [good, bad, tmp_path / "none.sm", circle]
    run = subprocess.run(
        [sys.executable, script, "--seconds", "600", *files], capture_output=True, text=True, check=False
    )
    assert run.returncode == 2
    line = json.loads(run.stdout)
    assert isinstance(line.pop("seconds"), float)
    assert line == {"instance": "small", "makespan": 7, "bound": 7, "proven": True}
    assert [said.split(": ")[0] for said in run.stderr.splitlines()] == [str(path) for path in files[1:]]
