"""What does an order of work look like to a program?"""

from __future__ import annotations

from collections.abc import Sequence, Set
from typing import Any

from falsework.analyses.raising.result import Fragile, Moment, Plan, Schedule, Slot, StateMove, Step
from falsework.analyses.raising.telling import chain_s, hands_s, hanging, headline, stretch, told
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.faces.values import guess
from falsework.support.standing import Standing

Plain = dict[str, Any]


def raise_answer(
    standing: Standing, plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None, status: int
) -> Plain:
    """Everything that is known of the order of work."""
    longest = stretch(plan, fragile, schedule)
    return {
        **head("raise", standing, status),
        "says": headline(plan, schedule),
        "more": list(told(plan, fragile, schedule)),
        "stand_ins": {
            "used": list(plan.stand_ins),
            "cost_s": plan.cost_s,
            "bound_s": plan.bound_s,
            "proven": plan.proven,
        },
        "stuck": {"things": list(plan.stuck), "circle": list(plan.circle), "would_do": list(plan.would_do)},
        "hands_s": hands_s(plan),
        "chain_s": chain_s(plan),
        "already": list(plan.already),
        "steps": [_step(each) for each in plan.steps],
        "moments": _moments(plan.moments, fragile),
        "hanging": [
            {
                "part": each.part,
                "services": list(each.services),
                "steps": list(each.steps),
                "lasts_s": each.seconds,
            }
            for each in hanging(plan, fragile, schedule)
        ],
        "fragile_stretch": None
        if longest is None
        else {
            "first": longest.first,
            "last": longest.last,
            "lasts_s": longest.seconds,
            "parts": list(longest.stops),
        },
        "calendar": None if schedule is None else _calendar(schedule),
    }


def _step(step: Step) -> Plain:
    return {
        "number": step.number,
        "doing": step.doing.value,
        "things": list(step.things),
        "of": step.of,
        "says": step.says,
        "after": list(step.after),
        "leans": list(step.leans),
        "moves": [_move(each) for each in step.moves],
        "takes": guess(step.takes),
        "hands_s": step.hands_s,
        "by": list(step.by),
        "not_before": None if step.not_before is None else step.not_before.isoformat(),
        "command": step.command,
        "check": step.check,
        "back": step.back,
        "no_return": step.no_return,
        "out_s": dict(step.out_s or {}),
        "owners": dict(step.owners or {}),
        "cautions": list(step.cautions),
        "notes": list(step.notes),
        "assumed": step.assumed,
        "where": place(step.where),
    }


def _move(move: StateMove) -> Plain:
    return {
        "state": move.state,
        "source": move.source,
        "target": move.target,
        "size_bytes": move.size,
        "speed_bits_per_s": move.speed,
        "slowest": move.slowest,
        "takes_s": move.seconds,
        "in_use": move.in_use,
        "assumed": move.assumed,
    }


def _moments(moments: Sequence[Moment], fragile: Sequence[Fragile]) -> list[Plain]:
    """How the lab is after each step; what is built is told as what came with that step."""
    after = {each.step: each for each in fragile}
    found = []
    before: Set[str] = frozenset()
    for moment in moments:
        shaky = after.get(moment.step)
        found.append(
            {
                "step": moment.step,
                "built": sorted(moment.built - before),
                "lent": sorted(moment.lent),
                "serving": dict(moment.serving),
                "fragile": None
                if shaky is None
                else {
                    "serving": list(shaky.serving),
                    "missing": list(shaky.missing),
                    "margin": shaky.margin,
                    "single_points": [
                        {"part": single.part, "services": list(single.services)} for single in shaky.singles
                    ],
                },
            }
        )
        before = moment.built
    return found


def _calendar(schedule: Schedule) -> Plain:
    return {
        "begins": schedule.begins.isoformat(),
        "ends": schedule.ends.isoformat(),
        "earliest_end": schedule.earliest_end.isoformat(),
        "fragile_h": schedule.fragile_h,
        "least_fragile_h": schedule.least_fragile_h,
        "critical": list(schedule.critical),
        "spread_s": schedule.spread_s,
        "slots": [_slot(each) for each in schedule.slots],
    }


def _slot(slot: Slot) -> Plain:
    return {
        "step": slot.step,
        "begins": slot.begins.isoformat(),
        "ends": slot.ends.isoformat(),
        "work": [{"begins": begins.isoformat(), "ends": ends.isoformat()} for begins, ends in slot.work],
        "who": slot.who,
    }
