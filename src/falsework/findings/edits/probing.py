"""How are new probes written into the owner's own files?"""

from __future__ import annotations

from collections.abc import Iterable

from falsework.analyses.diagnosis.proposals import Proposal
from falsework.errors import QuestionError
from falsework.lab.bulk import add_entries, add_section
from falsework.lab.read import read_text
from falsework.lab.save import Changes, changes_of
from falsework.model.lab import Lab

SECTION = "probes"


def probes_added(lab: Lab, probes: Iterable[Proposal]) -> Changes:
    """The lab's files with more probes; what stands there stays, comments and order too.

    They join the section where it is, or make one at the end of the last file: all in one step, since each step reads
    the whole file again.
    """
    some = list(probes)
    if not some:
        return changes_of(lab.files, lab.files, [])
    entries = {probe.name: probe.written for probe in some}
    having = [file for file, text in lab.files.items() if read_text(text, file).root.entry(SECTION)]
    file = having[0] if having else list(lab.files)[-1]
    text = lab.files[file]
    try:
        if having:
            text = add_entries(text, (SECTION,), entries, {}, name=file)
        else:
            text = add_section(text, SECTION, entries, name=file)
    except QuestionError as error:
        return changes_of(lab.files, lab.files, [(probe.name, _by_hand(error, probe)) for probe in some])
    return changes_of(lab.files, {**lab.files, file: text}, [])


def _by_hand(error: QuestionError, probe: Proposal) -> str:
    return f"{error.what}; say it under `{SECTION}`: {_shown(probe)}"


def _shown(probe: Proposal) -> str:
    from_ = f", from: {probe.from_}" if probe.from_ else ""
    return f"{{asks: {probe.asks}, sees: {probe.sees}{from_}}}"
