"""Which edits of the lab file would mend a finding, worked out beside the page?"""

from __future__ import annotations

import json

from falsework.errors import QuestionError
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.errors import error_answer
from falsework.faces.page.difference import shown
from falsework.faces.page.fragments import Tell, fragment, opened
from falsework.faces.page.made import Made
from falsework.faces.page.saving import Put
from falsework.faces.page.saving import digest as digest_of_text
from falsework.faces.plain_mends import mend_answer
from falsework.findings.edits.offer import Offer, offered, why_none
from falsework.findings.keyed import key
from falsework.model.lab import Lab
from falsework.study import study_lab


def change_name(number: int) -> str:
    """The file of a result that holds what an offer would write; offers count from 1."""
    return f"change-{number}.json"


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell, *, finding: str = "") -> Made:
    """Find the finding again, and try edits until some mend it, in a process of its own.

    Args:
        path: of the lab.
        digest: of its files.
        out: parts that are out beforehand.
        tell: is told how far it is.
        finding: the key of the finding.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("checking the lab", 0, 1)
    lab = opened(path, digest, ()).lab
    study = study_lab(lab, out=out, progress=tell)
    found = next((each for each in study.findings if key(each) == finding), None)
    offers: tuple[Offer, ...] = ()
    if found is not None:
        offers = offered(found, study.standing, study.aims, progress=tell)
    html = fragment(
        "mend_made.html.j2",
        study.standing,
        out,
        finding=found,
        key=finding,
        offers=[(number, each, shown(each.changes.difference)) for number, each in enumerate(offers, 1)],
        why_none=why_none(found) if found is not None and not offers else "",
    )
    files = {change_name(number): _written(lab, each) for number, each in enumerate(offers, 1)}
    if found is None:
        gone = QuestionError(f"no finding has the key {finding!r}", "Look at the list of findings again.")
        return Made(html=html, answers={"mend": error_answer(gone, command="mend")})
    status = MET if offers else BROKEN
    return Made(
        html=html,
        answers={"mend": mend_answer(study.standing, ((found, offers),), None, status)},
        files=files,
    )


def _written(lab: Lab, offer: Offer) -> bytes:
    """What an offer would write: by file, the new text and the digest of the one it was made from."""
    change: dict[str, Put] = {
        name: Put(digest=digest_of_text(lab.files[name]), text=text)
        for name, text in offer.changes.files.items()
    }
    return json.dumps(change).encode()
