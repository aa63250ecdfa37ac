"""How are figures listed that were taken where the owner gave none?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.faces.cli.lines import Line, labelled
from falsework.faces.taken import taken_says
from falsework.support.taken import Taken


def taken_lines(taken: Sequence[Taken]) -> Iterator[Line]:
    """A line for each, under a head; nothing where nothing was taken."""
    if taken:
        yield Line()
        yield Line("Taken where the lab file says nothing:", style="quiet")
        for each in taken:
            yield labelled("  taken", taken_says(each), style="quiet", width=9)
