"""In which order are findings told?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.findings.finding import Finding


def rank(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Broken before remarks, then what hurts most services, then in the order of the file; each once."""
    unique = list(dict.fromkeys(found))
    order_of = {code: number for number, code in enumerate(dict.fromkeys(finding.code for finding in unique))}
    return tuple(
        sorted(
            unique,
            key=lambda finding: (
                finding.level,
                order_of[finding.code],
                -len(finding.services),
                finding.where or ("", 0, 0),
                finding.says,
            ),
        )
    )
