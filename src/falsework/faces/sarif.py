"""What do code review tools read: the findings as SARIF 2.1.0?

Source:
    OASIS Standard "Static Analysis Results Interchange Format (SARIF) Version 2.1.0", 27 March 2020.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from falsework import __version__
from falsework.findings.finding import CODES, Finding, Level
from falsework.study import Study
from falsework.where import Where

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_ERRORS = ("aim broken", "down already")


def sarif(study: Study) -> dict[str, Any]:
    """The findings of a check as one SARIF log with one run."""
    ids = list(CODES)
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "falsework",
                        "version": __version__,
                        "semanticVersion": __version__,
                        "rules": [_rule(code) for code in ids],
                    }
                },
                "columnKind": "unicodeCodePoints",
                "results": [
                    _result(finding, ids.index(finding.code), print_, study.lab.where)
                    for finding, print_ in zip(study.findings, _prints(study, study.findings), strict=True)
                ],
            }
        ],
    }


def rule_id(code: str) -> str:
    """The id of the rule for a code: its words with hyphens."""
    return code.replace(" ", "-").replace("'", "")


def _rule(code: str) -> dict[str, Any]:
    words = code.replace("'", "").replace("-", " ").split()
    return {
        "id": rule_id(code),
        "name": "".join(word.capitalize() for word in words),
        "shortDescription": {"text": f"{CODES[code][:1].upper()}{CODES[code][1:]}."},
        "defaultConfiguration": {"level": "error" if code in _ERRORS else "note"},
    }


def _result(finding: Finding, rule: int, print_: str, otherwise: Where) -> dict[str, Any]:
    where = finding.where or otherwise
    return {
        "ruleId": rule_id(finding.code),
        "ruleIndex": rule,
        "level": "error" if finding.level is Level.BROKEN else "note",
        "message": {"text": _message(finding)},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": uri(where.file)},
                    "region": {"startLine": max(where.line, 1), "startColumn": max(where.column, 1)},
                }
            }
        ],
        "partialFingerprints": {"falsework/v1": print_},
    }


def uri(file: str) -> str:
    """A file's name as a URI: relative to the folder of work where it lies below it."""
    path = Path(file)
    if path.is_absolute():
        try:
            path = path.relative_to(Path.cwd())
        except ValueError:
            return path.as_uri()
    return quote(path.as_posix())


def _message(finding: Finding) -> str:
    says = [finding.says, *finding.why]
    if finding.mend:
        says.append(f"To mend it, {finding.mend}")
    if finding.caution:
        says.append(finding.caution.rstrip("."))
    return " ".join(f"{each[:1].upper()}{each[1:]}." for each in says)


def _prints(study: Study, findings: Sequence[Finding]) -> Iterator[str]:
    """A fingerprint for each finding that stays when lines move and figures change: its sort and whom it is about."""
    aims = {aim.where: aim.name for aim in study.aims}
    seen: dict[tuple[str, ...], int] = {}
    for finding in findings:
        is_aim = finding.code == "aim broken" and finding.where in aims
        about = (aims[finding.where],) if is_aim and finding.where else finding.things or (finding.says,)
        key = (finding.code, *about)
        seen[key] = seen.get(key, 0) + 1
        whole = "\n".join((*key, str(seen[key])))
        yield hashlib.sha256(whole.encode("utf-8", "surrogatepass")).hexdigest()[:32]
