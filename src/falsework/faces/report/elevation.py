"""What does the lab look like from the front, as it stands or with parts lost?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.analyses.verdicts import Loss
from falsework.faces.report import beams, courses, footing, machines
from falsework.faces.report.bars import GROUND, Bar, laid, power, tied, wire
from falsework.faces.report.columns import columns
from falsework.faces.report.frame import Frame
from falsework.faces.report.ink import sheet
from falsework.faces.report.key import key
from falsework.faces.report.leaning import leans_of, ordered, rings
from falsework.faces.report.states import States, count_line, time
from falsework.faces.report.svg import Svg, escape, join, label, line, number, path, thing, width_of
from falsework.model.parts import Drive, Enclosure, Node, Switch, ThingId, Ups
from falsework.model.people import StandIn
from falsework.model.services import Copy, Pool, Service, Store
from falsework.support.graph import Role
from falsework.support.standing import Standing

MOST_ARCHES = 5
"""More circles than this are told by the report, not drawn."""
MOST_ROWS = 46
"""More services than this fold into courses."""
TOP = 94.0
"""Where the uppermost beam lies."""
CAUTION = "Runtimes are estimates from the figures given. Local electrical codes, makers' instructions and licensed practice come first."


def elevation(
    standing: Standing,
    loss: Loss | None = None,
    *,
    width: int = 1400,
    circles: Sequence[Sequence[str]] = (),
    prefix: str = "elevation",
) -> str:
    """The lab from the front, as SVG.

    Args:
        standing: the lab.
        loss: what is lost, and what that does; None draws the lab as it stands.
        width: of the sheet at most, in px; the height follows.
        circles: things that wait for each other to start, as `ColdStart.circles` has them; drawn as arches.
        prefix: of the ids in the drawing; two drawings on one page need two.

    Returns:
        One `<svg>` element. Each thing is a group with `data-id`, `data-word` and `data-state`; where it is
        drawn once, with the id `prefix-slug` too.
    """
    states = States(standing=standing, loss=loss)
    frame = _frame(standing, states, width, prefix, arches=bool(rings(standing, circles)))
    y, parts = TOP, [*_head(frame, loss)]
    lines: list[Svg] = []

    y, drawn, tops = _services(frame, loss, y, rings(standing, circles))
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
    lines.extend(_plumb(frame, TOP, y))
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
    below, y = _below(frame, top, y)
    parts.extend(below)
    samples, y = key(frame, y + 26, arches=bool(tops), props=bool(props))
    parts.append(samples)
    if standing.lab.of(Ups):
        parts.append(
            label(
                frame.course - 5, y + 14, CAUTION, size=10, fill="faint", italic=True, room=frame.width - 40
            )
        )
        y += 16
    return sheet(prefix, frame.width, y + 16, escape(_says(standing, loss)), join(lines), join(parts))


def _frame(standing: Standing, states: States, width: int, prefix: str, *, arches: bool) -> Frame:
    lab = standing.lab
    names: list[str] = [
        thing_.id for thing_ in lab.things.values() if isinstance(thing_, Service | Pool | Store)
    ]
    names.extend(standing.support.services)
    gutter = 40.0 + (34.0 if arches else 0.0)
    named = min(max([width_of(name, 13.5) for name in names] + [70.0]), 150.0)
    if len(standing.support.services) > MOST_ROWS:
        named = 190.0
    if lab.of(StandIn):
        named = max(named, 120.0)
    left = gutter + named + 6 + 20
    serves = [beams.serving(standing, name) for name in standing.support.services]
    serves.extend(each.layout for each in lab.of(Store))
    serves.extend(
        f"{len(each.hosts.ids)} of {len(each.hosts.ids)} hosts" for each in lab.of(Pool) if each.hosts
    )
    serving = min(max([width_of(text, 11.5) for text in serves] + [60.0]), 120.0) + 14
    words = 190.0 if width >= 1100 else 140.0
    right = width - words - serving - 16
    found = columns(lab, left=left + 10, right=right - 10)
    spare = max(right - 10 - found.right, 0.0)
    return Frame(
        prefix=prefix,
        states=states,
        columns=found,
        course=24.0,
        arches=40.0,
        names=gutter + named + 6,
        left=left,
        right=right - spare,
        serves=right - spare + 16,
        words=right - spare + 16 + serving,
        width=width - spare,
    )


def _head(frame: Frame, loss: Loss | None) -> list[Svg]:
    """The lab's name, what is shown, and the count."""
    standing = frame.states.standing
    room = frame.width - 48
    name = label(20, 42, standing.lab.name, size=25, bold=True, room=room * 0.6)
    start = 20 + min(width_of(standing.lab.name, 25, bold=True), room * 0.6) + 18
    what = (
        "elevation"
        if loss is None
        else f"elevation, with {_listed(loss.lost)} out"
        if loss.lost
        else "elevation"
    )
    shown = label(start, 42, what, size=16, fill="faint", italic=True, room=frame.width - start - 16)
    count = label(20, 66, _stock(standing) if loss is None else count_line(loss), size=13, room=room)
    found = [name, shown, count]
    if standing.out:
        out = sorted(standing.out)
        found.append(
            label(20, 84, f"out beforehand: {_listed(out)}", size=11.5, fill="faint", italic=True, room=room)
        )
    return found


def _listed(names: Sequence[str]) -> str:
    shown = list(names[:6]) + ([f"{len(names) - 6} more"] if len(names) > 6 else [])
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


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


def _says(standing: Standing, loss: Loss | None) -> str:
    if loss is None:
        return f"Elevation of {standing.lab.name}: {_stock(standing)}"
    return f"Elevation of {standing.lab.name} with {_listed(loss.lost) if loss.lost else 'nothing'} out: {count_line(loss)}"


def _services(
    frame: Frame, loss: Loss | None, y: float, circles: Sequence[Sequence[str]]
) -> tuple[float, list[Svg], tuple[Sequence[str], ...]]:
    """All rows of services, the y below them, and the circles that could be drawn."""
    standing = frame.states.standing
    copies: dict[str, list[Copy]] = {}
    for copy in standing.lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    leans = leans_of(standing)
    effects = {effect.service: effect for effect in loss.effects} if loss is not None else {}
    props: dict[str, list[str]] = {}
    for stand_in in standing.lab.of(StandIn):
        for name in stand_in.for_.ids if stand_in.for_ else ():
            props.setdefault(name, []).append(stand_in.id)
    rows: Sequence[beams.Beam] = [
        beams.beam(
            frame,
            name,
            _own(standing, leans[name], copies.get(name, ())),
            copies.get(name) or _way(standing, name, copies),
            effects.get(name),
        )
        for name in ordered(standing, loss)
    ]
    names = {number_: _long_name(frame, number_) for number_ in range(len(frame.columns.columns))}
    rows = beams.folded(rows, MOST_ROWS, names)
    pitch = min(max(650.0 / max(len(rows), 1), 17.0), 36.0)
    parts = [frame.course_title("services", y, y + pitch * len(rows) - 4)] if rows else []
    at: dict[str, float] = {}
    for position, row in enumerate(rows):
        top = y + position * pitch
        parts.append(
            beams.drawn(frame, row, top, pitch, [prop for name in row.names for prop in props.get(name, ())])
        )
        for name in row.names:
            at[name] = top + min(pitch * 0.2, 6)
    drawn = tuple(circle for circle in circles if any(name in at for name in circle))
    parts.extend(_arches(frame, drawn, at))
    return y + pitch * len(rows) + 8, parts, drawn


def _own(standing: Standing, leans: Sequence[str], copies: Sequence[Copy]) -> tuple[str, ...]:
    """What a service leans on besides what its pool does, which stands in the pool's own row."""
    pools = [
        standing.lab.things[ThingId(name)]
        for name in dict.fromkeys(copy.pool for copy in copies if copy.pool)
    ]
    through = {each for pool in pools if isinstance(pool, Pool) and pool.store for each in pool.store.ids}
    for pool in pools:
        needs = pool.needs
        for need in (*needs.run_and_start, *needs.to_run, *needs.to_start) if needs else ():
            through.update(need.of.ids)
    return tuple(each for each in leans if each not in through)


def _long_name(frame: Frame, column: int) -> str:
    """What a column is called away from its group."""
    span = next(
        (each for each in (*frame.columns.racks, *frame.columns.groups) if column in each.columns), None
    )
    return span.name if span is not None else frame.columns.columns[column].name


def _way(standing: Standing, alarm: str, copies: Mapping[str, Sequence[Copy]]) -> tuple[Copy, ...]:
    """An alarm has no copies: it stands where the services on its way do."""
    steps = [each for lean in standing.support.things[alarm].leans for each in lean.on]
    return tuple(copy for step in steps for copy in copies.get(step, ()))


def _arches(frame: Frame, circles: Sequence[Sequence[str]], at: Mapping[str, float]) -> list[Svg]:
    """Arches at the left over the rows that need each other to start, the widest outermost.

    A service that waits for itself has an arch of its own, as high as its row.
    """
    found = []
    spans = sorted(
        (
            (min(ys), max(ys), circle)
            for circle in circles
            if (ys := [at[name] for name in circle if name in at])
        ),
        key=lambda each: (each[0] - each[1], each[0]),
    )
    for position, (top, bottom, circle) in enumerate(spans[:MOST_ARCHES]):
        right = frame.arches + 32
        reach = 34.0 - position * 6
        if bottom - top < 1:
            top, bottom, reach = top - 5, bottom + 5, 14.0
        curve = (
            f"M{number(right)} {number(top)}C{number(right - reach)} {number(top)} "
            f"{number(right - reach)} {number(bottom)} {number(right)} {number(bottom)}"
        )
        parts = [
            path(curve, fill="none", stroke=colour, stroke_width=thick)
            for colour, thick in (("ink", 4.2), ("paper", 2.0))
        ]
        for name in circle:
            if name in at:
                end = frame.names - min(width_of(name, 13.5), frame.names - frame.arches - 40) - 6
                parts.append(line(right, at[name], end, at[name], stroke="ink", stroke_width=0.8))
        alone = len(set(circle)) == 1
        says = f"waits for itself: {circle[0]}" if alone else f"need each other to start: {', '.join(circle)}"
        found.append(thing(" ".join(circle), *parts, says=says, word="circle", state="stands"))
    return found


def _plumb(frame: Frame, top: float, bottom: float) -> list[Svg]:
    """A dotted line down every upright that carries something."""
    hosts = {copy.host for copy in frame.states.standing.lab.of(Copy)}
    return [
        line(x, top, x, bottom, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4")
        for x in frame.columns.xs(sorted(hosts))
    ]


def _below(frame: Frame, machines_top: float, y: float) -> tuple[list[Svg], float]:
    """Wire, power, ground and what is outside."""
    standing = frame.states.standing
    runtimes: dict[str, str] = {
        ups.id: time(hold)
        for ups in standing.lab.of(Ups)
        if 0 < (hold := _hold(standing, ups.id)) < float("inf")
    }
    cables = laid(wire(standing.lab, frame.columns), frame.columns, left=frame.left, right=frame.right)
    feeds = laid(
        power(standing.lab, frame.columns, runtimes),
        frame.columns,
        left=frame.left,
        right=frame.right,
        above=cables.bars,
    )
    above = {name: bar for name, bar in feeds.bars.items() if bar.level != GROUND}
    outside = {name: bar for name, bar in feeds.bars.items() if bar.level == GROUND}
    parts: list[Svg] = []
    tops: dict[str, float] = {}
    first = y
    for title, bars, pitch in (("wire", cables.bars, footing.WIRE), ("power", above, footing.POWER)):
        if not bars:
            continue
        y += 8
        rows = max(bar.row for bar in bars.values()) + 1
        tops.update({name: y + bar.row * pitch for name, bar in bars.items()})
        parts.append(frame.course_title(title, y - 4, y + rows * pitch - 4))
        room = frame.width - frame.serves - 14
        parts.append(label(frame.serves, y + 10, _many(bars), size=10.5, fill="faint", room=room))
        y += rows * pitch + 2
    soil = y + 3
    y = soil + 16
    if outside:
        base = min(bar.row for bar in outside.values())
        tops.update({name: y + (bar.row - base) * footing.OUTSIDE for name, bar in outside.items()})
        rows = max(bar.row for bar in outside.values()) - base + 1
        parts.append(frame.course_title("outside", y - 2, y + rows * footing.OUTSIDE - 4))
        y += rows * footing.OUTSIDE
    bars = {**cables.bars, **feeds.bars}
    middles = [column.x for column in frame.columns.columns]
    plumb = [
        line(x, first - 2, x, soil, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4") for x in middles
    ]
    posts = [
        footing.tie(frame, each, bars, tops, cable=False)
        for each in tied(feeds.ties, bars, middles, from_right=False)
    ]
    pairs = [
        footing.tie(frame, each, bars, tops, cable=True)
        for each in tied(cables.ties, bars, middles, from_right=True)
    ]
    drawn = [footing.bar(frame, bar, tops[name]) for name, bar in bars.items()]
    return [
        *plumb,
        *posts,
        *pairs,
        footing.ground(frame.left - 10, frame.right + 10, soil),
        *parts,
        *drawn,
    ], y


def _many(bars: Mapping[str, Bar]) -> str:
    """How many bars of each word: "2 strips · 1 battery"."""
    ones = {"ups": "battery", "switch": "switch"}
    manies = {"ups": "batteries", "switch": "switches"}
    counts: dict[str, int] = {}
    for bar in bars.values():
        counts[bar.word] = counts.get(bar.word, 0) + 1
    return " · ".join(
        f"{count} {ones.get(word, word) if count == 1 else manies.get(word, word + 's')}"
        for word, count in counts.items()
    )


def _hold(standing: Standing, ups: str) -> float:
    """How long a battery carries what it usually does, seconds."""
    return max(
        (lean.hold_s for lean in standing.support.things[ups].leans if lean.role is Role.POWER), default=0.0
    )
