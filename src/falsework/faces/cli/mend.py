"""Which edits of the lab file make a finding go away, what do they do besides, and shall one be written?"""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.errors import QuestionError, counted, few, nearest
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.plain_mends import mend_answer
from falsework.findings.edits.cases import thought_of
from falsework.findings.edits.offer import Offer, offered, why_none
from falsework.findings.finding import Finding
from falsework.findings.keyed import key
from falsework.study import Study, study

Offers = tuple[tuple[Finding, tuple[Offer, ...] | None], ...]
"""Each finding with what is offered for it; None where nothing was tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    findings: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    offer: int = 1
    diff: bool = False
    write: bool = False
    all: bool = False
    json: bool = False


def mend(asked: Asked) -> int:
    """Offer edits, print them, write one if that was asked, return the exit status.

    Raises:
        FalseworkError: the file, or the question.
    """
    if asked.offer < 1:
        raise QuestionError(f"there is no offer {asked.offer}", "Count from 1.")
    if asked.write and len(asked.findings) != 1:
        raise QuestionError("--write wants one finding", "Name its key: `falsework mend LAB` lists them.")
    with Told() as tell:
        found = study(asked.lab, out=asked.out, progress=tell)
        chosen = _chosen(found, asked.findings)
        tries = bool(asked.findings) or asked.all
        offers: Offers = tuple(
            (finding, offered(finding, found.standing, found.aims, progress=tell) if tries else None)
            for finding in chosen
        )
    status = BROKEN if asked.findings and any(not mine for _, mine in offers) else MET
    written = {}
    if asked.write:
        finding, mine = offers[0]
        if mine:
            write_changes(found.lab, _numbered(mine, asked.offer).changes)
            written = {key(finding): asked.offer}
    if asked.json:
        answer = mend_answer(found.standing, offers, written, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    put(_lines(found, offers, asked))
    if written:
        changes = _numbered(offers[0][1] or (), asked.offer).changes
        put(change_lines(changes, nothing="There is nothing to change in the lab file."))
        put(written_lines(changes))
    return status


def _chosen(found: Study, named: Sequence[str]) -> tuple[Finding, ...]:
    """The findings by the keys that were named, or by what these begin with; all if none were.

    Raises:
        QuestionError: nothing has such a key, or several have.
    """
    known = {key(finding): finding for finding in found.findings}
    chosen = []
    for name in named:
        fits = [each for each in known if each.startswith(name)]
        if len(fits) > 1 and name not in known:
            raise QuestionError(f"several findings begin with {name!r}", f"Choose one: {few(fits, 6)}.")
        if not fits:
            near = nearest(name, known)
            raise QuestionError(
                f"no finding has the key {name!r}",
                f"Did you mean {near!r}?" if near else "`falsework mend LAB` lists them.",
            )
        chosen.append(known[name] if name in known else known[fits[0]])
    return tuple(chosen) if named else found.findings


def _numbered(offers: Sequence[Offer], number: int) -> Offer:
    if number > len(offers):
        raise QuestionError(f"there is no offer {number}", f"There are {len(offers)}.")
    return offers[number - 1]


def _lines(found: Study, offers: Offers, asked: Asked) -> Iterator[Line]:
    if not offers:
        yield Line(f"{found.lab.name}: nothing to mend", style="head")
        return
    tried = offers[0][1] is not None
    some = sum(1 for of, mine in offers if mine or (not tried and thought_of(of, found.standing)))
    told = "edits are offered for" if tried else "there are edits to try for"
    yield Line(f"{found.lab.name}: {told} {some} of {counted(len(offers), 'finding')}", style="head")
    for finding, mine in offers:
        yield Line()
        yield labelled(finding.level.word, finding.says, style=finding.level.word)
        yield labelled("key", key(finding), style="quiet", indent=8, width=6)
        if finding.where is not None:
            yield labelled("at", str(finding.where), style="quiet", indent=8, width=6)
        for number, offer in enumerate(mine or (), 1):
            yield from _offer(number, offer, asked, several=len(mine or ()) > 1)
        if mine is None and thought_of(finding, found.standing):
            yield labelled(
                "try", f"falsework mend {shlex.quote(str(asked.lab))} {key(finding)}", indent=8, width=6
            )
        elif not mine:
            yield labelled("none", why_none(finding), indent=8, width=6)


def _offer(number: int, offer: Offer, asked: Asked, *, several: bool) -> Iterator[Line]:
    yield labelled(f"edit {number}" if several else "edit", offer.says, style="remark", indent=8, width=8)
    for label, texts in (
        ("takes", offer.assumes),
        ("met", tuple(f"{name} is met then" for name in offer.met)),
        ("does", (_does(offer),)),
        ("left", (offer.left,)),
        ("brings", offer.harms[:3]),
        ("open", (_open(offer) if asked.findings else "",)),
        ("mind", (offer.caution,)),
    ):
        for text in texts:
            if text:
                yield labelled(label, text, style="quiet", indent=10, width=8)
    if asked.diff and not asked.write:
        yield from change_lines(offer.changes, nothing="There is nothing to change in the lab file.")


def _does(offer: Offer) -> str:
    return (
        f"{counted(offer.helps, 'fall')} of a service with a part {'is' if offer.helps == 1 else 'are'} gone"
        if offer.helps
        else ""
    )


def _open(offer: Offer) -> str:
    return f"whether {few(offer.unjudged)} would be met was not worked out" if offer.unjudged else ""
