"""By what name is a finding found again?"""

from __future__ import annotations

import hashlib
import re

from falsework.findings.finding import Finding

SIGNS = 6
"""Of the digest: enough to tell the findings of one lab apart."""
LONGEST = 40


def key(finding: Finding) -> str:
    """A name that is the same as long as its kind, what it is about and its place in the lab file are.

    Words first, for people, then a few signs that tell apart what the words do not.
    """
    about = "\0".join((finding.code, *finding.things, str(finding.where or "")))
    digest = hashlib.sha256(about.encode()).hexdigest()[:SIGNS]
    words = re.sub(r"[^a-z0-9]+", "-", f"{finding.code} {' '.join(finding.things[:1])}".lower())
    return f"{words[:LONGEST].strip('-')}-{digest}"
