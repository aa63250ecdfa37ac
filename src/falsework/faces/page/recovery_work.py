"""What must come back, when that was last proved, and what margin is left: the work for the page."""

from __future__ import annotations

from pathlib import Path

from falsework.analyses.history import lefts, past, recovery
from falsework.faces import recovery_words as words
from falsework.faces.cli.recorded import worst
from falsework.faces.page.fragments import Tell, fragment, opened
from falsework.faces.page.made import Made
from falsework.faces.plain_record import record_answer
from falsework.record.keeping import record_of
from falsework.record.reading import all_observed


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Lay every run beside the lab, in a process of its own.

    Raises:
        FalseworkError: the lab or the record can't be read.
    """
    tell("reading the lab and its record", 0, 1)
    standing = opened(path, digest, out)
    record = record_of(Path(path))
    kept = all_observed(record) if record.exists() else ()
    tell("laying runs beside the lab", 0, 1)
    runs = past(standing, kept)
    found = recovery(standing, runs)
    left = lefts(standing, progress=lambda done, of: tell("losing every two parts", done, of))
    html = fragment(
        "recovery_made.html.j2",
        standing,
        out,
        lead=words.headline(found, len(runs)),
        bad=bool(worst(found)),
        heads=words.HEADS,
        rows=[(words.state(row), words.cells(row)) for row in found.rows],
        over=words.MARGINS,
        margins=words.margins(left),
        ground=words.ground(left),
        now=sorted(standing.out),
    )
    return Made(
        html=html, answers={"record": record_answer(standing, record, runs, found, left, worst(found))}
    )
