"""By what name is a finding found again?"""

from __future__ import annotations

import hashlib
import re
from pathlib import PurePath

from falsework.findings.finding import Finding

SIGNS = 6
"""Of the digest: enough to tell the findings of one lab apart."""
LONGEST = 40


def key(finding: Finding) -> str:
    """A name that is the same as long as its kind, what it is about and its place in the lab file are.

    Words first, for people, then a few signs that tell apart what the words do not.
    """
    where = finding.where
    # The file by its name alone: the same lab read from another folder has the same findings.
    at = f"{PurePath(where.file).name}:{where.line}:{where.column}" if where else ""
    # An order of work can have two slips of the same things in one step: how they are mended tells them apart.
    more = finding.mend if finding.code == "order" else ""
    about = "\0".join((finding.code, *finding.things, at, more))
    digest = hashlib.sha256(about.encode()).hexdigest()[:SIGNS]
    words = re.sub(r"[^a-z0-9]+", "-", f"{finding.code} {' '.join(finding.things[:1])}".lower())
    return f"{words[:LONGEST].strip('-')}-{digest}"
