"""What does one do for a drill, what does one watch, when does one stop, how is it put back, and what can be hurt?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from falsework import units
from falsework.analyses.drilling.late import last_back, late_s
from falsework.analyses.drilling.result import Foretold
from falsework.analyses.verdicts import NEVER, Verdict
from falsework.errors import few, sentence
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Circuit,
    Controller,
    Drive,
    Enclosure,
    Node,
    Outside,
    Part,
    Powered,
    Rack,
    Room,
    Strip,
    Supply,
    Switch,
    ThingId,
    Ups,
)
from falsework.model.services import Copy, Data, Store
from falsework.units import Dimension

POWER_CAUTION = (
    "Power can kill: work on it only as local electrical codes and makers' instructions allow, use the switch or the "
    "plug that is made for it, and leave fixed wiring to licensed hands."
)
DATA_CAUTION = "Data can be lost if the plan is wrong: make sure that a copy you have restored from exists elsewhere before you begin."
_CLOCK = (
    "Then set no clock by hand: what is tried is whether all goes on by the clocks of the machines themselves"
)
WATCH_CAUTION = "Tell those who use it beforehand, and have somebody at hand who can put it back."


def time(seconds: float) -> str:
    """As a person reads it."""
    return units.format(seconds, Dimension.TIME)


def to_do(lab: Lab, tries: str, taken: Sequence[str], of: Sequence[str]) -> tuple[str, ...]:
    """What one does to begin it, in order."""
    if tries == "cold start":
        return (
            "Shut everything down in its order, as `falsework shutdown` tells",
            f"Switch off {_feeds(lab)}, and wait until every lamp is dark",
            "Wait five minutes, then switch it on again, and touch nothing more",
        )
    if tries == "restore":
        return tuple(_restoring(lab, of))
    if not taken:
        return ("Do what you wrote it for: the lab file names nothing that it takes out",)
    if tries == "full disk":
        return tuple(
            f"Fill what is free of {name} with one large file that you can delete again, a little at a time"
            for name in filled(lab, taken)
        )
    if tries == "clock" and not any(isinstance(lab.things.get(ThingId(name)), Part) for name in taken):
        return (f"Stop {few(taken)} by hand; leave the machines running", _CLOCK)
    if tries == "clock":
        return (*(_take_out(lab, name) for name in taken), _CLOCK)
    return tuple(_take_out(lab, name) for name in taken)


def filled(lab: Lab, taken: Sequence[str]) -> Iterator[str]:
    """The stores, and the disks of the nodes whose copies stop."""
    things = [lab.things.get(ThingId(name)) for name in taken]
    yield from dict.fromkeys(
        f"the disk of {each.host}" if isinstance(each, Copy) else each.id
        for each in things
        if each is not None
    )


def _restoring(lab: Lab, of: Sequence[str]) -> Iterator[str]:
    data = lab.things.get(ThingId(of[0])) if of else None
    place = of[1] if len(of) > 1 else "its backup"
    yield f"Make room beside {of[0] if of else 'it'}, on a machine that serves nobody: never restore over what is in use"
    if isinstance(data, Data):
        keys = [
            name
            for each in data.backed_up
            if place in each.to.ids
            for name in (each.needs.ids if each.needs else ())
        ]
        if keys:
            yield f"Fetch {few(keys)} from where it would be if the lab were gone"
    yield f"Restore the newest backup from {place} into it"
    yield "Open some of it as its users would, and count it against what is in use"


def put_back(lab: Lab, tries: str, taken: Sequence[str]) -> tuple[str, ...]:
    """How it ends, in order."""
    if tries == "cold start":
        return ("What stays down is started by hand, in the order that `falsework cold-start` tells",)
    if tries == "restore":
        return ("Delete the restored copy, and write the day into the lab file (`restored`)",)
    if tries == "full disk":
        return ("Delete the large file", "See that what stopped goes on, and start by hand what does not")
    done = [_give_back(lab, name) for name in reversed(taken)]
    drives = _drives(lab, taken)
    stores = [
        store.id for store in lab.of(Store) if drives.intersection(store.drives.ids if store.drives else ())
    ]
    if stores:
        done.append(
            f"Wait until {few(stores)} {'is' if len(stores) == 1 else 'are'} whole again before anything else is touched"
        )
    return (*done, "See that all stands that stood before")


def _drives(lab: Lab, taken: Iterable[str]) -> set[str]:
    return {name for name in taken if isinstance(lab.things.get(ThingId(name)), Drive)}


def _take_out(lab: Lab, name: str) -> str:
    thing = lab.things.get(ThingId(name))
    at = _where(lab, name)
    if isinstance(thing, Cable):
        return f"Pull {_ends(thing)}"
    if isinstance(thing, Supply):
        return f"Pull the power cord of {thing.holder} that goes to {_outlet(lab, thing)}{_where(lab, thing.holder)}"
    if isinstance(thing, Drive):
        return f"Pull the drive {name}{at}, if its bay is made for pulling it while it runs; else take it out of service by its own tools"
    if isinstance(thing, Node) and isinstance(_holder(lab, thing), Enclosure):
        return f"Hold the power button of {name}{at} until it is dark, as a hang would: no orderly shutdown"
    if isinstance(thing, Enclosure | Node | Switch):
        cords = _cords(lab, name)
        return f"Pull {cords or f'the power plug of {name}'}{at}: no orderly shutdown"
    if isinstance(thing, Ups):
        return f"Switch off the output of {name}{at}"
    if isinstance(thing, Strip):
        return f"Switch off the strip {name}{at}, or pull its plug"
    if isinstance(thing, Circuit):
        return f"Switch off the breaker of {name}"
    if isinstance(thing, Controller):
        return f"Pull the cable of the management port of {thing.holder}{_where(lab, thing.holder)}"
    if isinstance(thing, Rack | Room):
        return f"Switch off all that feeds {name}; nothing has to be moved"
    if isinstance(thing, Copy):
        return f"Stop {name} on {thing.host} by hand, without handing over; leave the machine running"
    if isinstance(thing, Outside):
        feeds = [each.id for each in lab.of(Powered) if each.fed_by and name in each.fed_by.ids]
        if feeds:
            return f"Switch off the main switch behind {name}, which feeds {few(feeds)}"
        return f"Cut {name} off where it comes into the lab, or switch off what receives it"
    return f"Take {name}{at} out"


def _give_back(lab: Lab, name: str) -> str:
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Cable):
        return f"Plug {_ends(thing)} in again, both ends where they were"
    if isinstance(thing, Supply):
        return f"Plug the cord of {thing.holder} into {_outlet(lab, thing)} again"
    if isinstance(thing, Drive):
        return f"Put {name} back into its bay, and into its store by the store's own tools"
    if isinstance(thing, Enclosure | Switch) or (
        isinstance(thing, Node) and not isinstance(_holder(lab, thing), Enclosure)
    ):
        on = " and press its power button" if thing.power_back == "stays off" else ""
        return f"Plug {name} in again{on}"
    if isinstance(thing, Node):
        return f"Press the power button of {name}"
    if isinstance(thing, Copy):
        return f"Start {name} on {thing.host} again"
    if isinstance(thing, Circuit | Strip | Ups | Outside | Rack | Room):
        return f"Switch {name} on again"
    return f"Put {name} back"


def _ends(cable: Cable) -> str:
    (one, port), (other, far) = cable.ends
    colour = f"the {cable.colour} cable" if cable.colour else "the cable"
    return (
        f"{colour} between {one}{f' port {port}' if port else ''} and {other}{f' port {far}' if far else ''}"
    )


def _holder(lab: Lab, part: Part) -> object:
    return lab.things.get(ThingId(part.in_.ids[0])) if part.in_ else None


def _cords(lab: Lab, name: str) -> str:
    supplies = [each for each in lab.of(Supply) if each.holder == name]
    if not supplies:
        return ""
    ends = [_outlet(lab, each) for each in supplies]
    if len(ends) == 1:
        return f"the power cord of {name} ({ends[0]})"
    many = "both" if len(ends) == 2 else f"all {len(ends)}"
    return f"{many} power cords of {name} within a second ({', '.join(ends)})"


def _outlet(lab: Lab, supply: Supply) -> str:
    holder = lab.things.get(ThingId(supply.holder))
    if isinstance(holder, Powered) and holder.fed_by and holder.fed_by.outlets:
        for source, outlet in zip(holder.fed_by.ids, holder.fed_by.outlets, strict=True):
            if source == supply.source and outlet is not None:
                return f"{supply.source} outlet {outlet}"
    return str(supply.source)


def _where(lab: Lab, name: str) -> str:
    """Where one finds it, as far as the lab says."""
    thing = lab.things.get(ThingId(name))
    houses: list[str] = []
    unit = ""
    while isinstance(thing, Part):
        if thing.at is not None and not unit:
            unit = f"unit {thing.at:g}"
        if thing.in_ is None:
            break
        houses.append(thing.in_.ids[0])
        thing = lab.things.get(ThingId(thing.in_.ids[0]))
    said = [*([unit] if unit else []), *houses]
    return f" ({', '.join(said)})" if said else ""


def _feeds(lab: Lab) -> str:
    circuits = [each.id for each in lab.of(Circuit)]
    batteries = [each.id for each in lab.of(Ups)]
    said = f"the breakers of {few(circuits)}" if circuits else "the main switch"
    return f"{said}, and the output of {few(batteries)}" if batteries else said


def to_watch(effects: Sequence[Foretold], unseen: Sequence[str], tries: str) -> tuple[str, ...]:
    """What to look at while it lasts."""
    probes = list(dict.fromkeys(probe for each in effects for probe in each.probes))
    said = []
    if probes:
        said.append(f"The probes {', '.join(probes)}" if len(probes) > 1 else f"The probe {probes[0]}")
    if tries == "cold start":
        said.append("The clock: each is to come back in its time, and none may come and go again")
    else:
        said.append(f"Every {'other ' if probes else ''}probe: nothing {'else ' if effects else ''}may stop")
    if unseen:
        said.append(f"By hand, for no probe sees {'it' if len(unseen) == 1 else 'them'}: {', '.join(unseen)}")
    return tuple(said)


def to_stop(effects: Sequence[Foretold], stop_after_s: float | None, tries: str) -> tuple[str, ...]:
    """When to give up and put back."""
    said = []
    if (last := last_back(effects)) is not None:
        said.append(
            f"When {last.service}, the last to come back, is not back {time(late_s(last.back_s))} after the "
            f"{'power came back' if tries == 'cold start' else 'beginning'} (foretold: {time(last.back_s)})"
        )
    late = sorted(
        (each for each in effects if each.verdict >= Verdict.FALLS and 0 < each.falls_s < NEVER),
        key=lambda each: each.falls_s,
    )
    if late and tries != "cold start":
        said.append(
            f"Before {late[0].service} falls, {time(late[0].falls_s)} after the beginning, if you don't mean it to"
        )
    if tries != "cold start":
        said.append("When anything falls that is not foretold here, or earlier than foretold")
    said.append("When an alarm tells of anything else, or nobody is there who can put it back")
    if stop_after_s is not None:
        said.append(f"After {time(stop_after_s)}, whatever has happened")
    return tuple(said)


def cautions_of(
    lab: Lab, tries: str, taken: Sequence[str], at_risk: Sequence[str], bare: Sequence[str]
) -> tuple[str, ...]:
    """What can be hurt.

    Args:
        lab: the lab.
        tries: what is tried.
        taken: what is taken out or stopped.
        at_risk: data that lie on it.
        bare: those of them that no backup holds.
    """
    things = [lab.things.get(ThingId(name)) for name in taken]
    said = []
    if tries == "cold start" or any(
        isinstance(each, Circuit | Strip | Ups | Supply | Outside | Enclosure | Node | Switch)
        for each in things
    ):
        said.append(POWER_CAUTION)
    if at_risk or tries in ("restore", "full disk", "cold start"):
        said.append(DATA_CAUTION)
    if bare:
        said.append(
            sentence(
                f"{few(bare)} {'has' if len(bare) == 1 else 'have'} no backup: what is lost of it is gone"
            )
        )
    if tries != "restore":
        said.append(WATCH_CAUTION)
    return tuple(said)
