"""What does the record answer to a program?

What nobody knows is null, and so is a time that has no end.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from falsework.analyses.history import Left, Past, Recovery, Row, Trial
from falsework.analyses.history.summary import judged_said, seen_said
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.faces.plain_compare import comparison_values
from falsework.faces.values import finite
from falsework.record.observed import Outage, ProbeSeen, Run
from falsework.support.standing import Standing

Plain = dict[str, Any]


def record_answer(
    standing: Standing,
    record: Path,
    runs: Sequence[Past],
    recovery: Recovery,
    left: Sequence[Left],
    status: int,
    *,
    running: bool = False,
) -> Plain:
    """All runs, newest first, what they prove, and the margin that is left."""
    newest = runs[-1].observed.run.number if runs else 0
    return {
        **head("record", standing, status),
        "record": str(record),
        "runs": [
            {
                **_run(each.observed.run, runs=running and each.observed.run.number == newest),
                "seen": seen_said(each.observed),
                "judged": judged_said(each),
                "as_foretold": None if each.comparison is None else each.comparison.right,
            }
            for each in reversed(runs)
        ],
        "recovery": [_row(each) for each in recovery.rows],
        "losses_not_looked_at": recovery.not_looked_at,
        "margins": [_left(each) for each in left],
    }


def run_answer(standing: Standing, record: Path, past: Past, status: int, *, running: bool = False) -> Plain:
    """One run, whole."""
    observed = past.observed
    return {
        **head("record", standing, status),
        "record": str(record),
        "run": _run(observed.run, runs=running),
        "probes": [_probe(each) for each in observed.probes],
        "marks": [
            {"at_s": finite(each.at_s), "mark": str(each.mark), "says": each.says}
            for each in observed.run.marks
        ],
        "gaps": [
            {"from_s": finite(each.from_s), "until_s": finite(each.until_s), "why": str(each.why)}
            for each in observed.run.gaps
        ],
        "jumps": [{"at_s": finite(each.at_s), "by_s": finite(each.by_s)} for each in observed.run.jumps],
        "judged": judged_said(past),
        "compared": None if past.comparison is None else comparison_values(past.comparison),
    }


def outage_plain(outage: Outage) -> Plain:
    """An outage with its bounds."""
    return {
        "good_s": finite(outage.good_s),
        "bad_s": finite(outage.bad_s),
        "last_bad_s": finite(outage.last_bad_s),
        "good_again_s": finite(outage.good_again_s),
        "from_s": finite(outage.from_s),
        "until_s": finite(outage.until_s),
        "lasts_s": finite(outage.lasts_s),
        "within_s": finite(outage.within_s),
        "told": outage.told.name.lower(),
        "says": outage.says,
        "unsure": outage.unsure,
    }


def _run(run: Run, *, runs: bool) -> Plain:
    return {
        "number": run.number,
        "began": run.began.isoformat(timespec="milliseconds"),
        "lab": run.lab,
        "digest": run.digest,
        "drill": run.drill,
        "tries": run.tries,
        "lost": list(run.lost),
        "out": list(run.out),
        "machine": run.machine,
        "until_s": finite(run.until_s),
        "ended": run.ended,
        "runs": runs,
        "done_s": finite(run.done_s),
        "put_back_s": finite(run.put_back_s),
    }


def _probe(probe: ProbeSeen) -> Plain:
    return {
        "probe": probe.probe,
        "sees": probe.sees,
        "asks": probe.asks,
        "every_s": probe.every_s,
        "asked": probe.asked,
        "yes": probe.yes,
        "usual_s": finite(probe.usual_s),
        "worst_s": finite(probe.worst_s),
        "warning": probe.warning,
        "outages": [outage_plain(each) for each in probe.outages],
    }


def _row(row: Row) -> Plain:
    return {
        "of": row.of,
        "sort": str(row.sort),
        "aim": row.aim,
        "aim_s": finite(row.aim_s),
        "foretold_s": finite(row.foretold_s),
        "foretold_by": row.foretold_by,
        "stays_out_by": row.stays_out_by,
        "worst_s": finite(row.worst_s),
        "usual_s": finite(row.usual_s),
        "met": row.met,
        "failed_in_run": row.failed.run if row.failed else None,
        "proved": row.proof.on.isoformat() if row.proof else None,
        "proved_in_run": (row.proof.run or None) if row.proof else None,
        "trials": [_trial(each) for each in row.trials],
        "where": place(row.where),
    }


def _trial(trial: Trial) -> Plain:
    return {
        "run": trial.run,
        "drill": trial.drill,
        "on": trial.on.isoformat(),
        "foretold_s": finite(trial.foretold_s),
        "lasts_s": finite(trial.lasts_s),
        "within_s": finite(trial.within_s),
        "came_back": trial.came_back,
        "sure": trial.sure,
    }


def _left(left: Left) -> Plain:
    return {
        "service": left.service,
        "least": left.least,
        "looked_at": left.looked_at,
        "by": list(left.by),
        "ways": left.ways,
        "ground": list(left.ground),
        "least_built": left.least_built,
    }
