"""Is what is gathered the same whoever works, and is what is finished kept?"""

from __future__ import annotations

import builtins
import functools

import numpy as np
import pytest

from falsework.engines.renewal.cluster import Cluster
from falsework.engines.renewal.gather import gather, here
from falsework.engines.renewal.workers import Processes
from falsework.errors import MissingExtra, QuestionError

pytestmark = pytest.mark.slow


def block(seed, number):
    """A block of drawn numbers that depends on the seed and its own number only."""
    return np.random.default_rng((seed, number)).random(3)


def test_workers_make_no_difference():
    """One process or two give the same results, in order, to the last bit."""
    work = functools.partial(block, 4)
    alone = gather(here, work, 7)
    shared = gather(Processes(count=2), work, 7)
    assert len(alone.results) == 7
    assert b"".join(each.tobytes() for each in alone.results) == b"".join(
        each.tobytes() for each in shared.results
    )


@pytest.mark.parametrize("workers", [here, Processes(count=2)], ids=["here", "two"])
def test_enough_is_asked_in_order(workers):
    """Work stops after the same block whoever works, and says that it was enough."""
    found = gather(workers, functools.partial(block, 1), 50, enough=lambda results: len(results) == 3)
    assert (len(found.results), found.enough, found.stopped) == (3, True, False)


def test_stop_keeps_what_is_finished():
    """Ctrl-C in the middle of a block gives the blocks before it."""

    def work(number):
        if number == 4:
            raise KeyboardInterrupt
        return number

    told = []
    found = gather(here, work, 9, progress=lambda done, most: told.append((done, most)))
    assert (found.results, found.enough, found.stopped) == ((0, 1, 2, 3), False, True)
    assert told == [(1, 9), (2, 9), (3, 9), (4, 9)]


def test_stop_between_blocks_ends_the_processes():
    """Ctrl-C while others work gives what came back, and leaves no process behind."""

    def stop(done, most):
        if done == 2:
            raise KeyboardInterrupt

    found = gather(Processes(count=2), functools.partial(block, 1), 50, progress=stop)
    assert (len(found.results), found.stopped) == (2, True)


def test_without_the_extra_it_is_named(monkeypatch):
    """Where the cluster library is missing, the error says which extra brings it."""
    real = builtins.__import__

    def missing(name, *rest):
        if name == "distributed":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(MissingExtra, match=r"falsework\[cluster\]"):
        gather(Cluster(address="tcp://127.0.0.1:1"), functools.partial(block, 1), 1)


def test_no_scheduler_is_a_plain_error():
    """Where nobody answers, the address is shown."""
    pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    with pytest.raises(QuestionError, match=r"127\.0\.0\.1:1'"):
        gather(Cluster(address="tcp://127.0.0.1:1", wait_s=0.5), functools.partial(block, 1), 1)


@pytest.mark.slow
def test_a_cluster_makes_no_difference():
    """Two worker processes of a local cluster give the same results as this process, to the last bit."""
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    work = functools.partial(block, 4)
    alone = gather(here, work, 7)
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0"
    ) as local:
        shared = gather(Cluster(address=local.scheduler_address, wait_s=60.0), work, 7)
    assert b"".join(each.tobytes() for each in alone.results) == b"".join(
        each.tobytes() for each in shared.results
    )
