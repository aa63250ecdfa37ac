from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.shutdown import shutdowns
from falsework.analyses.shutdown import stop as stop_all
from falsework.errors import QuestionError
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: On battery
outside: {mains: the wall}
power:
  cell: {is: ups, fed by: mains, runs: {100 W: 10 min}, signals at: SIGNAL, tells: [n1, n2]}
  strip: {is: strip, fed by: cell}
machines:
  n1..2: {is: node, fed by: strip, draws: 50 W, stops in: 2 min}
  sw: {is: switch, fed by: FEED}
wire: {cables: [n1 -- sw, n2 -- sw]}
services:
  store: {on: n1, stops in: 3 min}
  pages: {on: n2, stops in: 1 min, needs: [store]}
"""


def stop(signal="4 min", feed="strip"):
    """The one shutdown of the lab."""
    (found,) = shutdowns(Standing(lab_of(LAB.replace("SIGNAL", signal).replace("FEED", feed))))
    return found


def test_a_stop_in_order_worked_out_by_hand():
    """What leans stops first: pages by 5 min, then store by 8 and n1 by 10; n2 by 7. The battery lasts just so long."""
    found = stop()
    assert found.runtime_s == pytest.approx(600)
    minutes = {name: at / 60 for name, at in found.done_s.items()}
    assert minutes == pytest.approx({"pages.1": 5, "n2": 7, "store.1": 8, "n1": 10})
    assert found.cut_hard == ()
    assert found.latest_signal_s == pytest.approx(4 * 60)
    assert found.unreached == ()


def test_a_signal_too_late_cuts_the_last_ones_off():
    """A minute later n1 is still stopping when the battery is empty; the latest good moment has not changed."""
    found = stop("5 min")
    assert found.cut_hard == ("n1",)
    assert found.latest_signal_s == pytest.approx(4 * 60)
    assert stop("7 min").cut_hard == ("n1", "store.1")


def test_the_message_needs_a_switch_that_is_still_on():
    """A switch on the wall is dark when the battery speaks, so nobody hears it; on the battery all hear it."""
    assert stop(feed="mains").unreached == ("n1", "n2")
    assert stop(feed="strip").unreached == ()


def test_a_battery_that_never_signals_is_not_asked():
    """Without `signals at` there is no orderly stop to judge."""
    text = LAB.replace("signals at: SIGNAL, tells: [n1, n2]", "carries: 900 W").replace("FEED", "strip")
    assert shutdowns(Standing(lab_of(text))) == ()


BOTH = """
falsework: 1
lab: Two that signal
outside: {mains: the wall, far: another wall}
power:
  c1..2: {is: circuit, fed by: mains}
  soon:  {is: ups, fed by: c1, runs: {100 W: SOON}, signals at: 3 min, tells: n1}
  late:  {is: ups, fed by: c2, runs: {200 W: 60 min}, signals at: 9 min, tells: [n1, n2]}
machines:
  n1: {is: node, fed by: [soon, late], draws: 100 W, stops in: 1 min}
  n2: {is: node, fed by: late, draws: 100 W, stops in: 1 min}
  n3: {is: node, fed by: soon, stops in: 1 min}
"""


def both(soon="10 min", cut=()):
    """The stop of the lab on two batteries."""
    return stop_all(Standing(lab_of(BOTH.replace("SOON", soon))), cut)


def test_the_first_signal_that_is_really_sent_counts():
    """At 3 min the first battery speaks; if it is empty by then, the second does at 9 min."""
    assert [(each.name, each.told_by, each.told_s) for each in both().machines] == [
        ("n1", "soon", 180),
        ("n2", "late", 540),
    ]
    assert both("2 min").machines[0].told_by == "late"
    assert both("2 min").machines[0].told_s == 540


def test_who_is_told_by_nobody_is_left_on_and_who_draws_nobody_knows_is_named():
    """n3 is not among those told; nobody says what it draws."""
    soon, late = both().batteries
    assert (soon.left_on, late.left_on) == (("n3",), ())
    assert (soon.uncounted, late.uncounted) == (("n3",), ())
    assert not both().broken


def test_one_circuit_alone_may_be_cut():
    """Only the battery behind it runs, and with half of the load of n1; n1 stops though its other cord goes on."""
    found = both(cut=["c1"])
    assert [each.ups for each in found.batteries] == ["soon"]
    assert found.batteries[0].load_w == pytest.approx(50)
    assert found.batteries[0].needless == ("n1",)
    assert both().cut == ("mains",)
    assert both(cut=["mains"]).cut == ("mains",)


def test_what_is_no_source_can_not_be_cut():
    """A machine, and a name that is not there, with the nearest that is."""
    for name, near in (("n1", "c1"), ("man", "mains")):
        with pytest.raises(QuestionError) as caught:
            both(cut=[name])
        assert f"'{name}' is no source that power comes from" in str(caught.value)
        assert near in str(caught.value)


def test_a_part_that_is_out_is_out_of_the_stop_too():
    """With the second battery out n1 hangs on the first alone, and n2 is dark."""
    found = stop_all(Standing(lab_of(BOTH.replace("SOON", "10 min")), out=["late"]), ())
    assert [each.name for each in found.machines] == ["n1"]
    assert found.batteries[0].load_w == pytest.approx(100)


def test_who_is_dark_from_the_cut_on_is_told_apart():
    """A machine on the wall can't be told by anybody; the others are."""
    text = (
        LAB.replace("SIGNAL", "4 min")
        .replace("FEED", "strip")
        .replace("tells: [n1, n2]", "tells: [n1, n2, n3]")
    )
    text = text.replace("  sw: ", "  n3: {is: node, fed by: mains, draws: 10 W}\n  sw: ")
    (found,) = shutdowns(Standing(lab_of(text)))
    assert found.dark == ("n3",)
    assert found.unreached == ()
    assert "n3" not in found.done_s


def test_a_service_may_be_told_without_its_host():
    """Its copies stop, and the machine is left on."""
    text = (
        LAB.replace("SIGNAL", "4 min")
        .replace("FEED", "strip")
        .replace("tells: [n1, n2]", "tells: [pages, n1]")
    )
    (found,) = shutdowns(Standing(lab_of(text)))
    assert set(found.done_s) == {"pages.1", "store.1", "n1"}
    assert found.left_on == ("n2",)


def test_a_battery_that_lasts_no_time_at_all():
    """Everything on it is cut hard, and there is no good moment for a signal."""
    text = LAB.replace("SIGNAL", "4 min").replace("FEED", "strip").replace("100 W: 10 min", "100 W: 0 s")
    (found,) = shutdowns(Standing(lab_of(text)))
    assert found.runtime_s == 0
    assert set(found.cut_hard) == {"pages.1", "store.1", "n1", "n2"}
    assert found.latest_signal_s < 0
