"""The published machine reassignment instances: reading them, and the independent checker.

Source: H. M. Afsar, C. Artigues, E. Bourreau, S. Kedad-Sidhoum, "Machine reassignment problem: the ROADEF/EURO
challenge 2012", Annals of Operations Research 242 (2016) 1-17; start costs as published beside the instances,
costs of solutions as stated in their file names.
"""

from __future__ import annotations

import gzip
import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from benchmarks.reassignment_check import Statement
from benchmarks.reassignment_model import Malformed, assignment, numbers, problem, text_of, written
from tests.published.trees import OPEN_DATA, figures
from tests.waiting import LONGEST_S, until

pytestmark = pytest.mark.slow

SET = "machine-reassignment"
ABSENT = f"the open data sets are not here: set FALSEWORK_OPEN_DATA to the folder that holds {SET}/"
ANSWERS = figures(SET)
FOLDER = OPEN_DATA / SET
NAMES = sorted(path.stem.removeprefix("assignment_") for path in FOLDER.glob("instances/assignment_*.txt"))
SOLUTIONS = sorted(FOLDER.glob("solutions/solution_*.txt"))

# Two resources, the second transient; three machines in two neighbourhoods and two locations; service 0 in two
# locations, service 1 depends on it. Written by hand from the published description of the format.
SMALL = b"""
2  0 1  1 10
3
0 0  10 10  4 9  0 1 2
0 1  10 10  9 9  1 0 2
1 1  10 10  9 9  3 4 0
2
2 0
1 1 0
3
0  3 2  7
0  2 2  5
1  4 5  1
1
0 1 2
100
10 20 30
"""
START = np.array([0, 1, 0])


def pair_of(name):
    """The texts of model and assignment; skips the test where they are absent."""
    for ending in ("txt", "txt.gz"):
        path = FOLDER / "instances" / f"model_{name}.{ending}"
        if path.exists():
            return text_of(path), assignment(text_of(FOLDER / "instances" / f"assignment_{name}.txt"))
    return pytest.skip(ABSENT)


class TestTheChecker:
    def test_the_start_of_the_small_one_by_hand(self):
        """Machine 0 is 3 over 4 in resource 0; balance: 2x3-3, 2x8-8, 2x10-10 over three machines."""
        verdict = Statement(SMALL).judge(START, START)
        assert verdict.broken == ()
        assert verdict.cost.load == 3
        assert verdict.cost.balance == 100 * (3 + 8 + 10)
        assert verdict.cost.total == 3 + 2100

    def test_a_move_costs_three_times_over(self):
        """Process 2 from machine 0 to 1: 10x1 for itself, 20x1 for its service, 30x1 for the way."""
        verdict = Statement(SMALL).judge(START, np.array([0, 1, 1]))
        cost = verdict.cost
        assert (cost.process_moves, cost.service_moves, cost.machine_moves) == (10, 20, 30)
        assert cost.load == 0
        assert verdict.broken == ()

    def test_what_was_moved_still_counts_where_it_was(self):
        """With room for 9 of the transient resource on machine 0, it holds 2 + 5 + 5 when 2 leaves and 1 comes."""
        verdict = Statement(SMALL).judge(np.array([1, 0, 0]), np.array([0, 0, 2]))
        assert "machine 0 holds 9 of resource 1, has 10" not in verdict.broken
        crowded = Statement(SMALL.replace(b"0 0  10 10", b"0 0  10 8")).judge(
            np.array([1, 0, 0]), np.array([0, 1, 1])
        )
        assert "machine 0 holds 9 of resource 1, has 8" in crowded.broken

    def test_rules_of_services(self):
        """Sharing a machine, too few locations, and a neighbourhood without what is depended on are told."""
        broken = Statement(SMALL).judge(START, np.array([1, 1, 2])).broken
        assert broken == (
            "two processes of service 0 share a machine",
            "service 0 is in 1 locations, not 2",
            "service 1 has no 0 in neighbourhood 1",
        )

    @pytest.mark.parametrize("name", NAMES or ["a1_1"])
    def test_published_start_costs(self, name):
        """Each start costs what is published beside it, and breaks no rule."""
        text, start = pair_of(name)
        verdict = Statement(text).judge(start, start)
        published = ANSWERS[name]
        assert verdict.cost.total == int(published["initial_objective"])
        assert verdict.cost.load == int(published["initial_load_cost"])
        assert verdict.cost.balance == int(published["initial_balance_cost"])
        assert verdict.broken == ()

    @pytest.mark.parametrize("path", SOLUTIONS or [None], ids=lambda path: path.stem if path else "none")
    def test_published_solutions(self, path):
        """Each published solution costs what its file name states, moves included, and breaks no rule."""
        if path is None:
            pytest.skip(ABSENT)
        (name,) = re.findall(r"solution_([ab]\d?_\d+)_", path.name)
        text, start = pair_of(name)
        verdict = Statement(text).judge(start, assignment(text_of(path)))
        assert verdict.cost.total == int(ANSWERS[name][f"objective_of_{path.name}"])
        assert verdict.broken == ()


class TestReading:
    def test_the_small_one(self):
        """Sizes, rules and costs come out as they were written."""
        made = problem(SMALL, START)
        assert made.size.tolist() == [[3, 2], [2, 2], [4, 5]]
        assert made.twice.tolist() == [False, True]
        assert [rule.items for rule in made.apart] == [(0, 1)]
        assert [(rule.items, rule.domain, rule.at_least) for rule in made.spread] == [((0, 1), (0, 1, 1), 2)]
        assert [(rule.items, rule.to, rule.domain) for rule in made.near] == [((2,), (0, 1), (0, 0, 1))]
        assert made.comfort[0].upto.tolist() == [[4, 9], [9, 9], [9, 9]]
        assert made.comfort[0].weight.tolist() == [1, 10]
        assert made.moves[0].each.tolist() == [70, 50, 10]
        assert (made.moves[0].busiest, made.moves[0].way_weight) == (20, 30)
        assert made.moves[0].way.tolist() == [[0, 1, 2], [1, 0, 2], [3, 4, 0]]
        assert made.bin_names[2] == "m2"

    def test_ways_are_kept_in_few_bytes(self):
        """Five thousand machines have 25 million ways: a small number takes one byte."""
        assert problem(SMALL, START).moves[0].way.dtype == np.uint8

    def test_written_in_the_published_form(self):
        """Machines with blanks between them, in the order of processes; reading gives them back."""
        assert written(START) == "0 1 0\n"
        assert assignment(written(START).encode()).tolist() == [0, 1, 0]

    @pytest.mark.parametrize(
        ("text", "start", "said"),
        [
            (SMALL.replace(b"100", b"1e5"), START, "whole numbers and blanks only, not b'e'"),
            (SMALL[:60], START, "ends within its machines"),
            (SMALL + b"4", START, "1 numbers follow"),
            (SMALL, START[:2], "2 machines for 3 processes"),
            (SMALL, np.array([0, 1, 3]), "machine 3, of 3"),
            (SMALL.replace(b"1  4 5  1", b"2  4 5  1"), START, "service 2, of 2"),
            (b"", START, "ends within its number of resources"),
            (b"1 0 1 0", START, "no machines"),
        ],
    )
    def test_what_is_not_such_a_file(self, text, start, said):
        """It is told in words what is wrong."""
        with pytest.raises(Malformed, match=re.escape(said)):
            problem(text, start)

    def test_numbers_of_an_empty_text(self):
        """An empty text has none."""
        assert numbers(b" \n").size == 0


class TestTheBenchmark:
    """Run as others run it; the loops are left uncompiled, for compiling takes longer than these instances."""

    HERE = Path(__file__).parents[2]

    def run(self, folder, *options, model=SMALL, start=START, ending=".txt"):
        """What a run says, and the assignment it wrote."""
        (folder / f"model_small{ending}").write_bytes(
            gzip.compress(model) if ending.endswith("gz") else model
        )
        (folder / "assignment_small.txt").write_text(written(start))
        return subprocess.Popen(
            [
                sys.executable,
                str(self.HERE / "benchmarks" / "reassignment.py"),
                str(folder / f"model_small{ending}"),
                str(folder / "assignment_small.txt"),
                *("--out", str(folder / "out.txt"), *options),
            ],
            env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    @pytest.mark.parametrize("ending", [".txt", ".txt.gz"])
    def test_a_small_one_to_the_best_there_is(self, tmp_path, ending):
        """It writes the best of all 27 assignments in the published form, and tells what it costs."""
        statement = Statement(SMALL)
        every = (np.array([a, b, c]) for a in range(3) for b in range(3) for c in range(3))
        judged = (statement.judge(START, one) for one in every)
        least = min(verdict.cost.total for verdict in judged if not verdict.broken)
        for seconds in ("3", "30"):  # who is held up may not have searched at all
            said, faults = self.run(tmp_path, "--seconds", seconds, ending=ending).communicate()
            assert faults == ""
            told = json.loads(said)
            if told["cost"] == least:
                break
        written_ = assignment((tmp_path / "out.txt").read_bytes())
        assert statement.judge(START, written_).cost.total == told["cost"] == least
        assert list(told) == ["instance", "start_cost", "cost", "feasible", "seconds", "peak_mib"]
        assert (told["instance"], told["start_cost"], told["feasible"]) == ("small", 2103, True)

    @pytest.mark.parametrize("sign", [signal.SIGTERM, signal.SIGINT])
    def test_told_to_stop_it_writes_the_best_so_far(self, tmp_path, sign):
        """Long before its time is over: a whole, valid answer, and exit status 0."""
        run = self.run(tmp_path, "--seconds", "600")
        try:
            until(lambda: (tmp_path / "out.txt").exists() or run.poll() is not None)
            run.send_signal(sign)
            said, _ = run.communicate(timeout=LONGEST_S)
        finally:
            run.kill()
        if run.returncode == 0:  # else it was told before the model was read, and says so
            assert json.loads(said)["feasible"]
        else:
            assert run.returncode == 2
        assert Statement(SMALL).judge(START, assignment((tmp_path / "out.txt").read_bytes())).broken == ()

    def test_no_time_at_all(self, tmp_path):
        """Without time for a search the start is the answer."""
        said, _ = self.run(tmp_path, "--seconds", "0").communicate()
        assert json.loads(said)["cost"] == 2103
        assert assignment((tmp_path / "out.txt").read_bytes()).tolist() == START.tolist()

    def test_a_file_that_is_none(self, tmp_path):
        """One line says what is wrong; exit status 2."""
        run = self.run(tmp_path, model=SMALL[:60])
        _, faults = run.communicate()
        assert faults == "reassignment: the model ends within its machines\n"
        assert run.returncode == 2
