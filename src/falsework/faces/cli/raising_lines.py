"""How is an order of work told at the terminal: the short answer, then the steps, then what is fragile longest?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.raising.result import Fragile, Plan, Schedule, Single, Step
from falsework.analyses.raising.telling import hanging, headline, passing, told
from falsework.errors import counted, listed
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.table import table
from falsework.model.parts import ThingId
from falsework.support.standing import Standing
from falsework.units import format_time

MOST_PARTS = 6
"""Parts told of that something hangs on; the rest are counted."""
WIDEST = 18
"""Columns for a name in the list of steps."""


def lines(
    standing: Standing, plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None
) -> Iterator[Line]:
    """The answer for people."""
    yield Line(f"{standing.lab.name}: {headline(plan, schedule)}", style="broken" if plan.stuck else "head")
    sentences = told(plan, fragile, schedule)
    if plan.stuck:
        yield from _stuck(standing, plan, sentences)
        return
    for sentence in sentences:
        yield Line(f"{sentence[:1].upper()}{sentence[1:]}.")
    for each in fragile:
        if each.missing:
            yield labelled(
                "BROKEN",
                f"after step {each.step} {listed(each.missing, 6)} {'does' if len(each.missing) == 1 else 'do'} not stand",
                style="broken",
            )
    if not plan.steps:
        yield Line(
            "With --from-nothing it is planned from bare parts; `today` in the lab file says what is there."
        )
    else:
        yield Line()
        yield from _steps(plan, passing(fragile), schedule)
        yield from _fragile(plan, fragile, schedule)


def _stuck(standing: Standing, plan: Plan, sentences: Sequence[str]) -> Iterator[Line]:
    for sentence in sentences:
        yield Line(f"{sentence[:1].upper()}{sentence[1:]}.")
    about = dict.fromkeys((*plan.circle, *plan.stuck[:1]))
    for name in about:
        thing = standing.lab.things.get(ThingId(name))
        if thing is not None:
            yield labelled("at", f"{thing.where} ({name})", style="quiet", indent=2, width=4)
    if plan.would_do:
        first = plan.would_do[0]
        yield labelled(
            "mend",
            f"write under `stand-ins` what would serve for {first} meanwhile, as in `helper: {{for: [{first}], costs: 2 h}}`",
            style="quiet",
            indent=2,
            width=6,
        )


def _steps(plan: Plan, more: Mapping[int, tuple[Single, ...]], schedule: Schedule | None) -> Iterator[Line]:
    """A row a step; those of a cut-over stand together under its name."""
    when = {slot.step: slot.begins for slot in schedule.slots} if schedule is not None else {}
    head = ["step", *(["begins"] if when else []), "takes", "hands", "hangs on", "what"]
    rows = []
    for step in plan.steps:
        begins = when.get(step.number)
        rows.append(
            [
                str(step.number),
                *([f"{begins:%a} {begins.day:>2} {begins:%b %H:%M}" if begins else ""] if when else []),
                f"{format_time(step.takes.likely)}{'?' if step.assumed else ''}",
                format_time(step.hands_s) if step.hands_s else "-",
                _hangs(more.get(step.number, ())),
                _what(step),
            ]
        )
    right = {0, len(head) - 4, len(head) - 3}
    shown = list(table(head, rows, right=right))
    yield shown[0]
    group = ""
    for step, row in zip(plan.steps, shown[1:], strict=True):
        if step.of != group:
            group = step.of
            yield Line(f"  cut-over from {group}" if group else "  building on", style="quiet")
        yield row
    if any(step.assumed for step in plan.steps):
        yield Line(
            "? how long it takes is assumed; write `raising: {takes: ...}` to replace it.", style="quiet"
        )


def _what(step: Step) -> str:
    out = [name for name, seconds in (step.out_s or {}).items() if seconds > 0]
    more = [
        *([f"interrupts {listed(out, 3)}"] if out else []),
        *(["no way back"] if step.no_return else []),
        *([f"not before {step.not_before}"] if step.not_before else []),
    ]
    return f"{step.says}{f' ({chr(59).join(more)})'.replace(';', '; ') if more else ''}"


def _hangs(singles: Sequence[Single]) -> str:
    """The part that stops most, and how many more do."""
    if not singles:
        return ""
    more = f" +{len(singles) - 1}" if len(singles) > 1 else ""
    name = singles[0].part
    room = WIDEST - len(more)
    return f"{name if len(name) <= room else name[: room - 3] + '...'}{more}"


def _fragile(plan: Plan, fragile: Sequence[Fragile], schedule: Schedule | None) -> Iterator[Line]:
    parts = hanging(plan, fragile, schedule)
    if not parts:
        return
    yield Line()
    yield Line("What hangs on one part on the way and will not in the end, longest first:", style="head")
    rows = [
        [each.part, format_time(each.seconds), _span(each.steps), listed(each.services, 4)]
        for each in parts[:MOST_PARTS]
    ]
    yield from table(["part", "how long", "after step", "stops"], rows, right={1})
    if len(parts) > MOST_PARTS:
        yield Line(f"  and {counted(len(parts) - MOST_PARTS, 'part')} more; --json lists them")
    last = max(fragile, key=lambda each: each.step, default=None)
    if last is not None and last.singles:
        yield Line(
            f"The finished lab still has {counted(len(last.singles), 'single point')} of failure; `falsework check` tells of them."
        )


def _span(steps: Sequence[int]) -> str:
    whole = steps[-1] - steps[0] + 1 == len(steps)
    if len(steps) == 1:
        return str(steps[0])
    return f"{steps[0]} to {steps[-1]}" if whole else f"{steps[0]} to {steps[-1]}, not all"
