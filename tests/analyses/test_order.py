from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.order import replay

LAB = """
falsework: 1
lab: An order of work
machines: {n1..3: {is: node}}
services:
  names: {on: n1, reached at: 10.0.0.5}
  pages: {on: n2, needs: [names]}
stand-ins:
  laptop: {for: names, costs: 1 h}
order:
"""


def slips(*steps, text=LAB):
    """What is wrong with an order: (kind, step, thing, on what)."""
    lines = "".join(f"  - {{do: step, {step}}}\n" for step in steps)
    found = replay(lab_of(text + lines))
    return [(slip.what, slip.step, slip.thing, slip.on) for slip in found.slips], found.broken


def test_a_good_order_has_no_slip():
    """Needs first, then what needs them: nothing to say."""
    assert slips("brings: names", "brings: pages") == ([], ((), ()))


def test_things_of_one_step_help_each_other():
    """Two things brought in one step may lean on each other, in whichever order they are named."""
    assert slips("brings: [pages, names]")[0] == []


def test_a_need_that_is_not_there_yet():
    """Pages before names: the step, the thing and what it misses are told."""
    assert slips("brings: pages", "brings: names")[0] == [("unmet", 1, "pages", "names")]


def test_a_host_that_is_not_there_yet():
    """A service before the node that it runs on."""
    assert slips("brings: names", "brings: n1", "brings: pages")[0] == [("unmet", 1, "names", "n1")]


def test_a_stand_in_meets_the_need_and_hands_over():
    """Lent before, repointed and retired at the hand-over: no slip."""
    found = slips("with: laptop, brings: pages", "brings: names, repoints: pages, retires: laptop")
    assert found == ([], ((), ()))


def test_a_stand_in_left_behind():
    """A stand-in that is never retired is told at the end, and serves beside the real thing from where that stands."""
    found, _ = slips("with: laptop, brings: pages", "brings: names, repoints: pages")
    assert ("left", 2, "laptop", "laptop") in found
    assert ("two owners", 2, "names", "laptop") in found


def test_two_owners_for_longer_than_the_hand_over():
    """Retired in the next step is a hand-over; two steps later both served in between."""
    start = ("with: laptop, brings: pages", "brings: names, repoints: pages")
    assert slips(*start, "retires: laptop")[0] == []
    assert slips(*start, "brings: n3", "retires: laptop")[0] == [("two owners", 2, "names", "laptop")]


def test_retiring_what_clients_have_learnt_breaks_them():
    """Pages learnt the laptop's address; retire it without repointing and they stop, and the reason is the address."""
    found, broken = slips("with: laptop, brings: pages", "brings: names", "retires: laptop")
    assert found == [("address", 3, "pages", "laptop"), ("breaks", 3, "pages", "laptop")]
    assert broken == ((), (), ("pages",))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("reached at: 10.0.0.5", "floats: 10.0.0.5 in 4 s"),
        ("costs: 1 h", "costs: 1 h, address: 10.0.0.5"),
    ],
)
def test_an_address_that_moves_is_learnt_once(old, new):
    """With a floating address, or the same one for stand-in and real thing, clients follow by themselves."""
    found, broken = slips(
        "with: laptop, brings: pages", "brings: names", "retires: laptop", text=LAB.replace(old, new)
    )
    assert (found, broken) == ([], ((), (), ()))


def test_retiring_a_stand_in_before_the_real_thing_stands():
    """Then the need is unmet again, and the client stops."""
    found, broken = slips("with: laptop, brings: pages", "retires: laptop", "brings: names")
    assert ("unmet", 2, "pages", "laptop") in found
    assert ("breaks", 2, "pages", "laptop") in found
    assert broken[1] == ("pages",)


def test_a_slip_names_its_step_in_the_file():
    """Each slip has the place of the key that says it."""
    lab = lab_of(LAB + "  - {do: one, brings: pages}\n  - {do: two, brings: names}\n")
    (slip,) = replay(lab).slips
    assert slip.where == lab.order[0].places["brings"]
    assert (slip.where.line, slip.where.column) == (11, 23)
