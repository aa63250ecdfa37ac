"""Which appointments do drills put into a calendar?

Times are floating: the wall clock where the lab is. The same drills on the same days make the same bytes, and an
appointment keeps its UID when it moves, so that a calendar program moves it too.
"""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator, Sequence

from icalendar import Event

from falsework.analyses.drilling import Plan
from falsework.analyses.drilling.pacing import Date
from falsework.faces.appointments import begun, clean, stamp, text_of
from falsework.faces.drill_says import does
from falsework.model.lab import Lab

_SPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "drills.falsework.invalid")
_ABOUT = (
    "Ask on the day whether a drill may be done (`falsework drills LAB NAME`), and do none while something is out that "
    "it leans on. Commands are your own, to be run by you. Where hands meet power or data: local electrical codes, "
    "makers' instructions and licensed practice first."
)


def drill_calendar(lab: Lab, plans: Sequence[Plan], dates: Sequence[Date]) -> str:
    """The calendar as text, with the line ends that the standard wants: write it as it is.

    Args:
        lab: whose name the calendar has.
        plans: the drills.
        dates: when each is done, in order.
    """
    found = begun(f"Drills of {lab.name}", _ABOUT, of="drills")
    named = {plan.name: plan for plan in plans}
    first = min((date.begins.date() for date in dates), default=datetime.date(1970, 1, 1))
    for date in dates:
        plan = named[date.plan]
        event = Event()
        event.add("uid", str(uuid.uuid5(_SPACE, f"{lab.name}\n{plan.name}")))
        event.add("dtstamp", stamp(first))
        event.add("dtstart", date.begins)
        event.add("dtend", date.ends)
        event.add("summary", clean(f"Drill: {plan.name}"))
        event.add("description", clean("\n".join(_said(plan, date))))
        event.add("transp", "OPAQUE")
        found.add_component(event)
    return text_of(found)


def _said(plan: Plan, date: Date) -> Iterator[str]:
    if date.who:
        yield f"Who: {date.who}"
    if not date.fits:
        yield "Longer than anybody's hours: begin early, or stay on."
    if plan.after:
        yield f"Not before these went well: {', '.join(plan.after)} ({plan.held})"
    for each in plan.cautions:
        yield f"Caution: {each}"
    for effect in plan.effects:
        yield f"Foretold: {effect.service} {does(plan, effect)}"
    for label, lines in (
        ("Do", plan.do_words),
        ("Watch", plan.watch),
        ("Stop", plan.stop_when),
        ("Put back", plan.put_back_words),
    ):
        for each in lines:
            yield f"{label}: {each}"
    if plan.do:
        yield f"Your command to begin it: {plan.do}"
    if plan.put_back:
        yield f"Your command to put it back: {plan.put_back}"
