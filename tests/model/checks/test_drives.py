"""Drives, bays, stores and heaps that contradict themselves: each contradiction's whole message."""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, told


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ("size: 0 TB", "a drive of 0 B holds nothing. Give what its label says, such as 4 TB."),
        (
            "speed: 0 MB/s",
            "a drive at 0 b/s is never read to its end. Give what it reads for long, such as 160 MB/s.",
        ),
        (
            "read errors: 0.5 /bit",
            "0.5 /bit of what is read can't be unreadable. Give what its sheet says, such as 1e-14 /bit.",
        ),
    ],
)
def test_a_drive(keys, says):
    """Told once at its kind, however many there are, in a machine or in a heap."""
    key = keys.split(":")[0]
    for where in ("machines: {n-1..3: {is: node, drives: 4 bad}}", "heaps: {crate: {drives: 12 bad}}"):
        (message,) = told(f"kinds: {{bad: {{is: drive, {keys}}}}}\n{where}")
        assert message.startswith("lab.yaml:2:")
        assert message.endswith(f".{key}): {says}")


def test_more_drives_than_bays():
    """A machine that has no bay for what is in it."""
    (message,) = told(
        "kinds: {d: {is: drive, size: 1 TB}}\nmachines: {attic: {is: node, bays: 2, drives: 3 d}}"
    )
    assert message == (
        "lab.yaml:3:36 (machines.attic.bays): attic has 2 bays and 3 drives."
        " Give it more bays, or leave drives out."
    )


def test_an_enclosure_too():
    """Its own drives against its own bays."""
    text = "kinds: {d: {is: drive, size: 1 TB}}\nmachines: {keep: {is: enclosure, bays: 1, drives: 2 d}}"
    (message,) = told(text)
    assert "keep has 1 bay and 2 drives" in message


@pytest.mark.parametrize("share", ["0 %", "150 %"])
def test_what_a_rebuild_gets(share):
    """Of a store and of a heap alike."""
    kinds = "kinds: {d: {is: drive, size: 1 TB}}\n"
    store = f"machines: {{n: {{is: node, drives: 2 d}}}}\nstores: {{s: {{drives: n.d*, layout: mirror, rebuild gets: {share}}}}}"
    heap = f"heaps: {{crate: {{drives: 2 d, rebuild gets: {share}}}}}"
    for text, path in ((store, "stores.s"), (heap, "heaps.crate")):
        (message,) = told(kinds + text)
        assert f"({path}.rebuild gets): a rebuild can't get {share} of a drive's speed." in message


def test_a_heap_of_nothing():
    """Without drives there is nothing to lay out."""
    (message,) = told("heaps: {crate: {drives: []}}")
    assert "(heaps.crate.drives)" in message


def test_nothing_is_wanted():
    """Room of 0 is not wanted."""
    (message,) = told("kinds: {d: {is: drive, size: 1 TB}}\nheaps: {crate: {drives: 2 d, wanted: 0 TB}}")
    assert "(heaps.crate.wanted): 0 B are wanted. Give how much room is wanted" in message


def test_more_drives_than_bays_may_wait():
    """A heap is no fault for being larger than the bays; nor is a drive without errors."""
    lab = lab_of(
        "kinds: {d: {is: drive, size: 1 TB, read errors: 0 /bit}}\n"
        "machines: {n: {is: node, bays: 2}}\nheaps: {crate: {drives: 9 d, bays of: n}}"
    )
    assert len(lab.heaps[0].held) == 9
