"""How is an order of work told on paper?"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from falsework import units
from falsework.analyses.raising.result import Fragile, Plan, Schedule, Slot, StateMove, Step
from falsework.analyses.raising.telling import headline, passing, told
from falsework.errors import sentence
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Picture, Runbook, Table
from falsework.faces.runbook.wording import between, names, steps, time
from falsework.model.lab import Lab
from falsework.units import Dimension

MOST_SINGLES = 3
"""Single points of failure that a box names; the rest are counted."""

READING = (
    "One step a box: its number, a square to tick, how long it takes most likely and at the least and most, and whose hands it needs.",
    "A hatched edge: after this step something hangs on a single part that will not in the end. Do not leave it so for the day if you can help it.",
    "A black bar: after this step there is no way back.",
)


def of_plan(
    lab: Lab,
    plan: Plan,
    fragile: Sequence[Fragile] = (),
    schedule: Schedule | None = None,
    *,
    date: datetime.date,
    pictures: tuple[Picture, ...] = (),
) -> Runbook:
    """The runbook of an order of work.

    Args:
        lab: the lab that it raises.
        plan: the order; with steps.
        fragile: how the lab is after each step, where known.
        schedule: its calendar, if there is one.
        date: the day it is made for.
        pictures: drawings of it, if any.
    """
    slots = {slot.step: slot for slot in schedule.slots} if schedule is not None else {}
    after = {each.step: each for each in fragile}
    more = {step: {single.part for single in singles} for step, singles in passing(fragile).items()}
    boxes: list[Box] = []
    owners: Mapping[str, str] = {}
    for step in plan.steps:
        passes = more.get(step.number, set())
        singles = tuple(_singles(after.get(step.number), passes))
        group = f"Cut-over from {step.of}" if step.of else "Building on" if _cut(boxes) else ""
        boxes.append(
            _box(
                step,
                slots.get(step.number),
                singles,
                tuple(_owners(step, owners)),
                group=group,
                shaky=bool(passes),
            )
        )
        owners = step.owners or owners
    return Runbook(
        title="Order of work",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(map(sentence, (headline(plan, schedule), *told(plan, fragile, schedule)))),
        cautions=cautions(lab),
        chapters=(
            Chapter(title="At a glance", pictures=pictures, tables=tuple(_glance(plan, slots))),
            Chapter(title="The order of work", says=READING, boxes=tuple(boxes)),
        ),
        appendix=appendix(lab),
    )


def _cut(boxes: Sequence[Box]) -> bool:
    return bool(boxes) and bool(boxes[-1].group)


def _glance(plan: Plan, slots: Mapping[int, Slot]) -> Iterator[Table]:
    yield Table(
        title="",
        head=("step", "what", "takes", "hands", "begins" if slots else "after"),
        rows=tuple(
            (
                *(str(step.number), step.says, time(step.takes.likely)),
                time(step.hands_s) if step.hands_s else "none",
                _day(slots[step.number].begins)
                if step.number in slots
                else steps(step.after).partition(" ")[2],
            )
            for step in plan.steps
        ),
        widths=(2, 16, 4, 4, 5),
    )
    if plan.already:
        yield Table(
            title="Stands already",
            head=("",),
            rows=((names(plan.already, 60),),),
        )


def _box(
    step: Step,
    slot: Slot | None,
    fragile: tuple[str, ...],
    owners: tuple[str, ...],
    *,
    group: str,
    shaky: bool,
) -> Box:
    by = slot.who if slot is not None and slot.who else " or ".join(step.by)
    hands = (
        f"{time(step.hands_s)} of work{f', {by}' if by else ''}" if step.hands_s > 0 else "goes on by itself"
    )
    return Box(
        number=str(step.number),
        says=f"{step.says[:1].upper()}{step.says[1:]}",
        group=group,
        takes=time(step.takes.likely),
        between=" ".join(each for each in (between(step.takes), "(assumed)" if step.assumed else "") if each),
        hands=hands,
        when=_span(slot) if slot is not None else "",
        needs=tuple(_needs(step)),
        command=step.command,
        check=step.check,
        back=step.back,
        no_return=step.no_return,
        fragile=fragile,
        shaky=shaky,
        moves=tuple(map(_move, step.moves)),
        outage=tuple(
            f"{name}, for about {time(seconds)}" if seconds > 0 else f"{name}, hardly"
            for name, seconds in (step.out_s or {}).items()
        ),
        owners=owners,
        notes=step.notes,
        cautions=step.cautions,
    )


def _needs(step: Step) -> Iterator[str]:
    if step.after:
        yield f"{steps(step.after)} done"
    if step.leans:
        yield f"standing: {names(step.leans, 12)}"
    if step.not_before is not None:
        yield f"what is delivered on {_date(step.not_before)}; do not begin before"


def _move(move: StateMove) -> str:
    how = "followed until it has caught up" if move.in_use else "nobody writes meanwhile"
    return (
        f"{move.state}: {units.format(move.size, Dimension.DATA)} from {move.source} to {move.target}, "
        f"{time(move.seconds)} at {units.format(move.speed, Dimension.SPEED)} ({move.slowest}), "
        f"{how}{'; size or speed is assumed' if move.assumed else ''}"
    )


def _owners(step: Step, before: Mapping[str, str]) -> Iterator[str]:
    """What changes hands; then, in a cut-over or where a stand-in comes or goes, what does not."""
    now = step.owners or {}
    changed = [state for state, owner in now.items() if before.get(state) != owner]
    for state in changed:
        yield f"{state}: {now[state]}{f', no longer {before[state]}' if state in before else ''}"
    kept: dict[str, list[str]] = {}
    for state, owner in now.items():
        if state not in changed and (step.of or changed):
            kept.setdefault("itself" if owner == state else owner, []).append(state)
    if kept:
        themselves = kept.pop("itself", [])
        said = [f"{names(states)} with {owner}" for owner, states in kept.items()]
        if themselves:
            said.append(f"{names(themselves)} with {'itself' if len(themselves) == 1 else 'themselves'}")
        yield f"as before: {'; '.join(said)}"


def _singles(now: Fragile | None, passing_: set[str]) -> Iterator[str]:
    """Those that will not be single points in the end, the worst first; where there are none, the others."""
    if now is None:
        return
    for missing in now.missing:
        yield f"{missing} does not stand, although it should"
    worst = sorted(now.singles, key=lambda single: -len(single.services))
    told = [single for single in worst if single.part in passing_] or worst
    for single in told[:MOST_SINGLES]:
        yield f"{single.part} alone stops {names(single.services, 6)}"
    more = len(told) - MOST_SINGLES
    end = len(worst) - len(told)
    if more > 0:
        yield f"and {more} more, each alone{f'; besides {end} that do so in the end too' if end else ''}"
    elif end:
        yield f"besides {end} {'part' if end == 1 else 'parts'} that {'does' if end == 1 else 'do'} so in the end too"
    elif worst and not passing_:
        yield "no more than in the end"


def _day(moment: datetime.datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %H:%M}"


def _span(slot: Slot) -> str:
    begins = f"{_date(slot.begins)} {slot.begins:%H:%M}"
    same = slot.begins.date() == slot.ends.date()
    return f"{begins} to {slot.ends:%H:%M}" if same else f"{begins} to {_date(slot.ends)} {slot.ends:%H:%M}"


def _date(day: datetime.date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
