"""How is one run told at a terminal?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.table import table
from falsework.faces.report.run_told import RunTold

MOST = 20


def run_lines(told: RunTold, *, every: bool = False) -> Iterator[Line]:
    """The short answer, foretold and seen, outages, what was done when, and the cautions.

    Args:
        told: the run in words.
        every: all rows, however many there are.
    """
    yield Line(f"{told.title}: {told.lead}", style="head")
    for each in told.facts:
        yield Line(each)
    if told.things:
        yield Line()
        for thing in told.things[: None if every else MOST]:
            style = "falls" if thing.bad else "stands" if thing.sort == "as foretold" else "thin"
            yield labelled(thing.sort, f"{thing.thing} {thing.says}", style=style, indent=2, width=13)
        yield from _more(len(told.things), every=every)
    if told.stood:
        yield labelled("stood", f"{', '.join(told.stood)}, as foretold", style="stands", indent=2, width=13)
    if told.unseen:
        said = ", ".join(told.unseen) if every or len(told.unseen) <= MOST else f"{len(told.unseen)} things"
        yield labelled("not seen", said, style="quiet", indent=2, width=13)
    if told.outages:
        yield Line()
        rows = [(each.probe, each.at, each.lasted, each.says) for each in told.outages]
        yield from table(("probe", "out", "for", "says"), rows[: None if every else MOST])
        yield from _more(len(rows), every=every)
    if told.moments:
        yield Line()
        yield from table(("when", "what"), told.moments[: None if every else MOST])
        yield from _more(len(told.moments), every=every)
    minded = [(each[0], each[-1]) for each in told.answers if each[-1]]
    if minded or told.cautions:
        yield Line()
    for probe, warning in minded:
        yield labelled("mind", f"{probe}: {warning}", style="thin", indent=2, width=7)
    for caution in told.cautions:
        yield labelled("mind", caution, style="quiet", indent=2, width=7)


def _more(number: int, *, every: bool) -> Iterator[Line]:
    if number > MOST and not every:
        yield Line(f"  and {number - MOST} more; --all shows them")
