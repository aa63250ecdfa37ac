"""What does a run beside what was foretold look like to a program?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from falsework.analyses.comparing import Comparison, Foretold, Line
from falsework.faces.head import head
from falsework.faces.values import finite
from falsework.findings.explaining.explain import Explained, Explanation
from falsework.support.standing import Standing

Plain = dict[str, Any]


def compare_answer(
    standing: Standing,
    comparisons: Sequence[tuple[Comparison, Explained | None]],
    written: int | None,
    status: int,
) -> Plain:
    """Runs beside what was foretold, with what would explain them.

    Args:
        standing: the lab.
        comparisons: the runs, with what was offered for each; None where nothing was tried.
        written: which offer was written into the lab file; None for none.
        status: the exit status.
    """
    return {
        **head("compare", standing, status),
        "runs": [
            {
                "compared": comparison_values(found),
                "tried": None if told is None else told.tried,
                "complete": told is None or told.complete,
                "offers": [explanation_plain(each) for each in (told.offers if told is not None else ())],
                "unexplained": list(told.unexplained) if told is not None else [],
            }
            for found, told in comparisons
        ],
        "written": written,
    }


def comparison_values(found: Comparison) -> Plain:
    """One run beside what was foretold."""
    return {
        "run": found.run,
        "drill": found.drill,
        "lost": list(found.lost),
        "out_then": list(found.out),
        "from_s": finite(found.from_s),
        "until_s": finite(found.until_s),
        "as_foretold": found.as_foretold,
        "why_not": found.why_not,
        "lines": [line_values(each) for each in found.lines],
        "unknown": list(found.unknown),
    }


def line_values(line: Line) -> Plain:
    """One thing, foretold and observed."""
    foretold = line.foretold
    return {
        "thing": line.thing,
        "service": line.service,
        "sort": str(line.sort),
        "wrong": str(line.wrong),
        "says": line.says,
        "foretold": foretold_values(foretold)
        | {"before": foretold_values(foretold.before) if foretold.before is not None else None},
        "falls_s": finite(line.falls_s),
        "lasts_s": finite(line.lasts_s),
        "within_s": finite(line.within_s),
        "ended": line.ended,
        "before": len(line.before),
        "more": len(line.more),
        "after": len(line.after),
        "probes": list(line.probes),
        "sure": line.sure,
    }


def foretold_values(foretold: Foretold) -> Plain:
    """What was foretold of one thing, in one span."""
    return {
        "verdict": foretold.verdict.word,
        "falls_s": finite(foretold.falls_s),
        "falls_within_s": [finite(each) for each in foretold.falls_within],
        "lasts_s": finite(foretold.lasts_s),
        "lasts_within_s": [finite(each) for each in foretold.lasts_within],
        "reached": foretold.reached,
    }


def explanation_plain(offer: Explanation) -> Plain:
    """One change of the lab file that would explain a run."""
    better, worse = offer.earlier
    return {
        "says": list(offer.says),
        "for": offer.for_,
        "rights": list(offer.rights),
        "left": list(offer.left),
        "earlier_better": better,
        "earlier_worse": worse,
        "caution": offer.caution,
        "files": list(offer.changes.files),
        "difference": offer.changes.difference,
    }
