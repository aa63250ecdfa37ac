"""Does the sheet say who carries how much, and does it agree with the verdicts on what trips?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, text_of

from falsework.analyses.power.sheet import feeds
from falsework.analyses.power.telling import lasting_says
from falsework.errors import QuestionError
from falsework.model.parts import Supply
from falsework.support.power import Draws
from falsework.support.standing import Standing

EIGHT = """
falsework: 1
lab: t
power:
  ca: {is: circuit, fed by: grid, volts: 230 V, breaker: 16 A}
  cb: {is: circuit, fed by: grid, volts: 230 V, breaker: 16 A}
  A: {is: strip, fed by: ca}
  B: {is: strip, fed by: cb}
outside:
  grid: the street
machines:
  n1..8: {is: node, fed by: [A, B], draws: 200..500 W, usually draws: 260 W, power factor: 1}
"""


def sheet(text, *lose, out=()):
    """The sheet of a text."""
    return feeds(Standing(lab_of(text), out=out), lose=lose)


def feed(found, name):
    """One source of it."""
    return next(each for each in found.feeds if each.id == name)


def test_each_source_at_idle_on_an_ordinary_day_and_busy():
    """Eight nodes, half of each in either strip: 800, 1,040 and 2,000 W, and 8.7 A of 16 A at the busiest."""
    b = feed(sheet(EIGHT), "cb")
    assert (b.idle.watts, b.usual.watts, b.busy.watts) == (800, 1040, 2000)
    assert b.busy.amperes == pytest.approx(2000 / 230)
    assert b.busy.share == pytest.approx(2000 / 3680)
    assert b.limits.watts == 3680
    assert len(b.machines) == 8


def test_the_survivor_is_asked_for_too_much():
    """Trap 3: as it is nothing is close; without A all 4,000 W come to B, whose breaker trips at 3,680 W."""
    found = sheet(EIGHT, "A")
    (loss,) = found.lost
    assert loss.trips == ("cb",)
    assert len(loss.dark) == 8
    b = feed(found, "cb")
    assert (b.worst.lost, b.worst.carried.watts, b.worst.trips) == ("A", 4000, True)
    assert b.over
    assert found.bad
    assert not b.busy.share > 0.8


def test_the_survivor_one_layer_deeper():
    """The same behind a battery that carries 3 kW, and a breaker that would: the battery shuts off."""
    text = EIGHT.replace(
        "cb: {is: circuit, fed by: grid, volts: 230 V, breaker: 16 A}",
        "cb: {is: circuit, fed by: grid, volts: 230 V, breaker: 20 A}",
    )
    text = text.replace(
        "B: {is: strip, fed by: cb}", "u: {is: ups, fed by: cb, carries: 3 kW}\n  B: {is: strip, fed by: u}"
    )
    found = sheet(text, "ca")
    assert found.lost[0].trips == ("u",)
    assert feed(found, "u").worst.carried.watts == 4000
    assert not feed(found, "cb").over


def test_a_survivor_that_can():
    """False alarm 1: with 300 W each the strip that is left carries all 2,400 W."""
    found = sheet(EIGHT.replace("200..500 W, usually draws: 260 W", "300 W"))
    assert not found.bad
    assert not any(each.trips for each in found.lost)
    b = feed(found, "B")
    assert b.worst.carried.watts == 2400
    assert not any(each.dark for each in found.lost if each.word in ("strip", "supply", "circuit"))


def test_two_supplies_in_one_strip():
    """Trap 2: lose the strip, and the node is dark; lose one of its supplies, and it is not."""
    text = EIGHT.replace("n1..8: {is: node, fed by: [A, B]", "n1: {is: node, fed by: [A, A]")
    found = {each.lost: each for each in sheet(text).lost}
    assert found["A"].dark == ("n1",)
    assert found["n1.supply-1"].dark == ()
    assert found["B"].dark == ()


def test_one_supply_each_spread():
    """False alarm 4: three nodes with one supply each, each on its own breaker: a strip takes one with it."""
    text = """
falsework: 1
lab: t
outside: {grid: the street}
power:
  c1..3: {is: circuit, fed by: grid, breaker: 10 A}
  s1..3: {is: strip, fed by: c#}
machines:
  v1..3: {is: node, fed by: s#, draws: 100 W}
"""
    found = sheet(text)
    assert not found.bad
    assert {each.lost: each.dark for each in found.lost}["s2"] == ("v2",)


def test_a_machine_that_needs_both_is_dark_without_either():
    """With `enough: 2` each supply is needed; what it would draw still counts to the other, the careful reading."""
    text = EIGHT.replace("power factor: 1", "power factor: 1, enough: 2")
    loss = sheet(text, "A").lost[0]
    assert len(loss.dark) == 8
    assert loss.trips == ("cb",)


def test_a_lost_supply_moves_its_share():
    """Lose one node's supply in A: B carries 250 W more, and A as much less."""
    loss = sheet(EIGHT, "n3.supply-1").lost[0]
    assert dict(loss.carries) == {"ca": 1750, "A": 1750, "cb": 2250, "B": 2250}


def test_what_is_out_is_out():
    """With A out beforehand and 300 W each, B carries all of it as it is, and A nothing."""
    found = sheet(EIGHT.replace("200..500 W, usually draws: 260 W", "300 W"), out=["A"])
    assert feed(found, "B").busy.watts == 2400
    a = feed(found, "A")
    assert a.dark
    assert a.busy.watts == 0


def test_what_trips_as_it_is():
    """With A out beforehand all 4,000 W are asked of B already."""
    b = feed(sheet(EIGHT, out=["A"]), "cb")
    assert b.over
    assert not b.dark
    assert b.busy.watts == 4000


def test_words_and_slips():
    """A word stands for all such parts; what is nearly one is asked about."""
    assert [each.lost for each in sheet(EIGHT, "strip").lost] == ["A", "B"]
    with pytest.raises(QuestionError, match="Did you mean 'strip'"):
        sheet(EIGHT, "strips")
    with pytest.raises(QuestionError):
        sheet(EIGHT, "nobody")


def test_what_is_not_said_is_taken_and_told():
    """No usual draw, no power factor, no share for hours, no voltage: each is named, with its two ends."""
    text = EIGHT.replace(", usually draws: 260 W, power factor: 1", "").replace("volts: 230 V, ", "")
    taken = {each.key: each for each in sheet(text).taken}
    assert [*taken] == ["usually draws", "power factor", "volts", "for hours"]
    assert (taken["usually draws"].low, taken["usually draws"].high) == ("1,600 W", "4,000 W")
    assert (taken["volts"].low, taken["volts"].high) == ("1,840 W at 115 V", "3,840 W at 240 V")
    assert taken["power factor"].low == "4,444 VA"
    assert len(taken["power factor"].things) == 8
    assert feed(sheet(text), "ca").usual.watts == 1400  # half-way


def test_what_is_said_is_not_taken():
    """Where the lab file says it all, nothing is taken."""
    assert sheet(EIGHT.replace("breaker: 16 A", "breaker: 16 A, for hours: 80 %")).taken == ()


def test_the_power_factor_of_a_machine_counts():
    """At 0.5 each watt is two volt-amperes: 2,000 W are 4,000 VA, more than 16 A at 230 V, and told so."""
    b = feed(sheet(EIGHT.replace("power factor: 1", "power factor: 0.5").replace("500 W", "400 W")), "cb")
    assert b.busy.volt_amperes == pytest.approx(3200)
    assert b.over_va
    assert not b.over
    assert b.worst.carried.volt_amperes == pytest.approx(6400)


def test_silent_machines_are_named():
    """Who says nothing of what it draws counts for nothing, and is named; who is told by its enclosure is not."""
    text = (
        EIGHT
        + """  sw: {is: switch, fed by: A}
  box: {is: enclosure, fed by: A, draws: 90 W, holds: {a: {is: node}}}
  shelf: {is: enclosure, fed by: A, holds: {x: {is: node, draws: 10 W}}}
"""
    )
    assert sheet(text).silent == ("sw",)


# -- against somebody who goes round until nothing more falls ---------------------------------------------


@st.composite
def wired(draw):
    """A lab of two circuits, perhaps a battery, strips, and machines with one to three supplies."""
    pick = lambda *choices: draw(st.sampled_from(choices))  # noqa: E731
    power = {
        f"c{n}": {"is": "circuit", "fed by": "grid", "breaker": pick("1 A", "2 A", "3 A", "4 A")}
        for n in (1, 2)
    }
    if pick(True, False):
        power["u"] = {"is": "ups", "fed by": pick("c1", "c2"), "carries": pick("300 W", "500 W", "700 W")}
    for name in ("s1", "s2", "s3"):
        power[name] = {"is": "strip", "fed by": pick(*power)}
        if pick(True, False):
            power[name]["breaker"] = pick("1 A", "2 A")
    machines = {}
    for number in range(draw(st.integers(1, 5))):
        fed = [pick(*power) for _ in range(draw(st.integers(1, 3)))]
        machines[f"m{number}"] = {"is": "node", "fed by": fed, "draws": pick("60 W", "110 W", "230 W")}
    return {
        "falsework": 1,
        "lab": "t",
        "outside": {"grid": "the street"},
        "power": power,
        "machines": machines,
    }


def goes_round(data, lost, *, careful=False):
    """What is asked for too much, what falls, and which supplies stand: slowly, from the text alone.

    With `careful` a source counts the supplies behind it whether or not they are lost, as the verdicts do.
    """
    power, machines = data["power"], data["machines"]

    def chain(name):
        found = []
        while name in power:
            found.append(name)
            name = power[name]["fed by"]
        return found

    plugs = [
        (f"{m}.supply-{n + 1}", m, chain(s))
        for m, each in machines.items()
        for n, s in enumerate(each["fed by"])
    ]

    def limit(name):
        each = power[name]
        amount = each.get("breaker") or each.get("carries")
        return (
            float("inf")
            if amount is None
            else float(amount.split()[0]) * (230 if amount.endswith("A") else 1)
        )

    def mine(owner, source, plug, at):
        return source in at and (careful or lost not in (plug, *at[: at.index(source)]))

    fallen = set()
    while True:
        gone = {lost, *fallen}
        up = {plug for plug, _, at in plugs if plug != lost and not gone & {"grid", *at}}
        asked = {}
        for source in power:
            asked[source] = 0.0
            for m, each in machines.items():
                own = [(plug, at) for plug, owner, at in plugs if owner == m]
                here = sum(mine(m, source, plug, at) for plug, at in own)
                others = sum(source not in at and plug in up for plug, at in own)
                if here:
                    asked[source] += float(each["draws"].split()[0]) * here / (here + others)
        more = {
            source
            for source in power
            if lost not in ("grid", *chain(source)) and asked[source] > limit(source) * (1 + 1e-9)
        }
        if more <= fallen:
            return fallen, asked, up
        fallen |= more


@given(wired())
@settings(max_examples=80, deadline=None)
def test_what_trips_is_what_falls_for_somebody_who_goes_round(data):
    """Each loss: all that truly trips is told, and nothing that does not fall in the verdicts."""
    standing = Standing(lab_of(text_of(data)))
    for loss in feeds(standing).lost:
        truly, asked, up = goes_round(data, loss.lost)
        falls, _, stands = goes_round(data, loss.lost, careful=True)
        assert truly <= set(loss.trips) <= falls
        if truly == falls:
            carries = dict(loss.carries)
            assert {name: carries[name] for name in truly} == pytest.approx(
                {name: asked[name] for name in truly}
            )
            before = goes_round(data, "")[2]
            dark = {m for m in data["machines"] if any(p.startswith(f"{m}.") for p in before)}
            assert set(loss.dark) == {m for m in dark if not any(p.startswith(f"{m}.") for p in stands)}
        assert up >= stands


@given(wired())
@settings(max_examples=40, deadline=None)
def test_what_is_over_is_what_the_verdicts_let_fall(data):
    """What is called over falls in some verdict; what falls there with its feed in place, and nothing behind it lost, is called over."""
    standing = Standing(lab_of(text_of(data)))
    found = feeds(standing)
    parts = ["", *(each.lost for each in found.lost)]
    views = standing.views([(part,) if part else () for part in parts])
    chain = Draws(standing.lab).chain
    behind = {part: chain(part)[1:] for part in parts if part in data["power"]}
    behind |= {each.id: chain(each.source) for each in standing.lab.of(Supply)}
    for each in found.feeds:
        down = [
            part for part, view in zip(parts, views, strict=True) if not view.up(each.id) and part != each.id
        ]
        if each.over:
            assert down
        sure = [
            part
            for part, view in zip(parts, views, strict=True)
            if part in down and view.up(each.fed_by) and each.id not in behind.get(part, ())
        ]
        if sure:
            assert each.over


def test_a_circuit_whose_strip_is_lost_is_not_said_to_trip():
    """Lose A in trap 3: its own circuit carries nothing any more, and only the other one is asked for too much."""
    assert sheet(EIGHT, "A").lost[0].trips == ("cb",)


@pytest.mark.parametrize(
    ("watts_", "says"), [("92.115 W", "80.1 %"), ("92.0115 W", "80.01 %"), ("100 W", "87 %")]
)
def test_a_share_just_above_a_limit_shows_it(watts_, says):
    """80.01 % of a breaker is told as that, and not as 80 % of which 80 % are allowed."""
    text = EIGHT.replace("200..500 W, usually draws: 260 W", watts_).replace("16 A", "4 A")
    b = feed(sheet(text, "strip"), "cb")
    assert f"{says} of what it is rated for" in lasting_says(b)
