"""What do you want to be true, what breaks it, and what else is worth telling: set for the page?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.aims import AimResult
from falsework.errors import QuestionError
from falsework.faces.page.fragments import fragment
from falsework.faces.page.pulled import Pulled
from falsework.faces.report.html import grouped, mends_of, verdict, worst_first
from falsework.findings.edits.cases import case_of
from falsework.findings.edits.offer import why_none
from falsework.findings.finding import Finding
from falsework.findings.keyed import key
from falsework.study import Study

MOST_BREAKERS = 24
"""Parts that are named of those which break an aim; the rest is counted."""

Link = tuple[str, str]
"""A name, and where it leads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """What can be done about an aim or a finding.

    Attributes:
        key: of the finding, by which a mend is asked for; empty where there is none.
        none: why no edit of the file would mend it; empty where one is worth a try.
        seen: the loss that shows it, and its address on the elevation; None where no loss does.
        others: further parts whose loss breaks the aim too, each with its address.
        more: how many of these are not named.
        about: what it is about, each with its place on the elevation.
    """

    key: str = ""
    none: str = ""
    seen: Link | None = None
    others: tuple[Link, ...] = ()
    more: int = 0
    about: tuple[Link, ...] = ()


def aims_told(study: Study, breaks: Mapping[str, Sequence[str]], out: Sequence[str]) -> str:
    """The sheet's inside.

    Args:
        study: a whole check.
        breaks: by part, the aims that losing it alone breaks.
        out: parts that are out, which addresses on the elevation keep.
    """
    told = _Told(study, tuple(out))
    mends = mends_of(study)
    groups = grouped(tuple(each for each in study.findings if each not in mends.values()))
    return fragment(
        "aims_made.html.j2",
        study.standing,
        out,
        verdict=verdict(study),
        broken=bool(study.broken),
        aims=[
            (aim, mends.get(aim.name), told.aim(aim, mends.get(aim.name), breaks))
            for aim in worst_first(study.aims)
        ],
        groups=[(group, [(each, told.finding(each)) for each in group.findings]) for group in groups],
        count=len(study.findings),
        mends=bool(mends),
    )


@dataclass(frozen=True, slots=True)
class _Told:
    study: Study
    out: tuple[str, ...]

    def aim(self, aim: AimResult, found: Finding | None, breaks: Mapping[str, Sequence[str]]) -> Ways:
        seen: Link | None = None
        lost: tuple[str, ...] = ()
        if aim.met is False and aim.witness is not None:
            lost = aim.witness.lost
            why = aim.effect.service if aim.effect is not None else ""
            seen = (", ".join(lost), self._lost(lost, why))
        others = [part for part, names in breaks.items() if aim.name in names and (part,) != lost]
        return Ways(
            key=key(found) if found is not None else "",
            none=self._none(found),
            seen=seen,
            others=tuple((part, self._lost((part,), "")) for part in others[:MOST_BREAKERS]),
            more=max(len(others) - MOST_BREAKERS, 0),
        )

    def finding(self, finding: Finding) -> Ways:
        lost = finding.things if finding.services and self._are_parts(finding.things) else ()
        return Ways(
            key=key(finding),
            none=self._none(finding),
            seen=(", ".join(lost), self._lost(lost, finding.services[0])) if lost else None,
            about=() if lost else tuple((each, self._at(each)) for each in self._drawn(finding.things)),
        )

    def _none(self, finding: Finding | None) -> str:
        if finding is None or case_of(finding, self.study.standing) is not None:
            return ""
        if (
            finding.code == "aim broken"
        ):  # for some kinds of aims there are edits to try, and for this there is none
            return "none is known for aims of this kind"
        return why_none(finding)

    def _are_parts(self, names: Sequence[str]) -> bool:
        try:
            return bool(self.study.standing.known(names))
        except QuestionError:
            return False

    def _drawn(self, names: Iterable[str]) -> Iterable[str]:
        return (each for each in names if each in self.study.standing.support.things)

    def _lost(self, parts: Sequence[str], why: str) -> str:
        out = tuple(dict.fromkeys((*self.out, *parts)))
        return Pulled(out=out, why=why, look=why or parts[0]).address("/")

    def _at(self, thing: str) -> str:
        return Pulled(out=self.out, look=thing).address("/")
