"""How do all services stand above each other, and which of them are joined by arches?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.analyses.verdicts import Loss
from falsework.faces.report import beams
from falsework.faces.report.frame import Frame
from falsework.faces.report.keeping import kept
from falsework.faces.report.leaning import leans_of, ordered
from falsework.faces.report.rows import Beam, beam, folded
from falsework.faces.report.svg import Svg, line, number, path, width_of
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Pool
from falsework.support.standing import Standing

MOST_ARCHES = 5
"""More circles than this are told by the report, not drawn."""
MOST_ROWS = 46
"""More services than this fold into courses."""


def services(
    frame: Frame, loss: Loss | None, y: float, circles: Sequence[Sequence[str]]
) -> tuple[float, list[Svg], tuple[Sequence[str], ...]]:
    """All rows of services, the y below them, and the circles that could be drawn."""
    standing = frame.states.standing
    copies: dict[str, list[Copy]] = {}
    for copy in standing.lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    leans = kept(standing, "leans", (), lambda: leans_of(standing))
    effects = {effect.service: effect for effect in loss.effects} if loss is not None else {}
    props: dict[str, list[str]] = {}
    for stand_in in standing.lab.of(StandIn):
        for name in stand_in.for_.ids if stand_in.for_ else ():
            props.setdefault(name, []).append(stand_in.id)
    rows: Sequence[Beam] = [
        beam(
            frame,
            name,
            _own(standing, leans[name], copies.get(name, ())),
            copies.get(name) or _way(standing, name, copies),
            effects.get(name),
        )
        for name in ordered(standing, loss)
    ]
    names = {number_: _long_name(frame, number_) for number_ in range(len(frame.columns.columns))}
    rows = folded(rows, MOST_ROWS, names, frame.open)
    pitch = min(max(650.0 / max(len(rows), 1), 17.0), 36.0)
    parts = [frame.course_title("services", y, y + pitch * len(rows) - 4)] if rows else []
    at: dict[str, float] = {}
    called: dict[str, str] = {}
    for position, row in enumerate(rows):
        top = y + position * pitch
        parts.append(
            beams.drawn(frame, row, top, pitch, [prop for name in row.names for prop in props.get(name, ())])
        )
        for name in row.names:
            at[name] = top + min(pitch * 0.2, 6)
            called[name] = row.says
    drawn = tuple(circle for circle in circles if any(name in at for name in circle))
    parts.extend(_arches(frame, drawn, at, called))
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


def _arches(
    frame: Frame, circles: Sequence[Sequence[str]], at: Mapping[str, float], called: Mapping[str, str]
) -> list[Svg]:
    """Arches at the left over the rows that need each other to start, the widest outermost.

    A service that waits for itself has an arch of its own, as high as its row.

    Args:
        frame: the sheet.
        circles: of services.
        at: where each is drawn.
        called: what the row of each is called.
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
                end = frame.names - min(width_of(called[name], 13.5), frame.names - frame.arches - 40) - 6
                parts.append(line(right, at[name], end, at[name], stroke="ink", stroke_width=0.8))
        alone = len(set(circle)) == 1
        says = f"waits for itself: {circle[0]}" if alone else f"need each other to start: {', '.join(circle)}"
        found.append(frame.thing(circle, *parts, says=says, word="circle", state="stands", named=False))
    return found
