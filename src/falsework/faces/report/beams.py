"""How is a service drawn: a beam, a leg for each copy, and its state in words?

A copy that is bound to its machine stands on a flat foot; one that its pool may restart elsewhere stands on a
roller, the draughtsman's sign for a support that may move.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework import units
from falsework.analyses.verdicts import Effect
from falsework.faces.report.frame import Frame
from falsework.faces.report.ink import hatch
from falsework.faces.report.states import said
from falsework.faces.report.svg import Svg, box, label, line, number, path, tag, thing
from falsework.model.services import Copy, Service
from falsework.support.graph import Role
from falsework.support.standing import Standing
from falsework.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One copy of a service, or several on one machine.

    Attributes:
        copies: ids.
        column: number of the column.
        rolls: whether a pool may restart it elsewhere.
        state: as of `States`.
    """

    copies: tuple[str, ...]
    column: int
    rolls: bool
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """One row: a service, an alarm, or several alike.

    Attributes:
        names: ids of the services.
        word: `service` or `alarm`.
        says: its name on the sheet.
        legs: from left to right.
        serves: when it serves, in words.
        happens: what happens, in words.
        state: `stands`, `thin`, `blinks`, `falls` or `lost`.
    """

    names: tuple[str, ...]
    word: str
    says: str
    legs: tuple[Leg, ...]
    serves: str
    happens: str
    state: str

    @property
    def loud(self) -> bool:
        """Whether it is in trouble."""
        return self.state in ("falls", "lost")


def serving(standing: Standing, name: str) -> str:
    """When a service serves: "any of 2", "2 of 3", "any of 2 in 40 s"."""
    service = standing.lab.things.get(name)  # type: ignore[call-overload]  # ids of services are ids of things
    leans = [
        lean
        for lean in standing.support.things[name].leans
        if lean.role is Role.COPIES and "later" in lean.times
    ]
    if not leans:
        return ""
    count, enough = len(leans[0].on), leans[0].enough
    if count == 1:
        return "only copy"
    takes = service.takes_over if isinstance(service, Service) else None
    many = f"any of {count}" if enough == 1 else f"all {count}" if enough == count else f"{enough} of {count}"
    return f"{many} in {units.format(takes, Dimension.TIME)}" if takes else many


def beam(
    frame: Frame, name: str, leans: Sequence[str], copies: Sequence[Copy], effect: Effect | None
) -> Beam:
    """The row of one service or alarm."""
    states = frame.states
    standing = states.standing
    word = standing.support.things[name].word
    if effect is not None:
        state, happens = effect.verdict.word, said(effect)
    elif not standing.baseline.up(name):
        state, happens = "falls", "does not stand"
    else:
        state, happens = (
            "stands",
            ("by way of " if word == "alarm" else "on ") + ", ".join(leans) if leans else "",
        )
    found: dict[tuple[int, bool], list[str]] = {}
    for copy in copies:
        for column in frame.columns.of((copy.host,)):
            found.setdefault((column, bool(copy.pool)), []).append(copy.id)
    legs = tuple(
        Leg(copies=tuple(ids), column=column, rolls=rolls, state=_worst([states.of(each) for each in ids]))
        for (column, rolls), ids in sorted(found.items())
    )
    return Beam(
        names=(name,),
        word=word,
        says=name,
        legs=legs,
        serves=serving(standing, name),
        happens=happens,
        state=state,
    )


def _worst(found: Sequence[str]) -> str:
    """Of several copies on one leg: down only where all are."""
    order = ("stands", "blinks", "falls", "lost", "out")
    return min(found, key=order.index, default="stands")


def drawn(frame: Frame, row: Beam, y: float, pitch: float, props: Sequence[str] = ()) -> Svg:
    """One row.

    Args:
        frame: the sheet.
        row: what to draw.
        y: the top of the beam.
        pitch: height of a row.
        props: names of stand-ins that may hold it meanwhile.
    """
    high = min(max(pitch * 0.36, 5.5), 12.0)
    leg = min(max(pitch * 0.40, 4.0), 15.0)
    size = min(max(pitch * 0.62, 11.5), 13.5)
    middle = y + high / 2
    base = middle + size * 0.34
    slim = row.word == "alarm"
    over = min(max(frame.columns.pitch * 0.36, 4.0), 26.0)
    xs = [frame.columns.columns[each.column].x for each in row.legs]
    parts: list[Svg] = []
    if xs:
        left, right = min(xs) - over, max(xs) + over
        thick = min(max(frame.columns.pitch * 0.16, 2.2), 5.0)
        parts.extend(_legs(frame, row, y + high, leg, thick))
        if props:
            parts.append(_prop(left, y, high + leg, pitch))
        parts.append(
            bar_of(
                frame.prefix,
                row.state,
                left,
                middle - high * 0.25 if slim else y,
                right - left,
                high / 2 if slim else high,
            )
        )
    shades = {"falls": "brick", "lost": "brick", "blinks": "brick", "thin": "ink"}
    parts.append(
        frame.row_words(
            base,
            row.says,
            row.serves,
            row.happens,
            size=size,
            shade="brick" if row.loud else "ink",
            happens_shade=shades.get(row.state, "faint"),
        )
    )
    first = row.names[0] if len(row.names) == 1 else ""
    says = f"{row.says}: {row.serves or 'alarm'}; {row.happens or row.state}"
    if len(row.names) > 1:
        says += f" ({', '.join(row.names)})"
    if props:
        says += f"; stand-in: {', '.join(props)}"
    return thing(
        first or " ".join(row.names),
        *parts,
        says=says,
        word=row.word,
        state=row.state,
        prefix=frame.prefix if first else "",
    )


def _legs(frame: Frame, row: Beam, top: float, high: float, thick: float) -> list[Svg]:
    found = []
    xs = [frame.columns.columns[each.column].x for each in row.legs]
    taken: dict[int, int] = {}
    for each in row.legs:
        shift = taken.get(each.column, 0) * (thick + 2)
        taken[each.column] = taken.get(each.column, 0) + 1
        x = frame.columns.columns[each.column].x + shift
        down = each.state != "stands"
        stroke = "brick" if down else "ink"
        dash = "2 2" if down else None
        shape = [
            line(
                x,
                top,
                x,
                top + high - (2 * thick * 0.45 if each.rolls else 0),
                stroke=stroke,
                stroke_width=thick,
                stroke_dasharray=dash,
            )
        ]
        if each.rolls:
            radius = thick * 0.62
            shape.append(
                tag("circle", cx=x, cy=top + high, r=radius, fill="paper", stroke=stroke, stroke_width=1)
            )
        elif not down:
            shape.append(line(x - thick, top + high, x + thick, top + high, stroke=stroke, stroke_width=1))
        apart = min((abs(other - x) for other in xs if abs(other - x) > 1), default=99.0)
        if len(each.copies) > 1 and row.word == "service" and apart > 24:
            shape.append(label(x + thick, top + high, f"×{len(each.copies)}", size=9, fill="faint"))
        name = each.copies[0]
        says = f"{', '.join(each.copies)}: {frame.states.says(name)}" + (
            ", may move within its pool" if each.rolls else ""
        )
        found.append(
            thing(
                name,
                *shape,
                says=says,
                word="copy",
                state=each.state,
                prefix=frame.prefix if len(each.copies) == 1 else "",
            )
        )
    return found


def _prop(left: float, top: float, high: float, pitch: float) -> Svg:
    """A raking prop against the end of a beam."""
    foot = left - min(pitch * 0.6, 12)
    return line(left, top + 2, foot, top + high, stroke="faint", stroke_width=2.4, stroke_dasharray="3 1.5")


def bar_of(prefix: str, state: str, x: float, y: float, width: float, high: float) -> Svg:
    """The bar itself, its state told by filling and by breaks."""
    if state == "stands":
        return box(x, y, width, high, fill="ink")
    if state == "thin":
        return box(x, y, width, high, fill=hatch(prefix, "thin"), stroke="ink", stroke_width=1.1)
    if state == "blinks":
        return Svg(
            box(x, y, width, high, fill="paper")
            + box(x, y, width, high, fill=hatch(prefix, "blinks"))
            + line(x, y + high, x + width, y + high, stroke="ink", stroke_width=0.8)
        )
    bar = box(
        x,
        y,
        width,
        high,
        fill=hatch(prefix, "lost" if state == "lost" else "falls"),
        stroke="brick",
        stroke_width=1.2,
    )
    # A crack through the middle: it no longer carries.
    at, half = x + width / 2, high / 2
    zigzag = f"M{number(at + 2)} {number(y - 2)}l-3 {number(half)}l3 {number(half * 0.5)}l-3 {number(half * 0.5 + 3.5)}"
    return Svg(
        bar
        + path(zigzag, fill="none", stroke="paper", stroke_width=3.4)
        + path(zigzag, fill="none", stroke="brick", stroke_width=0.9)
    )


def folded(rows: Sequence[Beam], most: int, names: Mapping[int, str]) -> tuple[Beam, ...]:
    """At most so many rows: services with like legs, in like state, become one course.

    Args:
        rows: from top to bottom.
        most: how many rows there is room for.
        names: what each column is called.

    Returns:
        Rows in the same order; a course stands where its first service did. Those in trouble fold last.
    """
    if len(rows) <= most:
        return tuple(rows)
    for coarse in (False, True):
        found: dict[object, list[Beam]] = {}
        for row in rows:
            key = (
                row.word,
                row.state,
                _where(row, names)
                if coarse
                else tuple((leg.column, leg.rolls, leg.state) for leg in row.legs),
            )
            found.setdefault(key, []).append(row)
        if len(found) <= most:
            break
    groups = list(found.values())
    if len(groups) > most:
        kept, rest = groups[: most - 1], groups[most - 1 :]
        groups = [*kept, [row for group in rest for row in group]]
    return tuple(_course(group, names) for group in groups)


def _where(row: Beam, names: Mapping[int, str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names[leg.column] for leg in row.legs))


def _course(rows: Sequence[Beam], names: Mapping[int, str]) -> Beam:
    if len(rows) == 1:
        return rows[0]
    legs: dict[tuple[int, bool], list[Leg]] = {}
    for row in rows:
        for leg in row.legs:
            legs.setdefault((leg.column, leg.rolls), []).append(leg)
    where = tuple(dict.fromkeys(names[column] for column, _ in sorted(legs)))
    between = " and " if len(where) == 2 else " to "
    on = f" on {between.join(dict.fromkeys((where[0], where[-1])))}" if where else ""
    worst = max(rows, key=lambda row: ("stands", "thin", "blinks", "falls", "lost").index(row.state))
    alike = {row.happens for row in rows}
    some = ", ".join(row.says for row in rows)
    happens = worst.happens if len(alike) == 1 and worst.state != "stands" else some
    return Beam(
        names=tuple(name for row in rows for name in row.names),
        word=rows[0].word,
        says=f"{len(rows)} {rows[0].word}s{on}",
        legs=tuple(
            Leg(
                copies=tuple(copy for leg in each for copy in leg.copies),
                column=column,
                rolls=rolls,
                state=_worst([leg.state for leg in each]),
            )
            for (column, rolls), each in sorted(legs.items())
        ),
        serves=rows[0].serves if len({row.serves for row in rows}) == 1 else "",
        happens=happens,
        state=worst.state,
    )
