"""Runbooks made by hand, and PDF read back."""

import datetime
import re

import numpy as np
import pypdfium2

from falsework.faces.runbook.document import Box, Caution, Chapter, Runbook, Table

DAY = datetime.date(2026, 12, 4)

POWER = Box(
    number="1",
    says="Power and wire: circuits c1 and c2, battery, strips A and B, switch sw-1",
    takes="10 h",
    between="6 h to 16 h",
    hands="9 h of work, me",
    when="Sat 5 Dec 09:00 to Sun 6 Dec 12:00",
    needs=("standing: the mains",),
    cautions=("Mains voltage. Defer to local electrical codes, makers' instructions and licensed practice.",),
    check="every strip has a lamp on",
    back="switch off at the breaker",
)
LEND = Box(
    number="2",
    says="Set up the laptop as stand-in for names and images",
    takes="2 h",
    needs=("step 1",),
    command="serve-names --on laptop\n  --zone lab.example",
    check="a desk gets an address from it",
    back="take it off the wire",
    fragile=("laptop: stops names and images", "sw-1: stops names"),
    shaky=True,
    owners=("names: laptop",),
)
HAND_OVER = Box(
    number="3",
    says="Hand over names: 10.20.10.5 goes to desk-1",
    group="Cut-over from the laptop",
    takes="20 min",
    outage=("names is out for about 40 s",),
    back="give 10.20.10.5 back to the laptop",
    no_return="clients write to the new place from now on",
    owners=("names: now names, was laptop",),
    notes=("names.2 is no redundancy yet: its state lies with names.1",),
)


def runbook(*boxes: Box, rows: tuple[tuple[str, ...], ...] = (("names", "10.20.10.5"),)) -> Runbook:
    """A small one with these boxes, else with three."""
    return Runbook(
        title="Build order",
        lab="Gannet Rock",
        date=DAY,
        source="lab.yaml",
        lead=("3 steps with 1 stand-in raise the whole lab.",),
        cautions=(Caution(title="Power", says=("Mains voltage kills.",)),),
        chapters=(Chapter(title="The order of work", boxes=boxes or (POWER, LEND, HAND_OVER)),),
        appendix=(
            Chapter(
                title="Where things are",
                tables=(
                    Table(title="Services", head=("service", "reached at"), rows=rows, mono=frozenset({1})),
                ),
            ),
        ),
    )


def pages(made: bytes) -> list[str]:
    """The text of each page, each run of blanks and line ends one blank."""
    found = pypdfium2.PdfDocument(made)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in found]


def inked(made: bytes) -> list[np.ndarray]:
    """Where each page is dark: a table of truth, a point of paper a cell."""
    found = pypdfium2.PdfDocument(made)
    return [page.render(scale=1).to_numpy()[..., :3].min(axis=2) < 200 for page in found]
