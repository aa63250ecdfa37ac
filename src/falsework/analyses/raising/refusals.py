"""Why can no calendar be made, where does it say so, and what would help?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.raising.jobs import Jobs
from falsework.analyses.raising.result import Plan, Step
from falsework.engines.scheduling.tasks import Impossible, Worker
from falsework.errors import Fault, LabError, LimitError, listed
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.people import Person

MOST_YEARS = 10
"""Nothing is planned further ahead."""


def nobody(lab: Lab, step: Step, people: Sequence[Person | None]) -> Fault:
    """Nobody of those who take part may do a step."""
    where, path = step.where, ""
    for thing in (lab.things.get(ThingId(name)) for name in step.things):
        if where is None and thing is not None and thing.raising is not None:
            where, path = thing.raising.place("by"), f"{thing.id}.raising.by"
    there = listed(str(person.id) for person in people if person is not None)
    return Fault(
        where,
        f"step {step.number} ({step.says}) can only be done by {listed(step.by)}, who {_takes_no_part(step)}",
        f"Taking part: {there or 'one unnamed pair of hands'}. Let one of them do it, or let {step.by[0]} take part.",
        path,
    )


def _takes_no_part(step: Step) -> str:
    return "takes no part" if len(step.by) == 1 else "take no part"


def too_late(lab: Lab, step: Step) -> Fault:
    """A step waits for a delivery after every horizon."""
    where, path = step.where, ""
    for thing in (lab.things.get(ThingId(name)) for name in step.things):
        if thing is not None and thing.raising is not None and thing.raising.comes_on == step.not_before:
            where, path = thing.raising.place("comes_on"), f"{thing.id}.raising.comes on"
            break
    return Fault(
        where,
        f"step {step.number} ({step.says}) waits for a delivery on {step.not_before}, "
        f"more than {MOST_YEARS} years after the begin",
        "Look at the year of the delivery, or at the day on which the work begins.",
        path,
    )


def refusal(
    plan: Plan,
    people: Sequence[Person | None],
    made: Jobs,
    error: Impossible,
    workers: Sequence[Worker],
) -> Exception:
    """What the owner is told where no calendar can be made."""
    step = plan.steps[made.steps[error.tasks[0]][0]]
    if error.why == "circle":
        steps = listed(str(plan.steps[index].number) for job in error.tasks for index in made.steps[job])
        return LabError(
            [Fault(step.where, f"steps {steps} wait for each other", "Take one of these waits away.")]
        )
    able = [seat for seat, person in enumerate(people) if not step.by or (person and person.id in step.by)]
    idle = [people[seat] for seat in able if not workers[seat].windows]
    if able and len(idle) == len(able):
        return LabError(
            Fault(
                person.place("works"),
                f"step {step.number} ({step.says}) needs {person.id}, "
                f"who never works in {MOST_YEARS} years from the begin",
                "Give hours under `works`, or take days out of `away`.",
                f"people.{person.id}.works",
            )
            for person in idle
            if person is not None
        )
    return LimitError(
        f"the work of step {step.number} ({step.says}) does not end within {MOST_YEARS} years of these hours",
        "Give more hours under `works`, or look at its `hands`.",
    )
