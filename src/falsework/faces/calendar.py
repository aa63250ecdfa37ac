"""Which appointments does an order of work put into a calendar?

Times are floating: the wall clock where the lab is. The same order on the same days makes the same bytes, and an
appointment keeps its UID when it moves, so that a calendar program moves it too.
"""

from __future__ import annotations

import datetime
import uuid
from collections import Counter

from icalendar import Event

from falsework.analyses.raising.result import Plan, Schedule, Slot, Step
from falsework.faces.appointments import begun, clean, stamp, text_of
from falsework.model.lab import Lab

_SPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "order-of-work.falsework.invalid")
_ABOUT = (
    "Most likely times, on the wall clock. Commands are your own, to be run by you. "
    "Where hands meet power, weight or data: local electrical codes, makers' instructions and licensed practice first."
)


def calendar(lab: Lab, plan: Plan, schedule: Schedule) -> str:
    """The calendar as text, with the line ends that the standard wants: write it as it is.

    Args:
        lab: whose name the calendar has.
        plan: the order of work.
        schedule: its calendar.

    Returns:
        An appointment for each stretch of somebody's work, which takes their time, and one for what goes on by
        itself, which does not; in order of their begin.
    """
    found = begun(f"Raising {lab.name}", _ABOUT, of="order of work")
    step_of = {step.number: step for step in plan.steps}
    times: Counter[tuple[str, ...]] = Counter()
    events = []
    for slot in schedule.slots:
        step = step_of[slot.step]
        name = (lab.name, step.doing.value, step.of, *step.things)
        times[name] += 1
        for number, event in enumerate(_events(step, slot, schedule), 1):
            event.add("uid", str(uuid.uuid5(_SPACE, "\n".join((*name, str(times[name]), str(number))))))
            event.add("dtstamp", stamp(schedule.begins.date()))
            events.append((event.DTSTART, slot.step, number, event))
    for *_, event in sorted(events, key=lambda each: each[:3]):
        found.add_component(event)
    return text_of(found)


def _events(step: Step, slot: Slot, schedule: Schedule) -> list[Event]:
    """What one step puts into the calendar."""
    events = []
    waits = step.not_before is not None and step.not_before >= schedule.begins.date()
    said = _description(step, waits=waits)
    who = f"Who: {slot.who or 'anyone'}"
    for number, (begins, ends) in enumerate(slot.work, 1):
        part = f" ({number} of {len(slot.work)})" if len(slot.work) > 1 else ""
        event = _event(begins, ends, f"{step.number}. {step.says}{part}", [who, *said])
        event.add("transp", "OPAQUE")
        events.append(event)
    begins = slot.work[-1][1] if slot.work else slot.begins
    if begins < slot.ends or not slot.work:
        event = _event(begins, slot.ends, f"{step.number}. {step.says}: goes on by itself", said)
        event.add("transp", "TRANSPARENT")
        events.append(event)
    return events


def _event(begins: datetime.datetime, ends: datetime.datetime, summary: str, description: list[str]) -> Event:
    event = Event()
    event.add("dtstart", begins)
    if ends > begins:  # a moment has no end of its own: the standard wants an end to be later
        event.add("dtend", ends)
    event.add("summary", clean(summary))
    if description:
        event.add("description", clean("\n".join(description)))
    return event


def _description(step: Step, *, waits: bool) -> list[str]:
    """What is wanted at hand when the time comes: cautions, what it waits for, command, check, way back."""
    lines = [f"Caution: {caution}" for caution in step.cautions]
    if step.after:
        lines.append(
            f"After: {'step' if len(step.after) == 1 else 'steps'} {', '.join(map(str, step.after))}"
        )
    if waits:
        lines.append(f"Waits for a delivery: {step.not_before}")
    if step.command:
        lines.append(f"Your command: {step.command}")
    if step.check:
        lines.append(f"Check: {step.check}")
    if step.back:
        lines.append(f"Way back: {step.back}")
    if step.no_return:
        lines.append(f"No way back after this: {step.no_return}")
    return lines
