import asyncio
import os
import signal
import subprocess
import sys
import threading
from functools import partial

import pytest
from tests.page import works

from falsework.faces.page.child import Asked
from falsework.faces.page.jobs import MOST_WAITING, Jobs, Progress, State

pytestmark = pytest.mark.slow  # each starts processes

ASKED = Asked(name="year 100", path="lab.yaml", digest="d1", out=("desk-1",))


def with_jobs(work, **options):
    """Run a coroutine function that is given Jobs, and see that nothing is left."""

    async def whole():
        jobs = Jobs(**options)
        try:
            return await asyncio.wait_for(work(jobs), 300)
        finally:
            await jobs.close()

    threads = threading.active_count()
    found = asyncio.run(whole())
    assert threading.active_count() <= threads + 2  # those of the loop's pool, which it keeps
    return found


def gone(pid: int) -> bool:
    """Whether a process has ended; one that nobody has fetched yet has not."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


async def until(true):
    """Wait for a condition that another process brings about."""
    while not true():
        await asyncio.sleep(0.01)


def test_a_job_runs_in_another_process_and_its_result_is_kept():
    """What a job makes comes back whole, from another process, and is not made twice."""

    async def work(jobs):
        first = await jobs.wait(ASKED, works.quick)
        second = jobs.ask(ASKED, works.quick)
        return first, second

    first, second = with_jobs(work)
    assert first.html == "<p>lab.yaml d1 desk-1</p>"
    assert first.answers["pid"] != os.getpid()
    assert second.stage == "made"
    assert second.made == first


def test_progress_is_told_on_the_thread_of_the_loop():
    """How far a job is reaches whoever listens, in order, and not from a thread of its own."""
    told: list[tuple[Progress, int]] = []

    async def work(jobs):
        await jobs.wait(ASKED, works.quick)

    with_jobs(work, tell=lambda progress: told.append((progress, threading.get_ident())))
    assert [(each.what, each.done, each.of) for each, _ in told] == [("counting", 1, 2), ("counting", 2, 2)]
    assert {thread for _, thread in told} == {threading.get_ident()}


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (works.refusing, "the &lt;b&gt;lab&lt;/b&gt; can&#x27;t be asked that. Ask something else."),
        (works.defective, "a defect of falsework, not of your lab: ZeroDivisionError: by &lt;zero&gt;."),
        (works.crashing, "the work ended before it was done (signal 9)."),
        (works.unsayable, "a defect of falsework, not of your lab: TypeError"),
    ],
)
def test_whatever_goes_wrong_is_told_in_place_of_the_result(work, says):
    """An error, a defect and a crash are each told, escaped, and in the form that programs read."""
    made = with_jobs(lambda jobs: jobs.wait(ASKED, work))
    assert made.failed
    assert says in made.html
    assert "<b>" not in made.html
    assert made.answers["year"]["status"] == 2
    assert made.answers["year"]["errors"]


def test_two_run_and_the_newest_asked_for_is_next():
    """No more than two run at once; of those that wait the one asked for last comes first."""
    order: list[str] = []

    async def work(jobs):
        endless = [Asked(name=f"endless {n}", path="p", digest="d") for n in range(2)]
        for each in endless:
            jobs.ask(each, works.endless)
        later = [Asked(name=f"quick {n}", path="p", digest="d") for n in range(3)]
        for each in later:
            jobs.ask(each, works.quick, done=lambda made, each=each: order.append(each.name))
        assert [jobs.state(each).stage for each in (*endless, *later)] == ["running"] * 2 + ["waiting"] * 3
        jobs.ask(later[0], works.quick)  # asked for once more: now it is the newest
        await until(lambda: jobs.state(endless[0]).what)
        assert jobs.stop(endless[0].key)
        await until(lambda: len(order) == 3)

    with_jobs(work)
    assert order == ["quick 0", "quick 2", "quick 1"]


def test_what_the_lab_was_is_worked_on_no_longer():
    """A newer lab ends the processes of an older one, tells who waited, and lets the new work run."""

    async def work(jobs):
        told = []
        asked = [Asked(name=f"endless {n}", path="p", digest="d1") for n in range(3)]
        for each in asked:
            jobs.ask(each, works.endless, done=told.append)
        await until(lambda: all(jobs.state(each).what for each in asked[:2]))
        pids = [int(jobs.state(each).what) for each in asked[:2]]
        jobs.renew("d2")
        made = await jobs.wait(Asked(name="quick", path="p", digest="d2"), works.quick)
        return told, pids, made

    told, pids, made = with_jobs(work)
    assert len(told) == 3
    assert all("the lab has changed" in each.html for each in told)
    assert all(gone(pid) for pid in pids)
    assert not made.failed


def test_the_result_of_an_older_lab_stays_known_while_the_new_one_is_made():
    """While a question is worked out anew, its last answer is there to be shown, with its time."""
    newer = Asked(name=ASKED.name, path=ASKED.path, digest="d2", out=ASKED.out)

    async def work(jobs):
        first = await jobs.wait(ASKED, works.quick)
        jobs.renew("d2")
        return first, jobs.ask(newer, works.endless)

    first, state = with_jobs(work)
    assert state.stage == "running"
    assert state.older == first
    assert state.older_at is not None


def test_a_job_that_is_stopped_gives_what_it_has():
    """Stopping is asking: a job that catches it gives its best so far, another says that it was stopped."""

    async def work(jobs):
        made = []
        for task in (works.stoppable, works.endless):
            asked = Asked(name=task.__name__, path="p", digest="d")
            jobs.ask(asked, task, done=made.append)
            await until(lambda asked=asked: jobs.state(asked).what)
            assert jobs.stop(asked.key)
        await until(lambda: len(made) == 2)
        return made, jobs.stop("no such key")

    made, other = with_jobs(work)
    assert {each.failed for each in made} == {True, False}
    assert "<p>the best so far</p>" in [each.html for each in made]
    assert any("the work was stopped" in each.html for each in made)
    assert not other


def test_too_many_questions_let_the_oldest_go():
    """The line of those that wait has an end, and who falls off it is told."""

    async def work(jobs):
        told = []
        for n in range(2):
            jobs.ask(Asked(name=f"endless {n}", path="p", digest="d"), works.endless)
        for n in range(MOST_WAITING + 2):
            jobs.ask(Asked(name=f"quick {n}", path="p", digest="d"), works.quick, done=told.append)
        return told

    told = with_jobs(work)
    assert [each.html.count("newer questions came before this one") for each in told[:2]] == [1, 1]
    assert all("the page has been closed" in each.html for each in told[2:])  # by with_jobs, at its end


def test_a_job_may_have_values_of_its_own():
    """Whatever can be pickled is a job, such as a function with some of its values given."""
    made = with_jobs(lambda jobs: jobs.wait(ASKED, partial(works.quick, more=" and 12")))
    assert made.html == "<p>lab.yaml d1 desk-1 and 12</p>"


def test_what_is_known_early_is_told_early():
    """A job may hand over a part before all is done: that is told once, and is not taken for the whole."""

    async def work(jobs):
        heard = []
        all_of_it = asyncio.Event()

        def done(made):
            heard.append(("done", made.html, jobs.state(ASKED).stage))
            all_of_it.set()

        jobs.ask(
            ASKED,
            works.in_two_steps,
            done=done,
            early=lambda made: heard.append(("early", made.html, jobs.state(ASKED).stage)),
        )
        await all_of_it.wait()
        return heard

    assert with_jobs(work) == [("early", "<p>a part</p>", "running"), ("done", "<p>all</p>", "made")]
    quiet = works.in_two_steps("p", "d", (), lambda what, done, of: None)  # where nobody could show the part
    assert quiet.html == "<p>all</p>"


def test_closing_ends_all_processes():
    """When closing returns no process of a job is left."""

    async def work(jobs):
        asked = Asked(name="endless", path="p", digest="d")
        jobs.ask(asked, works.endless)
        await until(lambda: jobs.state(asked).what)
        pid = int(jobs.state(asked).what)
        await jobs.close()
        return pid, jobs.ask(asked, works.endless)

    pid, state = with_jobs(work)
    assert gone(pid)
    assert state == State(asked=state.asked, stage="new")


PARENT = """
import asyncio
from falsework.faces.page.child import Asked
from falsework.faces.page.jobs import Jobs
from tests.page import works

async def main():
    jobs = Jobs(tell=lambda progress: print(progress.what, flush=True))
    jobs.ask(Asked(name="endless", path="p", digest="d"), works.endless)
    await asyncio.Event().wait()

if __name__ == "__main__":
    asyncio.run(main())
"""


def test_jobs_end_with_a_parent_that_is_killed(tmp_path):
    """A parent that is killed without a word leaves no job running."""
    script = tmp_path / "parent.py"
    script.write_text(PARENT, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, text=True, env=environment
    ) as parent:
        assert parent.stdout is not None
        try:
            pid = int(parent.stdout.readline())
            assert not gone(pid)
        finally:
            parent.send_signal(signal.SIGKILL)
            parent.wait()
        asyncio.run(asyncio.wait_for(until(lambda: gone(pid)), 300))
