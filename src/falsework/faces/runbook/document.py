"""What is a runbook, before it is set on paper?

It is finished text: whoever makes one has chosen the words, whoever sets one adds none but labels.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

PRINT_ANEW = (
    "Whatever changed in the lab since is not in here: print it anew after every change, "
    "and keep it where you find it in the dark."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One step, on one page.

    Attributes:
        number: what it is called, such as `12`.
        says: the action in plain words.
        group: what it belongs to, such as a cut-over; told once above the boxes that share it.
        takes: how long, most likely, such as `1 h`.
        between: how long at the least and at the most.
        hands: how much of that is somebody's work, and whose.
        when: the hour it is planned for.
        needs: what must stand before.
        command: the owner's own, printed as it is, never run.
        check: how to see that it worked.
        back: how to go back.
        no_return: why there is no going back after it; empty where there is.
        fragile: what a single failure would stop once it is done.
        shaky: whether that is more than in the end; such a box has a hatched edge.
        moves: state that it copies: how much, from where to where, how long.
        outage: what it interrupts, and for how long.
        owners: who owns what after it.
        notes: what else to know.
        cautions: what can be hurt.
    """

    number: str
    says: str
    group: str = ""
    takes: str = ""
    between: str = ""
    hands: str = ""
    when: str = ""
    needs: tuple[str, ...] = ()
    command: str = ""
    check: str = ""
    back: str = ""
    no_return: str = ""
    fragile: tuple[str, ...] = ()
    shaky: bool = False
    moves: tuple[str, ...] = ()
    outage: tuple[str, ...] = ()
    owners: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def entries(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        """What is written in it below its title, but for the command, each with its label, in reading order."""
        for label, lines in (
            ("needs", self.needs),
            ("caution", self.cautions),
            ("copies", self.moves),
            ("interrupts", self.outage),
            ("check", (self.check,) if self.check else ()),
            ("way back", (self.back,) if self.back else ()),
            ("owner after it", self.owners),
            ("fragile now", self.fragile),
            ("note", self.notes),
        ):
            if lines:
                yield label, lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under a head.

    Attributes:
        title: what it lists.
        head: over each column.
        rows: cells, as many as the head has.
        says: a sentence before it.
        widths: of the columns, relative; all alike if empty.
        mono: numbers of the columns that are copied sign by sign, such as addresses.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    says: str = ""
    widths: tuple[int, ...] = ()
    mono: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing for print, on white.

    Attributes:
        svg: the whole of it; made by us.
        says: what it shows, in words; where there are no pictures, these stand alone.
    """

    svg: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A part of a runbook: sentences, then pictures, tables and boxes."""

    title: str
    says: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tables: tuple[Table, ...] = ()
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Where hands meet something that hurts or is lost: what it is, and what to mind."""

    title: str
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Runbook:
    """A whole runbook.

    Attributes:
        title: what is done by it, such as `Build order`.
        lab: the lab's name.
        date: the day it was made for; the same lab and day give the same bytes.
        source: the file that it was made from.
        aside: what is said beside its date, a sentence.
        lead: the short answer, a sentence a line.
        cautions: for a page of their own, unless it is read through.
        chapters: in reading order.
        appendix: what is looked up: addresses, cables, outlets, keys, people.
        read_through: whether it is read and not worked by: on paper its parts follow one another, without contents.
    """

    title: str
    lab: str
    date: datetime.date
    source: str = ""
    aside: str = PRINT_ANEW
    lead: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    chapters: tuple[Chapter, ...] = ()
    appendix: tuple[Chapter, ...] = ()
    read_through: bool = False
