"""What does an answer on offered edits look like to a program?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from falsework.faces.head import head
from falsework.faces.plain import finding_plain
from falsework.findings.edits.cases import thought_of
from falsework.findings.edits.offer import Offer, why_none
from falsework.findings.finding import Finding
from falsework.support.standing import Standing

Plain = dict[str, Any]


def mend_answer(
    standing: Standing,
    offers: Sequence[tuple[Finding, Sequence[Offer] | None]],
    written: Mapping[str, int] | None,
    status: int,
) -> Plain:
    """Findings with the edits that are offered for each.

    Args:
        standing: the lab.
        offers: each finding that was asked about, with its offers, best first; None where none was tried.
        written: which offer of which finding was written into the lab file; None where nothing was.
        status: the exit status.
    """
    return {
        **head("mend", standing, status),
        "findings": [
            {
                "finding": finding_plain(finding),
                "tried": mine is not None,
                "offers": [offer_plain(each) for each in mine or ()],
                "none": "" if mine or (mine is None and thought_of(finding, standing)) else why_none(finding),
            }
            for finding, mine in offers
        ],
        "written": [{"finding": name, "offer": number} for name, number in (written or {}).items()],
    }


def offer_plain(offer: Offer) -> Plain:
    """One edit with what it does."""
    return {
        "says": offer.says,
        "edits": list(offer.edits),
        "assumes": list(offer.assumes),
        "met": list(offer.met),
        "left": offer.left,
        "helps": offer.helps,
        "harms": list(offer.harms),
        "unjudged": list(offer.unjudged),
        "caution": offer.caution,
        "files": list(offer.changes.files),
        "difference": offer.changes.difference,
    }
