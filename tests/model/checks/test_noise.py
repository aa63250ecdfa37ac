"""Rooms, walls and levels that contradict themselves: each contradiction's whole message."""

from __future__ import annotations

import pytest
from tests.model.texts import lab_of, told


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        (
            "next door: {b: 100 dB}",
            "(places.a.next door): a wall that takes off 100 dB can't be."
            " Give 0 to 90 dB, such as 35 dB for a wall with a door.",
        ),
        (
            "next door: {a: 30 dB}",
            "(places.a.next door): a is named as next door to itself. Name the room beyond the wall.",
        ),
        (
            "next door: {r: 30 dB}",
            "(places.a.next door): 'r' is a rack, not a room. Name a room of `places`.",
        ),
        (
            "next door: {bb: 30 dB}",
            "(places.a.next door): no room is called 'bb'. Did you mean b? known rooms: b.",
        ),
        (
            "stands at: 150 dB",
            "(places.a.stands at): a level of 150 dB can't be. Give 0 to 140 dB, A-weighted, such as 45 dB.",
        ),
        (
            "noise: 999 dB",
            "(places.a.noise): a level of 999 dB can't be. Give 0 to 140 dB, A-weighted, such as 45 dB.",
        ),
        (
            "heard from: 0 m",
            "(places.a.heard from): people can't be 0 mm from a machine in a room."
            " Give how far off their ears are, 0.1 to 1000 m.",
        ),
        (
            "absorbs: 0 m2",
            "(places.a.absorbs): no room swallows as much sound as 0 m2 of open window."
            " Give 0.1 to 100,000 m2, or leave `absorbs` out.",
        ),
        (
            "stayed in: 25 h",
            "(places.a.stayed in): nobody stays 1 day 1 h of one day in a room. Give at most 24 h.",
        ),
    ],
)
def test_what_is_said_of_a_room(keys, message):
    """Each with its place, the value and a mend."""
    text = f"places: {{a: {{is: room, {keys}}}, b: {{is: room}}, r: {{is: rack}}}}"
    column = text.index(keys) + keys.index(": ") + 3
    assert told(text) == [f"lab.yaml:2:{column} {message}"]


@pytest.mark.parametrize(
    "keys", ["heard from: 1e-300 m", "heard from: 1e300 km", "absorbs: 1e-300 m2", "absorbs: 1e300 m2"]
)
def test_what_no_number_could_hold(keys):
    """Sizes far beyond any room are faults too, before anything is reckoned with them."""
    (said,) = told(f"places: {{a: {{is: room, {keys}}}}}")
    assert f"(places.a.{keys.split(':')[0]})" in said


def test_a_machine_that_is_louder_than_can_be():
    """The level of a machine is checked as that of a room."""
    (said,) = told("machines: {n: {is: node, noise: 200 dB}}")
    assert "(machines.n.noise): a level of 200 dB can't be" in said


def test_what_is_sensible_passes():
    """Both sides of a wall may differ, and silence is a level."""
    lab = lab_of(
        "places: {a: {is: room, next door: {b: 0 dB}, stands at: 0 dB, stayed in: 24 h},"
        " b: {is: room, next door: {a: 60 dB}}}"
    )
    assert len(lab.things) == 2
