"""How is the record told at a terminal?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from falsework.analyses.history import Left, Past, Recovery
from falsework.analyses.history.summary import ended_said, judged_said, seen_said
from falsework.errors import few
from falsework.faces import recovery_words as words
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.table import table
from falsework.faces.cli.words import without
from falsework.support.standing import Standing

MOST_RUNS = 10
MOST_ROWS = 20
MOST_SERVICES = 12


def lines(
    standing: Standing,
    file: Path,
    runs: Sequence[Past],
    found: Recovery,
    left: Sequence[Left],
    *,
    running: bool,
    every: bool,
    lab: Path,
) -> Iterator[Line]:
    """The short answer, the runs, what must come back, and the margin that is left."""
    yield Line(words.headline(found, len(runs)), style="head")
    if runs:
        yield Line()
        yield from _runs(runs, running=running, every=every)
    if found.rows:
        yield Line()
        yield Line("What must come back, the stalest first")
        rows = found.rows if every else found.rows[:MOST_ROWS]
        yield from table(words.HEADS, [words.cells(row) for row in rows], right=())
        if len(rows) < len(found.rows):
            yield Line(f"  and {len(found.rows) - len(rows)} more; --all shows them")
        if found.not_looked_at:
            yield Line(f"  {found.not_looked_at:,} single losses were left out of what is foretold.")
    yield Line()
    yield Line(f"{words.MARGINS}{without(standing.out)}")
    for each in words.margins(left):
        names = few(each.services, len(each.services) if every else MOST_SERVICES)
        yield labelled(each.least, f"{names}: {each.says}", style=_style(each), indent=2, width=11)
    under = words.ground(left)
    if under:
        yield labelled("", under, indent=2, width=11)
    yield Line()
    if runs:
        yield labelled("kept", str(file), style="quiet", indent=2, width=7)
        yield labelled(
            "next",
            f"falsework record {lab} --run {runs[-1].observed.run.number}",
            style="quiet",
            indent=2,
            width=7,
        )
    else:
        yield labelled("next", f"falsework drills {lab}", style="quiet", indent=2, width=7)


def _runs(runs: Sequence[Past], *, running: bool, every: bool) -> Iterator[Line]:
    shown = list(reversed(runs))[: None if every else MOST_RUNS]
    newest = runs[-1].observed.run.number
    rows = []
    for each in shown:
        run = each.observed.run
        judged = judged_said(each)
        rows.append(
            (
                str(run.number),
                f"{run.began:%Y-%m-%d %H:%M}",
                run.drill or (few(run.lost) if run.lost else "watched"),
                ended_said(run, runs=running and run.number == newest),
                f"{seen_said(each.observed)}{f'; {judged}' if judged else ''}",
            )
        )
    yield from table(("run", "began (UTC)", "drill", "lasted", "seen"), rows, right=(0,))
    if len(shown) < len(runs):
        yield Line(f"  and {len(runs) - len(shown)} older; --all shows them")


def _style(margin: words.MarginSaid) -> str:
    return "falls" if margin.least == "0" else "thin" if margin.least == "1" else "stands"
