"""Needs as people write them."""

import pytest
from tests.model.texts import lab_of, thing

from falsework.model.needs import need_from_text

HEAD = """
machines: {n: {is: node}}
services:
  names: {on: n, reached at: [10.0.0.1]}
  clock: n
"""


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("names", {"of": "names"}),
        ("clock for 6 h", {"of": "clock", "for": "6 h"}),
        ("store at 10.1.1.5", {"of": "store", "at": "10.1.1.5"}),
        ("store at 10.1.1.5 for 30 s", {"of": "store", "at": "10.1.1.5", "for": "30 s"}),
        ("store at fd00::5", {"of": "store", "at": "fd00::5"}),
        ("way for guests", {"of": "way for guests"}),
        ("look at me", {"of": "look at me"}),
        ("way for guests for 2 days", {"of": "way for guests", "for": "2 days"}),
    ],
)
def test_a_need_as_text_says_name_hold_and_address(text, keys):
    """`for` and `at` are understood only before a time and an address, so that names may hold the words."""
    assert need_from_text(text) == keys


def test_a_plain_list_is_needed_to_run_and_to_start():
    """A list without a kind of need means every moment and the start."""
    needs = thing(HEAD + "  mail: {on: n, needs: [names, clock for 6 h]}", "mail").needs
    assert [need.of.ids for need in needs.run_and_start] == [("names",), ("clock",)]
    assert needs.run_and_start[1].for_ == 6 * 3600
    assert needs.to_run == needs.to_start == ()


def test_one_need_needs_no_list():
    """A single name stands for a list of one."""
    assert thing(HEAD + "  mail: {on: n, needs: names}", "mail").needs.run_and_start[0].of.ids == ("names",)


def test_needs_by_kind():
    """Each kind of need has its own key."""
    needs = thing(HEAD + "  mail: {on: n, needs: {to run: names, to build: [clock, names]}}", "mail").needs
    assert [need.of.ids for need in needs.to_run] == [("names",)]
    assert [need.of.ids for need in needs.to_build] == [("clock",), ("names",)]
    assert needs.run_and_start == ()


def test_a_need_in_full():
    """Alternatives, how many, hold, address and softness in the long form."""
    text = (
        HEAD + "  mail: {on: n, needs: [{of: [names, clock], enough: 2, for: 30 s, at: 10.0.0.1, soft: yes}]}"
    )
    (need,) = thing(text, "mail").needs.run_and_start
    assert (need.of.ids, need.enough, need.for_, need.at, need.soft) == (
        ("names", "clock"),
        2,
        30.0,
        ("10.0.0.1",),
        True,
    )


def test_anything_may_need():
    """Machines have needs as services do."""
    lab = lab_of("outside: {air: cooling}\nmachines: {n: {is: node, needs: [air for 2 h]}}")
    assert lab.things["n"].needs.run_and_start[0].of.ids == ("air",)
