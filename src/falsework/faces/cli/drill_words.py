"""How is a drill said: what it proves, what is foretold, what can be hurt, what is to be done by hand?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.drilling.late import back_by_s, given_up_s, last_back
from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.verdicts import Verdict
from falsework.errors import few, sentence
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.drill_says import does
from falsework.support.probing import Question
from falsework.units import format_time

MOST_STANDING, MOST_EFFECTS = 6, 14
_WIDTH = 11


def plan_lines(plan: Plan, questions: Sequence[Question]) -> Iterator[Line]:
    """A drill before it is done: short first, then what to know."""
    lost = (
        f", which takes out {few(plan.lost)}" if plan.lost and plan.title != f"lose {few(plan.lost)}" else ""
    )
    yield Line(f"Drill {plan.name}: {plan.title}{lost}.", style="head")
    yield Line()
    yield from _listed("proves", plan.proves, most=4, style="quiet")
    for number, effect in enumerate(plan.effects[:MOST_EFFECTS]):
        seen = [each.name for each in questions if each.sees == effect.service]
        said = f"{effect.service} {does(plan, effect)}{'' if seen else '; no probe sees it'}"
        yield labelled("" if number else "foretold", said, style="quiet", indent=2, width=_WIDTH)
    if len(plan.effects) > MOST_EFFECTS:
        yield labelled(
            "", f"and {len(plan.effects) - MOST_EFFECTS} more are hurt", style="quiet", indent=2, width=_WIDTH
        )
    if plan.stands:
        label = "" if plan.effects else "foretold"
        said = f"{few(plan.stands, MOST_STANDING)} {'stands' if len(plan.stands) == 1 else 'stand'}"
        yield labelled(label, said, style="quiet", indent=2, width=_WIDTH)
    yield from _step("do", plan.do, plan.do_words)
    yield from _listed("watch", plan.watch, style="quiet")
    yield from _listed("stop", (*plan.stop_when, *by_itself(plan)), style="quiet")
    yield from _step("back", plan.put_back, plan.put_back_words)
    yield from _listed("mind", plan.cautions, style="thin")
    seen_by = {each.sees for each in questions}
    if not questions or (plan.effects and seen_by.isdisjoint(effect.service for effect in plan.effects)):
        what = "sees anything that this drill touches" if questions else "is asked from this machine"
        yield labelled(
            "mind",
            f"no probe of the lab file {what}: nothing of it will be measured.",
            style="thin",
            indent=2,
            width=_WIDTH,
        )


def foretold_beside(plan: Plan, questions: Sequence[Question]) -> Mapping[int, str]:
    """What stands beside each probe in the view, by its number."""
    effects = {each.service: each for each in plan.effects}
    standing = frozenset(plan.stands)
    said = {}
    for number, question in enumerate(questions):
        if question.sees in effects:
            said[number] = f"foretold: {does(plan, effects[question.sees])}"
        elif question.sees in standing:
            said[number] = "foretold: stands"
        elif question.sees in plan.lost:
            said[number] = "is taken out"
    return said


def by_itself(plan: Plan) -> Iterator[str]:
    """After how long this program gives it up although nobody says so, a clause; nothing where the plan says it, or there is no such time."""
    if plan.stop_after_s is not None or plan.tries in ("cold start", "restore"):
        return
    first, last = back_by_s(plan), last_back(plan.effects)
    latest = f"{format_time(given_up_s(plan))} after it is done, if not all is as foretold then"
    if last is None or first >= given_up_s(plan):
        yield f"by itself {latest}"
    else:
        yield f"by itself if {last.service} is not back {format_time(first)} after it is done, and {latest}"


def stays_down(plan: Plan, effect: Foretold | None) -> bool:
    """Whether a service is foretold to be down until somebody puts it back."""
    if effect is None or effect.verdict < Verdict.BLINKS or math.isinf(effect.falls_s):
        return False
    return math.isinf(effect.back_s) or plan.tries == "cold start"


def moment(plan: Plan) -> str:
    """At which moment Enter is pressed by who does it by hand, a clause."""
    return {
        "cold start": "when the power is off",
        "restore": "when it is restored",
    }.get(plan.tries, "when it is done")


def by_hand(words: Sequence[str]) -> Iterator[Line]:
    """What hands are to do, numbered where there is more than one."""
    for number, each in enumerate(words, 1):
        yield labelled(
            f"{number}." if len(words) > 1 else "", sentence(each), indent=4, width=3 if len(words) > 1 else 0
        )


def _step(label: str, command: str, words: Sequence[str]) -> Iterator[Line]:
    """A command as it stands, or what hands do."""
    if command:
        yield labelled(label, f"by your command: {command}", style="quiet", indent=2, width=_WIDTH)
    else:
        yield from _listed(label, words, style="quiet")


def _listed(label: str, said: Sequence[str], *, most: int = 6, style: str = "") -> Iterator[Line]:
    for number, each in enumerate(said[:most]):
        yield labelled("" if number else label, sentence(each), style=style, indent=2, width=_WIDTH)
    if len(said) > most:
        yield labelled("", f"and {len(said) - most} more", style=style, indent=2, width=_WIDTH)
