"""Tests of the scheduler."""

from __future__ import annotations

import random
import signal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.scheduling.referee import all_tables, faults

import falsework.engines.scheduling.solve as module
from falsework.engines.scheduling.bounds import least_makespan, reach
from falsework.engines.scheduling.greedy import quick
from falsework.engines.scheduling.solve import solve
from falsework.engines.scheduling.tasks import (
    Impossible,
    Project,
    Stretch,
    Task,
    Worker,
    weighted_stretch,
)

ALWAYS = Worker(windows=((0, 1000),), whole=1000)


@st.composite
def projects(draw, *, working):
    """Tiny projects: up to four tasks, one resource or up to two workers with windows."""
    workers = []
    for _ in range(draw(st.integers(1, 2)) if working else 0):
        bounds = sorted(draw(st.sets(st.integers(0, 11), min_size=2, max_size=6)))
        windows = [(a, b) for a, b in zip(bounds[::2], bounds[1::2], strict=False)]
        windows += [(12, 14), (15, 18), (19, 40)]
        workers.append(Worker(windows=tuple(windows), whole=draw(st.integers(0, 3))))
    tasks = []
    for number in range(draw(st.integers(1, 4))):
        duration = draw(st.integers(0, 4))
        work = draw(st.integers(0, duration)) if working else 0
        who = draw(st.sets(st.integers(0, len(workers) - 1), min_size=1)) if work else ()
        after = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else ()
        tasks.append(
            Task(
                duration=duration,
                after=tuple(sorted(after)),
                demands=(draw(st.integers(0, 2)),),
                work=work,
                who=tuple(sorted(who)),
                release=draw(st.integers(0, 3)),
            )
        )
    ends = st.integers(0, len(tasks) - 1)
    stretches = draw(
        st.lists(
            st.builds(
                Stretch,
                first=st.none() | ends,
                last=ends,
                weight=st.integers(1, 3),
                more=st.integers(-2, 2),
            ),
            max_size=2,
        )
    )
    return Project(tasks=tuple(tasks), capacities=(2,), workers=tuple(workers), stretches=tuple(stretches))


def held_to_brute_force(project):
    """Bound, quick answer, exact answer and stretch against every allowed timetable."""
    made = solve(project, workers=1)
    assert faults(project, made) == []
    reached = reach(project)
    rough = quick(project, reached, enough=0, passes=3)
    assert faults(project, rough) == []
    every = list(all_tables(project, made.makespan))
    least = min(table.makespan for table in every)
    assert least_makespan(project, reached) <= least <= rough.makespan
    assert made.makespan == made.bound == least
    stretch = min(weighted_stretch(project, table.ends) for table in every)
    assert made.stretch == weighted_stretch(project, made.ends)
    assert made.stretch == made.least_stretch == stretch
    return made


@given(projects(working=False))
@settings(max_examples=60)
def test_resources_against_brute_force(project):
    """With one shared resource, makespan and stretch are the least of all timetables."""
    held_to_brute_force(project)


@given(projects(working=True).filter(lambda project: len(project.tasks) < 4))
@settings(max_examples=60)
def test_workers_against_brute_force(project):
    """With workers, windows and split work, makespan and stretch are the least of all timetables."""
    held_to_brute_force(project)


@given(projects(working=True))
@settings(max_examples=40)
@pytest.mark.slow
def test_nothing_waits_without_gain(project):
    """No task alone can be done earlier, all others staying, without a longer stretch."""
    made = solve(project, workers=1)
    for table in all_tables(project, made.makespan):
        differs = [
            n
            for n in range(len(project.tasks))
            if (table.starts[n], table.workers[n]) != (made.starts[n], made.workers[n])
        ]
        if len(differs) == 1 and table.ends[differs[0]] < made.ends[differs[0]]:
            assert weighted_stretch(project, table.ends) > made.stretch


def test_unlimited_capacity_is_the_critical_path():
    """Three tasks of which one waits for the others end with the longer way; two bounds agree."""
    project = Project(
        tasks=(Task(duration=3), Task(duration=5), Task(duration=4, after=(0, 1))), capacities=()
    )
    assert reach(project).makespan == solve(project).makespan == 9


def test_one_worker_does_one_thing_at_a_time():
    """Work of 3, 1 and 2 by one worker takes 6, whatever comes first."""
    tasks = tuple(Task(duration=d, work=d, who=(0,)) for d in (3, 1, 2))
    made = solve(Project(tasks=tasks, workers=(ALWAYS,)), workers=1)
    assert (made.makespan, made.bound) == (6, 6)


def test_what_goes_on_by_itself_runs_beside_work():
    """Work of 1 that leaves 9 to themselves comes first; the other work of 4 is done meanwhile."""
    tasks = (Task(duration=4, work=4, who=(0,)), Task(duration=10, work=1, who=(0,)))
    made = solve(Project(tasks=tasks, workers=(ALWAYS,)), workers=1)
    assert (made.starts, made.makespan) == ((1, 0), 10)


def test_short_work_waits_for_a_window_that_holds_it_and_long_work_goes_on_in_the_next():
    """In windows of three units, work of 2 does not begin with one unit left; work of 4 is split over two."""
    worker = Worker(windows=((0, 3), (10, 13), (20, 23)), whole=3)
    two = Task(duration=2, work=2, who=(0,))
    made = solve(Project(tasks=(two, two), workers=(worker,)), workers=1)
    assert sorted(made.starts) == [0, 10]
    four = Task(duration=4, work=4, who=(0,))
    made = solve(Project(tasks=(four,), workers=(worker,)), workers=1)
    assert (made.starts, made.ends) == ((0,), (11,))


def test_the_stretch_is_shortened_only_where_the_end_allows():
    """What begins a stretch waits until just before what ends it, because nothing ends later by that."""
    tasks = (Task(duration=1), Task(duration=10), Task(duration=2, after=(0, 1)))
    made = solve(Project(tasks=tasks, stretches=(Stretch(first=0, last=2),)), workers=1)
    assert (made.starts, made.makespan, made.stretch) == ((9, 0, 10), 12, 2)


@pytest.mark.parametrize(
    ("project", "why", "tasks"),
    [
        (Project(tasks=(Task(duration=1, after=(1,)), Task(duration=1, after=(0,)))), "circle", (0, 1)),
        (Project(tasks=(Task(duration=1, demands=(3,)),), capacities=(2,)), "capacity", (0,)),
        (Project(tasks=(Task(duration=1, work=1),), workers=(ALWAYS,)), "nobody", (0,)),
        (
            Project(
                tasks=(Task(duration=9, work=9, who=(0,)),), workers=(Worker(windows=((0, 3),), whole=3),)
            ),
            "windows",
            (0,),
        ),
    ],
)
def test_what_cannot_be_done_says_why(project, why, tasks):
    """A circle, too small a capacity, nobody to do it, windows that end: each is named with the tasks."""
    with pytest.raises(Impossible) as caught:
        solve(project)
    assert (caught.value.why, set(caught.value.tasks)) == (why, set(tasks))


def test_nothing_to_do_takes_no_time():
    """A project without tasks ends when it begins."""
    assert solve(Project(tasks=())).makespan == 0


def hard():
    """Forty tasks for which a quick timetable is not the best, nor proved at once."""
    chance = random.Random(3)
    tasks = [
        Task(
            duration=chance.randint(1, 10),
            after=tuple(sorted({chance.randrange(n) for _ in range(2)})) if n > 5 else (),
            demands=tuple(chance.randint(0, 6) for _ in range(3)),
        )
        for n in range(40)
    ]
    return Project(tasks=tuple(tasks), capacities=(9, 9, 9))


def test_stopped_by_the_keyboard_it_gives_the_best_so_far():
    """The exact search is stopped as soon as it tells of something better; that is what comes back, unproved."""
    told = []

    def stop(what, best, bound):
        told.append(best)
        signal.raise_signal(signal.SIGINT)

    made = solve(hard(), seconds=60, workers=1, progress=stop)
    assert told
    assert faults(hard(), made) == []
    assert made.makespan <= told[0]
    assert not made.proven


def test_stopped_before_that_it_gives_the_quick_one(monkeypatch):
    """A quick timetable that is kept is not lost."""
    kept = []

    def stopped(project, reached, **more):
        kept.append(quick(project, reached, enough=0, passes=1))
        more["keep"](kept[0])
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "quick", stopped)
    made = solve(hard(), seconds=60, workers=1)
    assert made.makespan == kept[0].makespan
    assert faults(hard(), made) == []
