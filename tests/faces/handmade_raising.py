"""An order of work made by hand, with its fragile moments and its calendar: every figure can be seen at a glance."""

from __future__ import annotations

import datetime
from functools import cache

from falsework.analyses.raising.result import (
    Doing,
    Fragile,
    Moment,
    Plan,
    Schedule,
    Single,
    Slot,
    StateMove,
    Step,
)
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.standing import Standing
from falsework.units import ThreePoint

H, MIN = 3600.0, 60.0

SHED = """
falsework: 1
lab: Puffin Shed
about: two desks, a switch and a laptop
outside:
  mains: {}
places:
  shed: {is: room}
  rack: {is: rack, in: shed, units: 12, weighs: 40 kg}
power:
  c1:    {is: circuit, fed by: mains, volts: 230 V, breaker: 16 A}
  strip: {is: strip, fed by: c1, outlets: 6}
machines:
  desk-1..2: {is: node, ports: {a: 1 Gb/s}, in: rack, fed by: strip, at: 2 U, weighs: 21 kg, power back: on,
              needs: {to build: [installer]}, raising: {takes: 30..60..180 min, hands: 20 min}}
  sw-1: {is: switch, ports: 8 x 1 Gb/s, fed by: strip}
wire:
  cables:
    - {run: desk-1.a -- sw-1, colour: red, length: 2 m}
    - desk-2.a -- sw-1
  networks:
    house: {vlan: 10, subnet: 10.1.0.0/24, over: sw-1, fixed: .2-.49}
services:
  names:     {on: desk-1..2, reached at: [10.1.0.5, 10.1.0.6]}
  installer: {on: desk-1, floats: 10.1.0.9 in 4 s, needs: [names]}
data:
  zones: {of: names, in: [desk-1, desk-2], size: 1 GiB, backed up: {to: drawer, every: 1 day, restored: 2026-03-01}}
keys:
  root key: {kept in: drawer}
people:
  me: {works: Mon-Fri 19:00-22:00 and Sat 09:00-17:00, comes in: 20 min}
stand-ins:
  laptop: {for: [names, installer], costs: 2 h, address: 10.1.0.40}
"""
SHED = SHED.replace("  mains: {}", "  mains: {}\n  drawer: the one in the kitchen")


@cache
def shed() -> Standing:
    """The lab that the plan raises."""
    return Standing(build(read_text(SHED, "shed.yaml")))


def three(low: float, likely: float, high: float) -> ThreePoint:
    """A guess in minutes."""
    return ThreePoint(low=low * MIN, likely=likely * MIN, high=high * MIN)


def steps() -> tuple[Step, ...]:
    """Ten steps: power, wire, laptop, one desk, its services, two cut-overs in one, the other desk, laptop home."""
    lent = {"zones": "laptop", "installer": "laptop"}
    return (
        Step(number=1, doing=Doing.BRING, things=("c1", "strip"), says="power c1 and strip",
             takes=three(30, 60, 240), hands_s=30 * MIN,
             cautions=("Mains voltage can kill. Defer to local electrical codes, makers' instructions and licensed practice.",),
             check="every lamp is on", back="switch off at the breaker", assumed=True),
        Step(number=2, doing=Doing.BRING, things=("sw-1",), says="wire sw-1", after=(1,), leans=("strip",),
             takes=three(20, 40, 120), hands_s=40 * MIN, assumed=True),
        Step(number=3, doing=Doing.LEND, things=("laptop",), says="set up laptop in place of names and installer",
             after=(2,), leans=("sw-1",), takes=three(120, 120, 120), hands_s=120 * MIN, owners=lent,
             back="take laptop off the wire"),
        Step(number=4, doing=Doing.BRING, things=("desk-1",), says="install desk-1", after=(3,),
             leans=("strip", "sw-1", "laptop"), takes=three(30, 60, 180), hands_s=20 * MIN, owners=lent,
             not_before=datetime.date(2026, 12, 7), command="install --from laptop\n  desk-1",
             cautions=("desk-1 weighs 21 kg: lift with two.",)),
        Step(number=5, doing=Doing.FREEZE, of="laptop", things=("names",), says="stop writing names on laptop",
             after=(4,), leans=("laptop",), takes=three(1, 2, 5), hands_s=2 * MIN, owners=lent,
             out_s={"names": 300.0}, back="let laptop write again"),
        Step(number=6, doing=Doing.COPY, of="laptop", things=("zones",), says="copy zones from laptop to desk-1",
             after=(5,), takes=three(1, 1, 2), owners=lent, check="both say the same number of names",
             moves=(StateMove(state="zones", source="laptop", target="names", size=1024**3, speed=1e9,
                              slowest="laptop's wire", seconds=9.0, in_use=False, assumed=True),)),
        Step(number=7, doing=Doing.HAND_OVER, of="laptop", things=("names",), says="names on desk-1 takes over from laptop",
             after=(6,), takes=three(5, 10, 30), hands_s=10 * MIN, owners={"zones": "names", "installer": "laptop"},
             no_return="from now on changes are written to desk-1 alone",
             notes=("a second copy is no redundancy yet: its state would be desk-1's",)),
        Step(number=8, doing=Doing.HAND_OVER, of="laptop", things=("installer",), says="installer on desk-1 takes over from laptop",
             after=(7,), takes=three(5, 10, 30), hands_s=10 * MIN, owners={"zones": "names", "installer": "installer"}),
        Step(number=9, doing=Doing.RETIRE, of="laptop", things=("laptop",), says="take laptop home", after=(8,),
             takes=three(5, 5, 10), hands_s=5 * MIN, owners={"zones": "names", "installer": "installer"}),
        Step(number=10, doing=Doing.BRING, things=("desk-2", "names.2"), says="install desk-2 with names.2",
             after=(9,), leans=("installer",), takes=three(30, 60, 180), hands_s=20 * MIN,
             owners={"zones": "names", "installer": "installer"}),
    )  # fmt: skip


def plan() -> Plan:
    """The whole."""
    done = steps()
    built = [set[str]()]
    for step in done:
        built.append(built[-1] | (set(step.things) if step.doing is Doing.BRING else set()))
    serving = [dict[str, str]() for _ in range(11)]
    for number in range(3, 11):
        serving[number] = {
            "names": "laptop" if number < 7 else "names",
            "installer": "laptop" if number < 8 else "installer",
        }
    return Plan(
        steps=done,
        already=(),
        stand_ins=("laptop",),
        cost_s=2 * H,
        bound_s=2 * H,
        stuck=(),
        circle=(),
        would_do=(),
        moments=tuple(
            Moment(
                step=number,
                built=frozenset(built[number]),
                lent=frozenset({"laptop"} if 3 <= number < 9 else ()),
                serving=serving[number],
            )
            for number in range(11)
        ),
    )


def fragile() -> tuple[Fragile, ...]:
    """Nothing serves until step 3; then the laptop alone stops both, later desk-1, and in the end the installer's."""
    found = []
    both = ("names", "installer")
    for number in range(11):
        singles: tuple[Single, ...] = ()
        if 3 <= number < 8:
            singles = (Single(part="laptop", services=both), Single(part="sw-1", services=both))
        elif number in (8, 9):
            singles = (Single(part="desk-1", services=both), Single(part="sw-1", services=both))
        elif number == 10:
            singles = (Single(part="desk-1", services=("installer",)),)
        if number == 7:
            singles = (Single(part="desk-1", services=("names",)), *singles)
        found.append(
            Fragile(
                step=number,
                serving=both if number >= 3 else (),
                missing=(),
                singles=singles,
                margin=1 if singles else 0,
            )
        )
    return tuple(found)


def schedule() -> Schedule:
    """Two evenings and a Saturday."""

    def at(day: int, hour: int, minute: int = 0) -> datetime.datetime:
        return datetime.datetime(2026, 12, day, hour, minute)

    spans = {
        1: (at(4, 19), at(4, 20)),
        2: (at(4, 20), at(4, 20, 40)),
        3: (at(5, 9), at(5, 11)),
        4: (at(7, 19), at(7, 20)),
        5: (at(7, 20), at(7, 20, 2)),
        6: (at(7, 20, 2), at(7, 20, 3)),
        7: (at(7, 20, 3), at(7, 20, 13)),
        8: (at(7, 20, 13), at(7, 20, 23)),
        9: (at(7, 20, 23), at(7, 20, 28)),
        10: (at(7, 20, 28), at(7, 21, 28)),
    }
    return Schedule(
        slots=tuple(
            Slot(
                step=step.number,
                begins=spans[step.number][0],
                ends=spans[step.number][1],
                work=(
                    (
                        spans[step.number][0],
                        spans[step.number][0] + datetime.timedelta(seconds=step.hands_s),
                    ),
                )
                if step.hands_s
                else (),
                who="me" if step.hands_s else "",
            )
            for step in steps()
        ),
        begins=at(4, 19),
        ends=at(7, 21, 28),
        earliest_end=at(7, 21, 28),
        fragile_h=58.5,
        least_fragile_h=58.5,
        critical=(4, 5, 6, 7, 8, 9, 10),
        spread_s=32 * MIN,
    )


def stuck() -> Plan:
    """What no accepted stand-in raises."""
    return Plan(
        steps=(),
        already=("c1", "strip"),
        stand_ins=(),
        cost_s=0.0,
        bound_s=0.0,
        stuck=("desk-1", "desk-2", "names", "installer"),
        circle=("installer", "desk-1", "installer"),
        would_do=("installer", "desk-1"),
        moments=(Moment(step=0, built=frozenset({"c1", "strip"}), lent=frozenset(), serving={}),),
    )
