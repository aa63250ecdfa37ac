from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.shutdown import shutdowns
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
