"""What broke: which part was it most likely, why, and what is to be looked at next?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from falsework.analyses.diagnosis import diagnose
from falsework.analyses.diagnosis.planning import plan_probes
from falsework.analyses.diagnosis.result import Cause, Diagnosis, Next
from falsework.errors import capital, few, listed, sentence
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.diagnosis_words import (
    FEW_NEXT,
    cause,
    chains,
    clauses,
    group,
    headline,
    itself_says,
    left,
    minutes,
    odds,
    offered,
    plan_headline,
    rest,
    share,
    which,
    worth,
)
from falsework.faces.diagnosis_words import shown as likely_enough
from falsework.faces.page.diagnosis_sheet import Said
from falsework.faces.page.difference import shown
from falsework.faces.page.fragments import BEFOREHAND, Tell, fragment, opened
from falsework.faces.page.made import Made
from falsework.faces.page.pulled import Pulled
from falsework.faces.plain_diagnosis import diagnosis_answer, plan_answer
from falsework.findings.edits.probing import probes_added

MOST, OPEN = 12, 3
"""Causes that are shown, and of these so many that are not folded."""
_SEEN = {
    "lamp": (("lit", "it is lit"), ("dark", "it is dark")),
    "program": (("good", "it runs"), ("bad", "it does not")),
    # Another in its place helps: then it was bad.
    "swap": (("bad", "then it works"), ("good", "that changes nothing")),
}
"""Of what is looked at: what is told of it, and what its links say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One cause, as the sheet sets it.

    Attributes:
        says: what it is.
        which: which of parts that nothing tells apart it rather is.
        chance: in words.
        wide: of the bar, 0 to 100.
        against: odds against the next, in words; empty where it is no likelier.
        why: chains, in words.
        but: what speaks against it.
        also: what it brings down besides.
        seen: the address of the elevation with it out; empty where nothing is out.
    """

    says: str
    which: str
    chance: str
    wide: float
    against: str
    why: tuple[str, ...]
    but: str
    also: str
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One question to put next, with where either answer leads."""

    says: str
    same: str
    takes: str
    worth: str
    yes: tuple[str, str]
    no: tuple[str, str]
    hands: bool


def work(
    path: str,
    digest: str,
    out: tuple[str, ...],
    tell: Tell,
    *,
    failing: tuple[str, ...],
    answered: tuple[str, ...],
    looked: tuple[str, ...],
    since_s: float | None,
    since: str,
) -> Made:
    """Weigh what may have failed, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another; or a name is not known.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    tell("weighing what may have failed", 0, 1)
    found = diagnose(standing, failing, answered, looked=looked, since_s=since_s, most=MOST)
    pulled = tuple(each for each in out if each not in BEFOREHAND.get())
    said = Said(fails=failing, answers=answered, looked=looked, since=since)
    rows = tuple(_row(each, pulled) for each in likely_enough(found))
    html = fragment(
        "diagnosis_made.html.j2",
        standing,
        out,
        lead=headline(found),
        rows=rows,
        open_=OPEN,
        steps=tuple(_step(found, each, others, said, pulled) for each, others in offered(found, FEW_NEXT)),
        rest=rest(found),
        notes=(
            *([sentence(left(found))] if left(found) else []),
            *(sentence(each) for each in found.assumed),
        ),
    )
    status = MET if found.stands_out else BROKEN
    return Made(html=html, answers={"diagnose": diagnosis_answer(standing, found, None, status)})


def work_plan(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Which probes to add before anything fails, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    tell("losing every part", 0, 1)
    found = plan_probes(standing)
    changes = probes_added(standing.lab, found.add)
    html = fragment(
        "diagnosis_plan.html.j2",
        standing,
        out,
        lead=plan_headline(standing, found),
        plan=found,
        difference=shown(changes.difference) if changes.difference else "",
        left=changes.left,
        few=few,
        group=group,
        most=MOST,
    )
    status = BROKEN if found.add else MET
    return Made(html=html, answers={"diagnose plan": plan_answer(standing, found, changes, status)})


def _row(each: Cause, pulled: Sequence[str]) -> Row:
    return Row(
        says=cause(each),
        which=which(each),
        chance=share(each.posterior),
        wide=round(each.posterior * 100.0, 1),
        against=odds(each.against) if each.against >= 1.05 else "",
        why=(*chains(each)[:2], *([capital(itself_says(each))] if itself_says(each) else [])),
        but="" if each.nothing else clauses(each.speaks_against),
        also=listed(each.brings_down, 8),
        seen=Pulled(out=tuple(dict.fromkeys((*pulled, *each.out)))).address("/") if each.out else "",
    )


def _step(found: Diagnosis, each: Next, others: Sequence[str], said: Said, pulled: Sequence[str]) -> Step:
    if seen := _SEEN.get(each.how):
        ways = [(label, replace(said, looked=(*said.looked, f"{each.name}: {word}"))) for word, label in seen]
    else:
        ways = [
            ("it answers", replace(said, answers=(*said.answers, each.name))),
            ("it does not", replace(said, fails=(*said.fails, each.name))),
        ]
    yes, no = ((label, way.address(pulled)) for label, way in ways)
    return Step(
        says=each.says,
        same=few(others, 4),
        takes=minutes(each.minutes),
        worth=worth(found, each),
        yes=yes,
        no=no,
        hands=each.hands,
    )
