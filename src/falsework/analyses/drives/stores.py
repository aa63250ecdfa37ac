"""How durable are the stores of the lab as they are laid out today?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from falsework.analyses.drives.enduring import HIGH, LOW, USUAL, Belief, odds, rebuilt
from falsework.analyses.drives.figures import AS_TAKEN, Figures
from falsework.analyses.drives.mending import mending
from falsework.analyses.drives.result import Apart, Bays, Group, Plan, Stick, StoreOdds
from falsework.analyses.drives.stock import stick
from falsework.analyses.drives.surviving import heals
from falsework.engines.durability.chain import Durability
from falsework.engines.usable import usable_array, usable_spread
from falsework.model.domains import Domains, domains
from falsework.model.lab import Lab
from falsework.model.parts import Drive, ThingId
from falsework.model.rules import layout
from falsework.model.services import Store
from falsework.model.timing import settled_s
from falsework.support.reached import ASSUMED_PORT, best_port, domain_of


def store_odds(lab: Lab, figures: Figures = AS_TAKEN, *, ends: bool = True) -> tuple[StoreOdds, ...]:
    """Every store of a lab, in lab order; a few milliseconds each.

    Args:
        lab: the lab.
        figures: what is taken where nobody says.
        ends: whether the low and the high end are asked too, and the time with nothing to spare; else all is rough, and
            quick.
    """
    shared = domains(lab.things)
    return tuple(_store(lab, shared, store, figures, ends) for store in lab.of(Store))


def _store(lab: Lab, shared: Domains, store: Store, figures: Figures, ends: bool) -> StoreOdds:
    drives = [lab.things[ThingId(name)] for name in (store.drives.ids if store.drives else ())]
    known = [each for each in drives if isinstance(each, Drive) and each.size]
    survived = layout(store.layout, len(drives) - store.spares).survives
    nothing = StoreOdds(
        store=str(store.id),
        layout=store.layout,
        usable_bytes=None,
        survives=survived,
        usual=None,
        low=None,
        high=None,
        rebuild_s=0.0,
        by_speed_s=0.0,
        begins_s=0.0,
        read_errors=0.0,
        read_chance=0.0,
        exposed_s=0.0,
        heals=False,
        last=survived == 1,
        where=store.where,
    )
    if len(known) < len(drives) or not drives:
        return nothing
    plan, bays = _as_plan(lab, shared, store, known, figures)
    if plan.usable_bytes <= 0:
        return nothing
    mends = mending(lab, known, store.rebuild_gets, figures)

    def under(belief: Belief) -> Durability:
        return odds(plan, bays, mends, belief, rough=not ends)

    usual = under(USUAL)
    rebuild = rebuilt(plan, usual)
    by_speed_s = rebuild.seconds
    known_s = settled_s(store, "rebuilds_in", by_speed_s)
    if known_s != by_speed_s:
        plan, bays = _slower(plan, bays, known_s / by_speed_s)
        usual = under(USUAL)
        rebuild = rebuilt(plan, usual)
    return replace(
        nothing,
        usable_bytes=plan.usable_bytes,
        usual=usual,
        low=under(LOW) if ends else None,
        high=under(HIGH) if ends else None,
        rebuild_s=rebuild.seconds,
        by_speed_s=by_speed_s,
        begins_s=0.0 if plan.spares else mends.replaced_s(plan),
        read_errors=rebuild.read_errors if survived else 0.0,
        read_chance=rebuild.read_chance if survived else 0.0,
        exposed_s=usual.exposed_s if survived else 0.0,
        heals=heals(plan, bays).drive_bytes >= plan.usable_bytes * (1 - 1e-9),
    )


def _as_plan(
    lab: Lab, shared: Domains, store: Store, drives: Sequence[Drive], figures: Figures
) -> tuple[Plan, tuple[Bays, ...]]:
    """A store as a layout; what may hold one piece only stands for a machine of its own."""
    working, waiting = drives[: len(drives) - store.spares], drives[len(drives) - store.spares :]
    shape = layout(store.layout, len(working))
    if store.layout.endswith((" copies", " pieces")):
        data, check = shape.least - shape.survives, shape.survives
        sticks = tuple(
            stick(each, figures, bay=domain_of(lab, shared, store, str(each.id))) for each in drives
        )
        domain: dict[str, list[Stick]] = {}
        for each in sticks[: len(working)]:
            domain.setdefault(each.bay, []).append(each)
        sizes = [sum(each.size_bytes for each in those) for those in domain.values()]
        group = Group(sticks=sticks[: len(working)], data=data, check=check, apart=Apart.NODE)
        plan = Plan(
            scheme=store.layout,
            apart=Apart.NODE,
            groups=(group,),
            spares=store.spares,
            usable_bytes=usable_spread(sizes, data=data, check=check),
        )
        return plan, tuple(_port(lab, name, those) for name, those in domain.items())
    width = shape.group or (1 if store.layout == "single" else len(working))
    groups = tuple(
        Group(
            sticks=tuple(stick(each, figures, bay="here") for each in working[first : first + width]),
            data=width - shape.survives,
            check=shape.survives,
            apart=Apart.IN_ONE,
            spares=tuple(stick(each, figures, bay="here") for each in waiting) if first == 0 else (),
        )
        for first in range(0, len(working), width)
    )
    plan = Plan(
        scheme=store.layout,
        apart=Apart.IN_ONE,
        groups=groups,
        spares=store.spares,
        usable_bytes=sum(
            usable_array([each.size_bytes for each in group.sticks], check=group.check) for group in groups
        ),
    )
    return plan, ()


def _slower(plan: Plan, bays: Sequence[Bays], factor: float) -> tuple[Plan, tuple[Bays, ...]]:
    """The same layout with everything so many times slower: a rebuild takes as long as it is known to take."""
    groups = tuple(
        replace(
            group,
            sticks=tuple(replace(each, speed=each.speed / factor) for each in group.sticks),
            spares=tuple(replace(each, speed=each.speed / factor) for each in group.spares),
        )
        for group in plan.groups
    )
    slower = tuple(replace(each, bytes_per_s=each.bytes_per_s / factor) for each in bays)
    return replace(plan, groups=groups), slower


def _port(lab: Lab, name: str, sticks: Sequence[Stick]) -> Bays:
    """What gets in and out of a domain: the ports of the machines that its drives are in."""
    nodes = {
        holder
        for each in sticks
        if isinstance(drive := lab.things[ThingId(each.name)], Drive) and drive.in_ is not None
        for holder in drive.in_.ids[:1]
    }
    speed = sum(best_port(lab, node) or ASSUMED_PORT for node in nodes)
    return Bays(
        holder=name,
        free=len(sticks),
        nodes=(name,),
        enclosure=name,
        bytes_per_s=(speed or ASSUMED_PORT) / 8,
    )
