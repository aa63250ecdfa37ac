"""How are new probes written into the owner's own files?"""

from __future__ import annotations

from collections.abc import Iterable

from falsework.analyses.diagnosis.proposals import Proposal
from falsework.errors import QuestionError
from falsework.findings.edits.writing import Texts, put_in_section
from falsework.lab.save import Changes, changes_of
from falsework.model.lab import Lab

SECTION = "probes"


def probes_added(lab: Lab, probes: Iterable[Proposal]) -> Changes:
    """The lab's files with more probes; what stands there stays, comments and order too."""
    texts: Texts = lab.files
    left: list[tuple[str, str]] = []
    for probe in probes:
        try:
            texts = put_in_section(texts, SECTION, probe.name, probe.written)
        except QuestionError as error:
            left.append((probe.name, f"{error.what}; say it under `{SECTION}`: {_shown(probe)}"))
    return changes_of(lab.files, texts, left)


def _shown(probe: Proposal) -> str:
    from_ = f", from: {probe.from_}" if probe.from_ else ""
    return f"{{asks: {probe.asks}, sees: {probe.sees}{from_}}}"
