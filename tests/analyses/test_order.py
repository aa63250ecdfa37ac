from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.order import replay
from falsework.errors import LabError

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


# -- slips that steps make by themselves ----------------------------------------------------------------


def test_a_thing_brought_twice():
    """The second time it is there already; after it was retired it may come again."""
    assert slips("brings: names", "brings: [names, pages]")[0] == [("again", 2, "names", "names")]
    found, _ = slips("brings: names", "retires: names", "brings: [names, pages]")
    assert found == []
    found, _ = slips(
        "with: laptop", "with: laptop, brings: pages", "brings: names", "retires: laptop, repoints: pages"
    )
    assert found == [("again", 2, "laptop", "laptop")]


def test_a_step_that_undoes_itself():
    """Brought and retired in one step."""
    found, _ = slips("brings: [names, pages, n3], retires: n3")
    assert found == [("undoes", 1, "n3", "n3")]


def test_a_stand_in_for_one_step_is_no_undoing():
    """Lent, used and taken away in one step; but lent and taken away for nothing is."""
    text = LAB.replace("needs: [names]", "needs: {to build: [names]}")
    found, _ = slips("with: laptop, brings: pages, retires: laptop", "brings: names", text=text)
    assert found == []
    found, _ = slips("brings: [names, pages]", "with: laptop, retires: laptop")
    assert found == [("undoes", 2, "laptop", "laptop")]


def test_retiring_or_repointing_what_is_not_there():
    """A stand-in that was never lent, and a client that comes later."""
    assert slips("brings: [names, pages]", "retires: laptop")[0] == [("not there", 2, "laptop", "laptop")]
    assert slips("brings: names, repoints: pages", "brings: pages")[0] == [("not there", 1, "pages", "pages")]


def test_a_stand_in_that_needs_what_it_stands_in_for():
    """The laptop can't answer for names if it needs them; with another provider beside, it can."""
    text = LAB.replace("{for: names, costs: 1 h}", "{for: names, costs: 1 h, needs: [names]}")
    steps = ("with: laptop", "brings: [names, pages]", "retires: laptop")
    assert ("on itself", 1, "laptop", "names") in slips(*steps, text=text)[0]
    other = text.replace("needs: [names]}\norder", "needs: [{of: [names, far]}]}\norder").replace(
        "machines:", "outside: {far: the university}\nmachines:"
    )
    assert slips(*steps, text=other)[0] == []


def test_a_stand_in_whose_own_needs_are_not_met():
    """A stand-in on a node that comes later, or that needs a service that comes later."""
    text = LAB.replace("costs: 1 h", "costs: 1 h, on: n3")
    found, _ = slips("with: laptop", "brings: n3", "brings: [names, pages]", "retires: laptop", text=text)
    assert found == [("unmet", 1, "laptop", "n3")]
    text = LAB.replace("costs: 1 h", "costs: 1 h, needs: [pages]")
    found, _ = slips("with: laptop", "brings: [names, pages]", "retires: laptop", text=text)
    assert found == [("unmet", 1, "laptop", "pages")]


def test_what_no_step_brings():
    """A service that never comes is told once, at the end; one that stands today is not."""
    assert slips("brings: names")[0] == [("never", 1, "pages", "")]
    assert slips("brings: names", text=LAB.replace("order:", "today: {built: pages}\norder:"))[0] == []


# -- state ----------------------------------------------------------------------------------------------

STATE = LAB.replace("stand-ins:", "data:\n  zone: {of: names, in: n1, size: 1 GiB}\nstand-ins:")


def test_state_that_is_never_moved():
    """The laptop goes, and the zone that it held goes with it, unless a step moved it."""
    start = ("with: laptop, brings: pages", "brings: names, repoints: pages")
    assert slips(*start, "retires: laptop", text=STATE)[0] == [("state", 3, "zone", "laptop")]
    for moves in ("names", "zone"):
        assert slips(*start, f"retires: laptop, moves: {moves}", text=STATE)[0] == []
    nothing = STATE.replace("costs: 1 h", "costs: 1 h, gathers: 0 B")
    assert slips(*start, "retires: laptop", text=nothing)[0] == []


def test_state_moved_before_its_home_is_there():
    """The zone can't go to names that no step has brought yet, nor to a node that is not there."""
    found, _ = slips(
        "with: laptop, brings: pages",
        "moves: zone",
        "brings: names, repoints: pages",
        "retires: laptop",
        text=STATE,
    )
    assert ("early", 2, "zone", "names") in found
    assert ("state", 4, "zone", "laptop") in found
    late = STATE.replace("in: n1, size", "in: n3, size")
    found, _ = slips(
        "with: laptop, brings: pages",
        "brings: names, moves: zone, repoints: pages, retires: laptop",
        "brings: n3",
        text=late,
    )
    assert found == [("early", 2, "zone", "n3")]


def test_who_takes_over_is_said_by_moves():
    """However many steps the state takes, there is one owner until it moves, and one afterwards."""
    steps = (
        "with: laptop, brings: pages",
        "brings: names",
        "brings: n3",
        "moves: names, repoints: pages",
        "retires: laptop",
    )
    assert slips(*steps, text=STATE)[0] == []
    moments = replay(lab_of(STATE + "".join(f"  - {{do: step, {step}}}\n" for step in steps))).moments
    assert [each.serving.get("names") for each in moments] == [
        None,
        "laptop",
        "laptop",
        "laptop",
        "names",
        "names",
    ]


# -- what only the support graph knows ------------------------------------------------------------------


def test_a_switch_that_is_not_there_yet():
    """On a wire without its switch nothing can be used: the switch is told."""
    text = """
falsework: 1
lab: A wire
machines: {n1..2: {is: node}, sw: {is: switch}}
wire: {cables: [n1..2 -- sw]}
services: {names: {on: n1}, pages: {on: n2, needs: [names]}}
order:
"""
    found, _ = slips("brings: [names, pages]", "brings: sw", text=text)
    assert found[0] == ("unmet", 1, "names", "sw")
    assert slips("brings: sw", "brings: [names, pages]", text=text)[0] == []


def test_a_need_that_is_there_but_out_of_sight():
    """Pages and names stand, each on its switch, and the switch between those two comes a step later."""
    text = """
falsework: 1
lab: A wire
machines: {n1..2: {is: node}, sw-1..3: {is: switch}}
wire: {cables: [n1 -- sw-1, n2 -- sw-2, sw-1 -- sw-3, sw-3 -- sw-2]}
services: {names: {on: n1}, pages: {on: n2, needs: [names]}}
order:
"""
    found, _ = slips("brings: [names, pages]", "brings: sw-3", text=text)
    assert found == [("unseen", 1, "pages", "names")]
    assert slips("brings: sw-3", "brings: [names, pages]", text=text)[0] == []


def test_power_is_followed_to_what_is_missing():
    """A node without its strip: the strip is told, not the supply between; what stands on the node is not told again."""
    text = """
falsework: 1
lab: A strip
power: {A: {is: strip}}
machines: {n1: {is: node, fed by: A}}
services: {names: {on: n1}}
order:
"""
    assert slips("brings: [n1, names]", "brings: A", text=text)[0] == [("unmet", 1, "n1", "A")]


LOAD = """
falsework: 1
lab: Load
power: {A: {is: strip, breaker: 2 A}, B: {is: strip, breaker: 2 A}}
machines: {n1..3: {is: node, draws: 200 W, fed by: [A, B]}}
services: {names: {on: n1}, pages: {on: n2}, chat: {on: n3}}
order:
"""


def test_too_much_on_one_strip_stops_what_stood():
    """While the second strip is missing, the third machine trips the first, and all three stop."""
    steps = ("brings: A", "brings: [n1, names]", "brings: [n2, pages]", "brings: [n3, chat]", "brings: B")
    found, broken = slips(*steps, text=LOAD)
    assert broken == ((), (), (), ("A", "n1", "n2", "names", "pages"), ())
    assert ("trips", 4, "A", "A") in found
    assert [each for each in found if each[0] == "breaks"] == []
    assert slips("brings: B", *steps[:-1], text=LOAD)[0] == []


def test_what_trips_in_the_finished_lab_is_no_fault_of_the_order():
    """With one strip only all three are too much in any order: that is told elsewhere."""
    text = LOAD.replace("[A, B]", "A")
    steps = ("brings: [n1, names]", "brings: [n2, pages]", "brings: [n3, chat]", "brings: [A, B]")
    assert [each[0] for each in slips(*steps, text=text)[0]] == []


def test_retiring_a_real_thing_stops_what_leans_on_it():
    """Taking the node away stops what runs on it, and what needs that."""
    found, broken = slips("brings: [n1, names, pages]", "retires: n1")
    assert broken == ((), ("names", "pages"))
    assert [each[:3] for each in found] == [("breaks", 2, "names"), ("breaks", 2, "pages")]


def test_two_that_need_each_other_to_start_cannot_come_in_one_step():
    """Neither begins before the other: both are told; needed only to run, they come together."""
    text = LAB.replace("names: {on: n1, reached at: 10.0.0.5}", "names: {on: n1, needs: [pages]}")
    assert slips("brings: [names, pages]", text=text)[0] == [
        ("unmet", 1, "names", "pages"),
        ("unmet", 1, "pages", "names"),
    ]
    run = text.replace("needs: [pages]", "needs: {to run: [pages]}").replace(
        "needs: [names]", "needs: {to run: [names]}"
    )
    assert slips("brings: [names, pages]", text=run)[0] == []


def test_what_was_told_the_lasting_address_finds_it():
    """A client that knows the address of the real thing needs no step when that takes over."""
    text = LAB.replace("needs: [names]", "needs: [names at 10.0.0.5]")
    assert slips("with: laptop, brings: pages", "brings: names", "retires: laptop", text=text)[0] == []


def test_whose_state_lies_on_a_stand_in_must_be_told():
    """A service that keeps its state in another has learnt where that is."""
    text = LAB.replace("pages: {on: n2, needs: [names]}", "pages: {on: n2, state in: names}")
    found, _ = slips("with: laptop, brings: pages", "brings: names", "retires: laptop", text=text)
    assert ("address", 3, "pages", "laptop") in found


def test_a_need_only_to_start_breaks_nothing_that_runs():
    """The address is learnt and goes away, but what runs goes on running."""
    text = LAB.replace("needs: [names]", "needs: {to start: [names]}")
    found, broken = slips("with: laptop, brings: pages", "brings: names", "retires: laptop", text=text)
    assert found == [("address", 3, "pages", "laptop")]
    assert broken == ((), (), ())


def test_a_pool_waits_for_a_host():
    """A pool is brought after one of its hosts."""
    text = """
falsework: 1
lab: A pool
machines: {n1..2: {is: node}}
pools: {herd: {hosts: n1..2}}
services: {mail: {on: herd, copies: 1}}
order:
"""
    assert slips("brings: herd", "brings: [n1, n2, mail]", text=text)[0] == [("unmet", 1, "herd", "n1")]
    assert slips("brings: n1", "brings: [herd, mail]", "brings: n2", text=text)[0] == []


def test_drives_come_with_their_node():
    """A store whose node is not there yet: the node is told, not its drives."""
    text = """
falsework: 1
lab: A store
machines: {n1..2: {is: node, drives: 2 disk}}
kinds: {disk: {is: drive}}
stores: {shelf: {drives: n1.d*, layout: mirror}}
services: {files: {on: n2, state in: shelf}}
order:
"""
    assert slips("brings: [shelf, files]", "brings: n1", text=text)[0] == [("unmet", 1, "shelf", "n1")]
    assert slips("brings: n1", "brings: [shelf, files]", text=text)[0] == []


def test_no_room_is_told_as_such():
    """With one host there, the second of two large copies finds no room; all it needs is there."""
    text = """
falsework: 1
lab: Room
machines: {n1..2: {is: node, memory: 8 GiB}}
pools: {herd: {hosts: n1..2, keeps free: 0 GiB}}
services:
  mail: {on: herd, placed: n1, takes: 5 GiB}
  maps: {on: herd, placed: n2, takes: 5 GiB}
order:
"""
    found, _ = slips("brings: n1", "brings: [mail, maps]", "brings: n2", text=text)
    assert found == [("down", 2, "maps", "maps.1")]
    assert slips("brings: [n1, n2]", "brings: [mail, maps]", text=text)[0] == []


def test_the_step_says_where():
    """A slip about a key of the step has the place of that key; one about the step, of the step."""
    lab = lab_of(
        STATE
        + "  - do: lend\n    with: laptop\n  - do: bring\n    brings: [names, pages]\n    retires: laptop\n"
    )
    places = {slip.what: (slip.where.line, slip.where.column) for slip in replay(lab).slips}
    assert places["state"] == (17, 14)


@pytest.mark.parametrize(
    ("line", "place"), [("brings: nmes", (11, 26)), ("repoints: page", (11, 28)), ("moves: n1", (11, 25))]
)
def test_unknown_names_are_refused_by_the_reader(line, place):
    """A name that is not in the lab, or is of the wrong kind, is a fault of the file: line and column, and a mend."""
    with pytest.raises(LabError) as raised:
        lab_of(LAB + f"  - {{do: a step, {line}}}\n")
    (fault,) = raised.value.faults
    assert (fault.where.line, fault.where.column) == place
    assert fault.mend
