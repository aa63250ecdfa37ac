"""Did the drill go as foretold, and which change of the lab file would explain it where not?"""

from __future__ import annotations

import json
import shlex
import time
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.comparing import Comparison
from falsework.analyses.comparing import compare as compare_run
from falsework.errors import QuestionError, counted, few
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.compare_lines import comparison_lines, head_words
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, check_seconds
from falsework.faces.plain_compare import compare_answer
from falsework.findings.explaining.explain import Explained, Explanation, explained
from falsework.lab.digest import digest_of
from falsework.record.keeping import record_of
from falsework.record.observed import Observed
from falsework.record.reading import all_observed

SHOWN = 5
"""Changes that are shown unless all are asked for."""

Compared = tuple[Comparison, Explained | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    run: int | None = None
    all: bool = False
    offer: int = 1
    diff: bool = False
    write: bool = False
    seconds: float = 60.0
    record: Path | None = None
    json: bool = False


def compare(asked: Asked) -> int:
    """Print how drills went; return the exit status: 1 where something was wrong.

    Raises:
        FalseworkError: the lab, the record, or the question.
    """
    if asked.write and asked.all:
        raise QuestionError("--write wants one run", "Name it with --run.")
    check_seconds(asked.seconds, "an explanation")
    file = asked.record or record_of(asked.lab)
    standing = opened(asked.lab, ())
    runs = all_observed(file)
    chosen = _chosen(runs, asked, file)
    with Told() as tell:
        ends_s = time.monotonic() + asked.seconds
        found: list[Compared] = []

        def stopped() -> bool:
            ended = any(told is not None and not told.complete for _, told in found)
            return ended or time.monotonic() >= ends_s

        for observed in chosen:
            comparison = compare_run(standing, observed)
            others = [each for each in runs if each.run.number != observed.run.number]
            odd = not comparison.why_not and not comparison.as_foretold and bool(comparison.seen)
            told = (
                explained(standing, observed, earlier=others, progress=tell, stopped=stopped) if odd else None
            )
            found.append((comparison, told))
    status = BROKEN if any(not comparison.right for comparison, _ in found) else MET
    offer = _offer(found[0][1], asked.offer) if asked.write else None
    if offer is not None:
        write_changes(standing.lab, offer.changes)
    if asked.json:
        written = asked.offer if offer is not None else None
        answer = compare_answer(standing, found, written, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    now = digest_of(standing.lab.files)
    changed = {each.run.number for each in chosen if each.run.digest not in ("", now)}
    put(_lines(standing.lab.name, found, changed, asked))
    if offer is not None:
        put(change_lines(offer.changes, nothing="There is nothing to change in the lab file."))
        put(written_lines(offer.changes))
    return status


def _chosen(runs: Sequence[Observed], asked: Asked, file: Path) -> Sequence[Observed]:
    """The runs that were asked for.

    Raises:
        QuestionError: there is no such run, or no drill among them.
    """
    drills = [
        each
        for each in runs
        if (each.run.lost or each.run.tries == "cold start") and each.run.done_s is not None
    ]
    if asked.all:
        chosen = drills
    elif asked.run is None:
        chosen = drills[-1:]
    else:
        chosen = [each for each in runs if each.run.number == asked.run]
        if not chosen:
            known = (
                f"It has {few([str(each.run.number) for each in runs], 6)}." if runs else "It has none yet."
            )
            raise QuestionError(f"no run {asked.run} is in '{file}'", known)
    if not chosen:
        raise QuestionError(
            f"no drill is in '{file}' yet", "Do one with `falsework drill`, or name a run with --run."
        )
    return chosen


def _offer(told: Explained | None, number: int) -> Explanation:
    offers = told.offers if told is not None else ()
    if number > len(offers):
        raise QuestionError(
            f"there is no offer {number}", f"There are {len(offers)}." if offers else "There is none."
        )
    return offers[number - 1]


def _lines(lab: str, found: Sequence[Compared], changed: Set[int], asked: Asked) -> Iterator[Line]:
    for number, (comparison, told) in enumerate(found):
        if number:
            yield Line()
        yield Line(f"{lab}, {head_words(comparison)}", style="head")
        if comparison.run in changed:
            yield Line("The lab file has changed since then; it is compared as it is now.", style="quiet")
        yield Line()
        yield from comparison_lines(comparison, every=asked.all)
        if told is not None:
            # The newest drill is written unasked; of many runs each is named.
            run = comparison.run if asked.all else asked.run
            yield from _explained(told, asked, run)


def _explained(told: Explained, asked: Asked, run: int | None) -> Iterator[Line]:
    offers = _shown(told, asked)
    if offers:
        yield Line()
        yield Line(
            "What would explain it, each tried; the best first. Which is true only you can tell:",
            style="head",
        )
    for number, offer in offers.items():
        yield Line()
        yield labelled(f"change {number}", "; ".join(offer.says), style="remark", width=10)
        for label, text in (
            ("then", f"{few(offer.rights)} {'is' if len(offer.rights) == 1 else 'are'} as foretold"),
            (
                "left",
                f"{few(offer.left)} {'stays' if len(offer.left) == 1 else 'stay'} wrong"
                if offer.left
                else "",
            ),
            ("earlier", _earlier(offer)),
            ("mind", offer.caution),
        ):
            if text:
                yield labelled(label, text, style="quiet", indent=10, width=8)
        if asked.diff and not asked.write:
            yield from change_lines(offer.changes, nothing="There is nothing to change in the lab file.")
    if len(told.offers) > len(offers):
        yield Line()
        yield Line(f"{len(told.offers) - len(offers)} more; --all shows them.", style="quiet")
    if not told.complete:
        yield Line()
        said = (
            f"stopped after {counted(told.tried, 'lab')}, with more to try; --seconds gives the search longer"
        )
        yield labelled("time", said, style="quiet", width=10)
    if told.unexplained:
        yield Line()
        yield labelled(
            "open", f"no change that was tried explains {few(told.unexplained)}", style="open", width=10
        )
    if offers and not asked.write:
        lab, record = (
            shlex.quote(str(asked.lab)),
            f" --record {shlex.quote(str(asked.record))}" if asked.record else "",
        )
        which = f" --run {run}" if run is not None else ""
        yield Line()
        yield labelled(
            "write", f"falsework compare {lab}{which}{record} --offer 1 --write", style="quiet", width=10
        )


def _shown(told: Explained, asked: Asked) -> dict[int, Explanation]:
    """The first few, and the best for each thing that none of these makes right; by their numbers."""
    numbered = dict(enumerate(told.offers, 1))
    if asked.all:
        return numbered
    shown = {number: offer for number, offer in numbered.items() if number <= SHOWN or number == asked.offer}
    righted = {name for offer in shown.values() for name in offer.rights}
    for number, offer in numbered.items():
        if not righted.issuperset(offer.rights):
            shown[number] = offer
            righted.update(offer.rights)
    return shown


def _earlier(offer: Explanation) -> str:
    better, worse = offer.earlier
    if worse:
        return f"{worse} other {'run' if worse == 1 else 'runs'} would be less as foretold then"
    return (
        f"{better} other {'run' if better == 1 else 'runs'} would be more as foretold too" if better else ""
    )
