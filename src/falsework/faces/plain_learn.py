"""What does an answer on what drills taught look like to a program?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from falsework.analyses.learning import Ask, Counted, Counts, Learnt, Proof, Update
from falsework.faces.head import head
from falsework.findings.learning import seen_words, stumbled_words
from falsework.lab.save import Changes
from falsework.support.standing import Standing
from falsework.units import Quantity

Plain = dict[str, Any]


def learn_answer(
    standing: Standing, learnt: Learnt, changes: Changes, written: Sequence[str], status: int
) -> Plain:
    """What the runs of a record teach.

    Args:
        standing: the lab.
        learnt: of it.
        changes: what it makes of the files.
        written: the files that were written.
        status: the exit status.
    """
    return {
        **head("learn", standing, status),
        "runs": learnt.runs,
        "updates": [_update(each) for each in learnt.updates],
        "proofs": [_proof(each) for each in learnt.proofs],
        "counts": [_count(each) for each in learnt.counts],
        "stumbles": [_stumbles(each) for each in learnt.stumbles],
        "asks": [_ask(each) for each in learnt.asks],
        "passed": [{"run": run or None, "thing": thing, "why": why} for run, thing, why in learnt.passed],
        "by_hand": [{"of": of, "what": what} for of, what in changes.left],
        "difference": changes.difference,
        "written": list(written),
    }


def _update(update: Update) -> Plain:
    low, high = update.posterior.next
    return {
        "thing": update.thing,
        "key": update.key,
        "before_s": _figure(update.before),
        "source": update.source,
        "counts_as": update.guessed,
        "known_s": [each.took_s for each in update.known],
        "new": [
            {"took_s": each.took_s, "on": each.on, "run": run or None}
            for each, run in zip(update.new, update.runs, strict=True)
        ],
        "after_s": _figure(update.after),
        "next_s": [low, high],
        "weight": update.posterior.weight,
    }


def _stumbles(counts: Counts) -> Plain:
    known = counts.known
    return {
        "thing": counts.thing,
        "before": _figure(counts.share_before),
        "source": counts.source,
        "counts_as": {"failed": counts.guess.failed, "of": counts.guess.trials},
        "known": {"failed": known.failed, "of": known.of} if known is not None else None,
        "failed": counts.failed,
        "of": counts.of,
        "after": _figure(counts.share_after),
        "mean": counts.posterior.mean,
        "weight": counts.posterior.trials,
        "stumbled": stumbled_words(counts.after),
        "runs": list(counts.runs),
    }


def _ask(ask: Ask) -> Plain:
    return {"thing": ask.thing, "key": ask.key, "at_most_s": ask.at_most_s, "on": ask.on, "run": ask.run}


def _figure(figure: Quantity | float | None) -> Plain | float | None:
    return {"low": figure.low, "high": figure.high} if isinstance(figure, Quantity) else figure


def _proof(proof: Proof) -> Plain:
    return {
        "thing": proof.thing,
        "key": proof.key,
        "on": proof.on.isoformat(),
        "before": proof.before.isoformat() if proof.before is not None else None,
        "run": proof.run,
    }


def _count(count: Counted) -> Plain:
    return {
        "thing": count.thing,
        "failures": count.failures,
        "watched_s": count.watched_s,
        "seen": seen_words(count.after),
        "runs": list(count.runs),
    }
