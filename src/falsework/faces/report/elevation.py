"""What does the lab look like from the front, as it stands or with parts lost?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from falsework.analyses.moment import Moment
from falsework.analyses.verdicts import Loss
from falsework.engines.uncollected import uncollected
from falsework.errors import few
from falsework.faces.report import chain, courses, machines
from falsework.faces.report.drawn import Address, reached
from falsework.faces.report.edges import edges
from falsework.faces.report.frame import Frame
from falsework.faces.report.ground import below
from falsework.faces.report.ink import sheet
from falsework.faces.report.key import key
from falsework.faces.report.leaning import rings
from falsework.faces.report.spots import Spots
from falsework.faces.report.states import SOON_S, States, count_line, tally_line, time
from falsework.faces.report.storeys import services
from falsework.faces.report.svg import Svg, escape, join, label, line, width_of
from falsework.model.parts import Drive, Enclosure, Node, Switch, Ups
from falsework.model.people import StandIn
from falsework.model.services import Copy, Pool, Service, Store
from falsework.support.standing import Standing

TOP = 94.0
"""Where the uppermost beam lies."""
NAME = 70.0
"""What the lab's name and the count take of that."""
CAUTION = "Runtimes are estimates from the figures given. Local electrical codes, makers' instructions and licensed practice come first."


@uncollected()
def elevation(
    standing: Standing,
    loss: Loss | None = None,
    *,
    width: int | None = 1400,
    circles: Sequence[Sequence[str]] = (),
    prefix: str = "elevation",
    address: Address | None = None,
    styled: bool = True,
    at: Moment | None = None,
    why: str = "",
    head: bool = True,
    open_: Sequence[str] = (),
    opening: Callable[[str], str | None] | None = None,
    spots: Spots | None = None,
) -> str:
    """The lab from the front, as SVG.

    Args:
        standing: the lab.
        loss: what is lost, and what that does; None draws the lab as it stands.
        width: of the sheet at most, in px; the height follows. None for the least at which all can be read.
        circles: things that wait for each other to start, as `ColdStart.circles` has them; drawn as arches.
        prefix: of the ids in the drawing; two drawings on one page need two.
        address: where a touch of each group leads, for a page; without it nothing can be touched.
        at: the moment after the loss that is drawn; None draws what comes of it in the end.
        why: a thing whose reasons are drawn: why it falls, or where it stands, what it leans on; one that is
            not in the graph has none.
        open_: groups that are not folded: ids of racks, rooms, enclosures, nodes or services in them. The sheet
            may grow wider than `width` for them.
        opening: where a touch leads that opens the group of this id, or folds it again, for a page.
        spots: where to gather what is drawn where.
        head: whether the lab's name and the count stand on top; a page says both beside the drawing.
        styled: whether the drawing brings its colours and its style for the dark and for print; a page has them
            in its style sheet.

    Returns:
        One `<svg>` element. Each thing is a group with `data-id`, `data-word` and `data-state`; where it is
        drawn once, with the id `prefix-slug` too.
    """
    states = States(standing=standing, loss=loss, moment=at)
    frame = replace(
        edges(states, width, prefix, arches=bool(rings(standing, circles)), open_=frozenset(open_)),
        address=address,
        opening=opening,
        spots=spots or Spots(),
    )
    start = TOP if head else TOP - NAME
    y, parts = start, _head(frame, loss, named=head)
    lines: list[Svg] = []

    y, drawn, tops = services(frame, loss, y, rings(standing, circles))
    parts.extend(drawn)
    pools, stores = standing.lab.of(Pool), courses.store_rows(standing.lab.of(Store))
    if pools:
        parts.append(frame.course_title("pools", y, y + courses.POOL * len(pools) - 4))
    parts.extend(courses.pool(frame, each, y + courses.POOL * at) for at, each in enumerate(pools))
    y += courses.POOL * len(pools) + (6 if pools else 0)
    if stores:
        parts.append(frame.course_title("stores", y, y + courses.STORE * len(stores) - 4))
    parts.extend(courses.stores(frame, row, y + courses.STORE * at) for at, row in enumerate(stores))
    y += courses.STORE * len(stores) + (6 if stores else 0)
    lines.extend(_plumb(frame, start, y))
    top = y
    drawn_machines, y = machines.machines(frame, y)
    parts.append(drawn_machines)
    parts.append(frame.course_title("machines", top, y))
    props = standing.lab.of(StandIn)
    if props:
        parts.append(machines.stand_ins(frame, props, top, y + 20))
    for spans in (frame.columns.racks, frame.columns.rooms):
        if spans:
            y += 12
            parts.extend(machines.dimension(frame, span, y) for span in spans)
            y += 8
    y = max(y + 10, top + 24 * len(props) if props else 0)
    founded, y = below(frame, y)
    parts.extend(founded)
    samples, y = key(frame, y + 26, arches=bool(tops), props=bool(props))
    parts.append(samples)
    if standing.lab.of(Ups):
        parts.append(
            label(
                frame.course - 5, y + 14, CAUTION, size=10, fill="faint", italic=True, room=frame.width - 40
            )
        )
        y += 16
    if why in standing.support.things:
        reasons, over, y = chain.reasons(frame, why, y + 30)
        parts.extend((reasons, over))
    svg = sheet(
        prefix,
        frame.width,
        y + 16,
        escape(_says(standing, loss, at)),
        join(lines),
        join(parts),
        styled=styled,
        role="img" if address is None else "group",
    )
    return svg if address is None else reached(svg)


def _head(frame: Frame, loss: Loss | None, *, named: bool) -> list[Svg]:
    """The lab's name, what is shown, and the count; what is out beforehand in any case."""
    standing = frame.states.standing
    room = frame.width - 48
    name = label(20, 42, standing.lab.name, size=25, bold=True, room=room * 0.6)
    start = 20 + min(width_of(standing.lab.name, 25, bold=True), room * 0.6) + 18
    what = ["elevation"]
    if loss is not None and loss.lost:
        what.append(f"with {few(loss.lost, 6)} out")
        if frame.states.moment is not None:
            what.append(_moment(frame.states.moment))
    shown = label(
        start, 42, ", ".join(what), size=16, fill="faint", italic=True, room=frame.width - start - 16
    )
    moment = frame.states.moment
    tally = _stock(standing) if loss is None else count_line(loss) if moment is None else tally_line(moment)
    up = 0.0 if named else NAME
    found = [name, shown, label(20, 66, tally, size=13, room=room)] if named else []
    if standing.out:
        out = sorted(standing.out)
        found.append(
            label(
                20, 84 - up, f"out beforehand: {few(out, 6)}", size=11.5, fill="faint", italic=True, room=room
            )
        )
    return found


def _moment(moment: Moment) -> str:
    return f"{time(moment.at_s)} later" if moment.at_s >= SOON_S else "at that moment"


def _stock(standing: Standing) -> str:
    lab = standing.lab
    counts = (
        (len(lab.of(Node)), "node", "nodes"),
        (len(lab.of(Enclosure)), "enclosure", "enclosures"),
        (len(lab.of(Switch)), "switch", "switches"),
        (len(lab.of(Drive)), "drive", "drives"),
        (len(lab.of(Service)), "service", "services"),
        (len(lab.of(Copy)), "copy", "copies"),
    )
    return " · ".join(f"{count} {many if count != 1 else one}" for count, one, many in counts if count)


def _says(standing: Standing, loss: Loss | None, at: Moment | None) -> str:
    if loss is None:
        return f"Elevation of {standing.lab.name}: {_stock(standing)}"
    out = few(loss.lost, 6) if loss.lost else "nothing"
    then, tally = (", " + _moment(at), tally_line(at)) if at is not None else ("", count_line(loss))
    return f"Elevation of {standing.lab.name} with {out} out{then}: {tally}"


def _plumb(frame: Frame, top: float, bottom: float) -> list[Svg]:
    """A dotted line down every upright that carries something."""
    hosts = {copy.host for copy in frame.states.standing.lab.of(Copy)}
    return [
        line(x, top, x, bottom, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4")
        for x in frame.columns.xs(sorted(hosts))
    ]
