"""Where do the edges of an elevation lie, given the longest names and the machines?"""

from __future__ import annotations

from dataclasses import replace

from falsework.faces.report.columns import NARROWEST, READABLE, columns, room_for
from falsework.faces.report.frame import Frame
from falsework.faces.report.keeping import kept
from falsework.faces.report.rows import serving
from falsework.faces.report.states import States
from falsework.faces.report.storeys import MOST_ROWS
from falsework.faces.report.svg import width_of
from falsework.model.people import StandIn
from falsework.model.services import Pool, Service, Store

LEAST = 1000
MOST = 2000
"""Between these a sheet chooses its width by itself, px."""
WORDS = 180.0
"""What it then leaves for what happens."""


def edges(states: States, width: int | None, prefix: str, *, arches: bool, open_: frozenset[str]) -> Frame:
    """The frame of a sheet; what hangs on the lab alone is worked out once for the sheets drawn in a row.

    Args:
        states: how everything is.
        width: of the sheet at most, px, unless opened groups need more; None for the least at which all can be
            read, between `LEAST` and `MOST`.
        prefix: of ids.
        arches: whether there are any.
        open_: groups that are not folded.
    """
    standing = states.standing
    return replace(
        kept(
            standing,
            "edges",
            (width, arches, open_),
            lambda: _edges(states, width, arches=arches, open_=open_),
        ),
        states=states,
        prefix=prefix,
    )


def _edges(states: States, width: int | None, *, arches: bool, open_: frozenset[str]) -> Frame:
    standing = states.standing
    lab = standing.lab
    names: list[str] = [
        thing_.id for thing_ in lab.things.values() if isinstance(thing_, Service | Pool | Store)
    ]
    names.extend(standing.support.services)
    gutter = 40.0 + (34.0 if arches else 0.0)
    named = min(max([width_of(name, 13.5) for name in names] + [70.0]), 150.0)
    if len(standing.support.services) > MOST_ROWS:
        named = 215.0
    if lab.of(StandIn):
        named = max(named, 120.0)
    left = gutter + named + 6 + 20
    serves = [serving(standing, name) for name in standing.support.services]
    serves.extend(each.layout for each in lab.of(Store))
    serves.extend(
        f"{len(each.hosts.ids)} of {len(each.hosts.ids)} hosts" for each in lab.of(Pool) if each.hosts
    )
    served = min(max([width_of(text, 11.5) for text in serves] + [60.0]), 120.0) + 14
    natural = width is None
    if width is None:
        fixed = left + 10 + 10 + 16 + served + WORDS
        width = max(LEAST, min(round(fixed + room_for(lab, MOST - fixed)), MOST))
    words = WORDS if natural else 190.0 if width >= 1100 else 140.0
    right = width - words - served - 16
    found = columns(
        lab, left=left + 10, right=right - 10, open_=open_, least=READABLE if natural else NARROWEST
    )
    spare = right - 10 - found.right  # less than none where opened groups need more
    return Frame(
        prefix="",
        states=states,
        columns=found,
        course=24.0,
        arches=40.0,
        names=gutter + named + 6,
        left=left,
        right=right - spare,
        serves=right - spare + 16,
        words=right - spare + 16 + served,
        width=width - spare,
        open=open_,
    )
