"""Which rows of services are there, what stands in each, and which fold into one where there are too many?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework import units
from falsework.analyses.verdicts import Effect
from falsework.faces.report.frame import Frame
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
        group: what opens it, where it is several services: the first of them, though each of them does.
        opened: what folds it again, where it is the first of several that would be one row.
        state: `stands`, `thin`, `blinks`, `falls` or `lost`; at a moment `waits` and `back` too.
    """

    names: tuple[str, ...]
    word: str
    says: str
    legs: tuple[Leg, ...]
    serves: str
    happens: str
    state: str
    group: str = ""
    opened: str = ""

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
        state, happens = states.verdict(effect)
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
    order = ("stands", "back", "waits", "blinks", "falls", "lost", "out")
    return min(found, key=order.index, default="stands")


def folded(
    rows: Sequence[Beam], most: int, names: Mapping[int, str], open_: Collection[str] = ()
) -> tuple[Beam, ...]:
    """At most so many rows: services with like legs, in like state, become one course.

    Args:
        rows: from top to bottom.
        most: how many rows there is room for.
        names: what each column is called.
        open_: services whose course is not folded.

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
    found_rows: list[Beam] = []
    for group in groups:
        wanted = next((row.says for row in group if row.says in open_), "") if len(group) > 1 else ""
        if wanted:
            found_rows.extend((replace(group[0], opened=wanted), *group[1:]))
        else:
            found_rows.append(_course(group, names))
    return tuple(found_rows)


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
    worst = max(
        rows, key=lambda row: ("stands", "thin", "back", "waits", "blinks", "falls", "lost").index(row.state)
    )
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
        group=rows[0].says,
    )
