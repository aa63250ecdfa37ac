"""How are new probes written into the owner's own files?"""

from __future__ import annotations

from collections.abc import Iterable

from falsework.analyses.diagnosis.proposals import Proposal
from falsework.errors import QuestionError
from falsework.findings.edits.writing import Texts, put_in_section
from falsework.lab.bulk import add_section
from falsework.lab.quote import Value
from falsework.lab.read import read_text
from falsework.lab.save import Changes, changes_of
from falsework.model.lab import Lab

SECTION = "probes"


def probes_added(lab: Lab, probes: Iterable[Proposal]) -> Changes:
    """The lab's files with more probes; what stands there stays, comments and order too."""
    some = list(probes)
    texts: Texts = lab.files
    left: list[tuple[str, str]] = []
    if some and not any(read_text(text, file).root.entry(SECTION) for file, text in texts.items()):
        file = list(texts)[-1]
        entries: dict[str, dict[str, Value]] = {probe.name: probe.written for probe in some}
        try:
            return changes_of(
                lab.files, {**texts, file: add_section(texts[file], SECTION, entries, name=file)}, left
            )
        except QuestionError as error:
            return changes_of(lab.files, texts, [(probe.name, _by_hand(error, probe)) for probe in some])
    for probe in some:
        try:
            texts = put_in_section(texts, SECTION, probe.name, probe.written)
        except QuestionError as error:
            left.append((probe.name, _by_hand(error, probe)))
    return changes_of(lab.files, texts, left)


def _by_hand(error: QuestionError, probe: Proposal) -> str:
    return f"{error.what}; say it under `{SECTION}`: {_shown(probe)}"


def _shown(probe: Proposal) -> str:
    from_ = f", from: {probe.from_}" if probe.from_ else ""
    return f"{{asks: {probe.asks}, sees: {probe.sees}{from_}}}"
