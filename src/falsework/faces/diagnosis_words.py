"""How are chances, odds and causes said to people?"""

from __future__ import annotations

import math
from collections.abc import Sequence

from falsework import units
from falsework.analyses.diagnosis.planning import ProbePlan
from falsework.analyses.diagnosis.result import Cause, Diagnosis, Next
from falsework.analyses.explain import told
from falsework.errors import counted, few, listed
from falsework.support.standing import Standing
from falsework.units import Dimension

NOTHING, NO_MORE = "nothing is out, and the answers err", "nothing more is out than is known"
FEW_NEXT = 3
"""So many next questions are told at first."""
WORTH_A_WALK = 0.05
"""Of what is not known, told by a look that is worth a walk."""
LEAST = 1e-3
"""Causes less likely than this are not shown."""


def shown(diagnosis: Diagnosis) -> tuple[Cause, ...]:
    """The causes that are likely enough to be shown; the first one always is."""
    first, *others = diagnosis.causes
    return (first, *(each for each in others if each.posterior >= LEAST))


def rest(diagnosis: Diagnosis) -> str:
    """What is left for causes that are not shown; empty where that is next to nothing."""
    left_ = 1.0 - sum(each.posterior for each in shown(diagnosis))
    return (
        f"{share(left_)} for all else, most of it one of these and something besides"
        if left_ >= LEAST
        else ""
    )


def share(chance: float) -> str:
    """A chance as people read it."""
    if chance >= 0.9995:
        return "over 99.9 %"
    if chance < LEAST:
        return "under 0.1 %"
    return f"{chance * 100:.3g} %" if chance < 0.995 else f"{chance * 100:.1f} %"


def odds(against: float) -> str:
    """Odds against the next cause, in words and figures: "4 to 1 against it" reads as its contrary."""
    if math.isinf(against):
        return "nothing else would explain it"
    if against < 1.05:
        return "no likelier than the next"
    if against > 1e6:
        return "more than a million times as likely as the next"
    shown = f"{against:,.0f}" if against >= 10 else f"{against:.2g}"
    return f"{shown} times as likely as the next"


def sure(diagnosis: Diagnosis) -> str:
    """How sure the first cause is, in words."""
    chance = diagnosis.causes[0].posterior
    for least, words in ((0.99, "almost surely"), (0.9, "very likely"), (0.5, "likely")):
        if chance >= least:
            return words
    return "perhaps"


def group(parts: Sequence[str], most: int = 5) -> str:
    """Parts of which any one will do."""
    if len(parts) == 1:
        return parts[0]
    if len(parts) > most:
        return f"any of {listed(parts, most)}"
    return f"{', '.join(parts[:-1])} or {parts[-1]}"


def cause(what: Cause) -> str:
    """What may have happened."""
    if what.nothing:
        return NOTHING if what.speaks_against else NO_MORE
    named = [f"all of {name}" for name in what.shared]
    for parts in what.parts:
        if what.programs.issuperset(parts):
            named.append(f"{group(parts)} by itself")
        else:
            named.append(group([called(part, what) for part in parts]))
    return ", and besides ".join(named)


def called(part: str, what: Cause) -> str:
    """A part by its name; a service or copy that fails by itself is said to."""
    return f"{part} by itself" if part in what.programs else part


def which(what: Cause, most: int = 4) -> str:
    """Which of parts that nothing tells apart it rather is; empty where all are as likely."""
    said = []
    for parts, shares in zip(what.parts, what.shares, strict=True):
        if len(parts) > 1 and shares[0] > 1.2 * shares[-1]:
            listed_ = ", ".join(
                f"{called(part, what)} {share(chance)}"
                for part, chance in zip(parts[:most], shares, strict=False)
            )
            said.append(listed_ + (" and so on" if len(parts) > most else ""))
    return "; ".join(said)


def chains(what: Cause) -> list[str]:
    """Why each report fails, in words; chains that go the same way to their end are told once."""
    said: dict[tuple[str, ...], str] = {}
    for reasons in what.chains.values():
        said.setdefault(tuple(each.says for each in reasons[-3:]), told(reasons))
    return list(said.values())


def clauses(said: Sequence[str], most: int = 3) -> str:
    """A few clauses in a row."""
    more = len(said) - most
    return "; ".join([*said[:most], *([f"and {more} more"] if more > 0 else [])])


def headline(diagnosis: Diagnosis) -> str:
    """The answer in one clause."""
    fails = [report.says for report in diagnosis.failing if report.looked]
    names = [report.name for report in diagnosis.failing if not report.looked]
    said = [f"{few(names)} {'fails' if len(names) == 1 else 'fail'}"] if names else []
    what = " and ".join([*said, *fails]) or "nothing fails"
    first = diagnosis.causes[0]
    although = f", although {clauses(first.contradicts, 2)}" if first.contradicts else ""
    return f"{what}: {sure(diagnosis)} {cause(first)} ({share(first.posterior)}){although}"


def itself_says(what: Cause) -> str:
    """Where to look at what fails by itself; empty where nothing does."""
    if what.nothing:
        return "ask again: perhaps it was for a moment" if what.speaks_against else ""
    return "look at its program, its settings and its disk" if what.programs else ""


def worth(diagnosis: Diagnosis, what: Next) -> str:
    """How much of what is not known a question tells."""
    return f"tells {share(min(what.gain_bits / diagnosis.unknown_bits, 1.0))} of what is not known"


def offered(diagnosis: Diagnosis, most: int) -> tuple[tuple[Next, tuple[str, ...]], ...]:
    """The best questions, with the names of those that tell as much; one that takes a hand among them if it tells much."""
    alike: dict[tuple[str, float], list[Next]] = {}
    for each in diagnosis.next:
        alike.setdefault((each.how, round(each.gain_bits, 6)), []).append(each)
    rows = list(alike.values())
    first = rows[:most]
    if not any(row[0].hands for row in first):
        worth_it = WORTH_A_WALK * diagnosis.unknown_bits
        walks = [row for row in rows[most:] if row[0].hands and row[0].gain_bits >= worth_it]
        first = [*first[: most - 1], walks[0]] if walks else first
    return tuple((row[0], tuple(each.name for each in row[1:])) for row in first)


def minutes(value: float) -> str:
    """How long a question takes."""
    return units.format(round(value * 60.0), Dimension.TIME)


def left(diagnosis: Diagnosis) -> str:
    """What was not worked out, as a sentence without its full stop; empty where all was."""
    if diagnosis.left_out < 1e-6:
        return ""
    if diagnosis.left_out > 1.0:
        return (
            f"so much can be out at once here that {diagnosis.tried:,} sets of parts do not cover it: the chances are "
            "those among these sets; say what else is answered, and what is known to be out"
        )
    by = "less than 0.1 %" if diagnosis.left_out < LEAST else f"at most {share(diagnosis.left_out)}"
    return (
        f"{diagnosis.tried:,} sets of parts were looked at; all others together would lower these chances by {by} of "
        "themselves"
    )


def plan_headline(standing: Standing, found: ProbePlan) -> str:
    """The answer in one clause."""
    n = len(found.probes)
    now = (
        f"{standing.lab.name}: {counted(n, 'probe')} {'tells' if n == 1 else 'tell'} {found.faults} parts whose loss "
        f"hurts apart into {counted(found.told_now, 'group')}"
    )
    if not found.add:
        return f"{now}, and no probe more would tell more"
    fewest = "and fewer will not do" if found.fewest else f"and at least {found.least} are needed"
    more = len(found.add)
    if found.told_then == found.told_now:
        return f"{now}; {more} more would show what none shows today, {fewest}"
    return f"{now}; {more} more would make it {found.told_then}, {fewest}"
