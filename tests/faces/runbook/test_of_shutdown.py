from __future__ import annotations

import datetime

from tests.strategies import lab_of

from falsework.analyses.shutdown import stop
from falsework.faces.runbook.of_shutdown import of_shutdown
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: A sheet for the dark
outside: {mains: the wall}
power:
  left:  {is: ups, fed by: mains, runs: {200 W: 9 min}, signals at: 5 min, tells: [h1, h2, nas], over: sw}
  right: {is: ups, fed by: mains, runs: {100 W: 60 min}, signals at: 6 min, tells: h2}
machines:
  h1:  {is: node, fed by: left, draws: 100 W, stops in: 1 min, power back: on}
  h2:  {is: node, fed by: [left, right], draws: 100 W, stops in: 1 min, power back: on}
  nas: {is: node, fed by: left, draws: 50 W, stops in: 3 min, drives: 2 drive}
  sw:  {is: switch, fed by: mains}
wire: {cables: [h1 -- sw, h2 -- sw, nas -- sw]}
stores: {disks: {drives: nas.d*, layout: mirror}}
services:
  mail:  {on: h1, state in: disks, stops in: 2 min}
  pages: {on: h2, stops in: 2 min}
"""


def sheet():
    """The stop sheet of the lab."""
    standing = Standing(lab_of(LAB))
    return of_shutdown(standing, stop(standing), date=datetime.date(2026, 4, 2))


def test_what_begins_together_is_in_one_box_in_the_order_of_its_minutes():
    """Both services at once, then the two hosts and the storage, at the same moment and not as long; each thing once."""
    boxes = [box for chapter in sheet().chapters for box in chapter.boxes]
    assert [box.says for box in boxes] == ["Stop services on h1, h2", "Stop h1, h2", "Stop nas"]
    assert [box.number for box in boxes] == ["1", "2", "3"]
    assert boxes[0].when == "begins 5 min after the cut, is down after 7 min"
    assert "on h1: mail.1" in boxes[0].notes
    assert all(box.check for box in boxes)
    assert all(box.cautions for box in boxes[1:])


def test_what_is_cut_hard_or_not_told_stands_in_its_box():
    """The storage is late, and the switch that should carry the message is dark."""
    nas = sheet().chapters[0].boxes[-1]
    assert nas.notes == (
        "without power before they have stopped, if the load stays as it is: nas",
        "not reached by the message, so go there or stop them some other way: nas",
    )
    table = sheet().chapters[0].tables[0]
    assert [row[-1] for row in table.rows] == ["no", "no", "no"]


def test_the_last_page_is_for_when_the_power_is_back():
    """Every machine that was told, with what wakes it, and a caution."""
    last = sheet().chapters[-1]
    assert last.title == "When the power is back"
    assert [row[0] for row in last.tables[0].rows] == ["h1", "h2", "nas"]
    assert any("electrical codes" in says for says in last.says)
    assert "nas" in last.says[-1]
