"""Where do the bars of wire and power lie, so that none covers another?

A switch, strip, battery or circuit is a bar under the machines that it serves; each bar stands on the bars that
feed it. Bars that do not overlap share a row, so forty switches of twenty racks take a few rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from falsework.faces.report.columns import Columns
from falsework.faces.report.svg import width_of
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Circuit,
    Enclosure,
    Node,
    Outside,
    Part,
    Powered,
    Strip,
    Supply,
    Switch,
    Ups,
)

TYPE = 11.0
"""Type size inside a bar."""
APART = 10.0
"""Between two bars of one row."""
MOST_NAMED = 28
"""With more bars than this, a bar is no longer made wide enough for its name."""
GROUND = 99
"""The level of what is outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where a column meets a bar.

    Attributes:
        column: number of the column.
        parts: the cables or supplies that join them.
    """

    column: int
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar.

    Attributes:
        name: id of the thing; of the cable, for a cable from node to node.
        word: what it is.
        says: its label.
        joints: where columns meet it.
        level: 0 for the uppermost course.
        left: its edges, once laid.
        right: its edges, once laid.
        row: counted from the top, once laid.
    """

    name: str
    word: str
    says: str
    joints: tuple[Joint, ...] = ()
    level: int = 0
    left: float = 0.0
    right: float = 0.0
    row: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """What joins two bars.

    Attributes:
        upper: id of the bar that stands, or of one end of a cable.
        lower: id of the bar that it stands on, or of the other end.
        parts: the cables or supplies between them; empty for a plug.
        x: where, once laid.
    """

    upper: str
    lower: str
    parts: tuple[str, ...] = ()
    x: float = 0.0


@dataclass(slots=True)
class Plan:
    """Bars and ties on their way to being laid."""

    bars: dict[str, Bar] = field(default_factory=dict)
    ties: list[Tie] = field(default_factory=list)


def wire(lab: Lab, columns: Columns) -> Plan:
    """Switches, cables between nodes, and the cables between switches."""
    plan = Plan()
    switches = {switch.id for switch in lab.of(Switch)}
    joints: dict[str, dict[int, list[str]]] = {switch.id: {} for switch in lab.of(Switch)}
    pairs: dict[tuple[str, str], list[str]] = {}
    direct: list[tuple[Cable, list[int]]] = []
    for cable in lab.of(Cable):
        ends = [machine for machine, _ in cable.ends]
        inside = [each for each in ends if each in switches]
        if len(inside) == 2:
            one, other = sorted((str(each) for each in ends), key=list(joints).index)
            pairs.setdefault((one, other), []).append(cable.id)
        elif len(inside) == 1:
            for each in columns.of(ends):
                joints[inside[0]].setdefault(each, []).append(cable.id)
        else:
            direct.append((cable, list(columns.of(ends))))
    for switch in lab.of(Switch):
        plan.bars[switch.id] = Bar(
            name=switch.id,
            word=switch.IS,
            says=switch.id,
            joints=_joints(joints[switch.id]),
            level=0 if joints[switch.id] else 1,
        )
    if any(bar.level == 0 for bar in plan.bars.values()):
        for cable, ends_at in direct:
            if len(ends_at) == 2:
                plan.bars[cable.id] = _direct(cable, ends_at)
    else:
        for cable, ends_at in direct:
            plan.bars[cable.id] = _direct(cable, ends_at)
    order = list(plan.bars)
    for (one, other), cables in pairs.items():
        upper, lower = sorted((one, other), key=lambda name: (plan.bars[name].level, order.index(name)))
        plan.ties.append(Tie(upper=upper, lower=lower, parts=tuple(cables)))
    return plan


def _direct(cable: Cable, ends_at: Sequence[int]) -> Bar:
    joints = tuple(Joint(column=each, parts=(cable.id,)) for each in ends_at)
    return Bar(name=cable.id, word=cable.IS, says="", joints=joints)


def power(lab: Lab, columns: Columns, runtimes: Mapping[str, str]) -> Plan:
    """Strips, batteries, circuits and, lowest, everything outside, with what stands on what.

    Args:
        lab: the lab.
        columns: the uprights.
        runtimes: how long each battery runs, in words.
    """
    plan = Plan()
    sources: list[Powered] = [thing for thing in lab.of(Powered) if isinstance(thing, Circuit | Ups | Strip)]
    supplies: dict[tuple[str, str], list[str]] = {}
    for supply in lab.of(Supply):
        supplies.setdefault((supply.holder, supply.source), []).append(supply.id)
    joints: dict[str, dict[int, list[str]]] = {}
    inside = _inside(lab)
    for thing in lab.of(Powered):
        for source in dict.fromkeys(thing.fed_by.ids if thing.fed_by else ()):
            parts = tuple(supplies.get((thing.id, source), ()))
            if isinstance(thing, Node | Enclosure):
                for each in columns.of((thing.id, *inside.get(thing.id, ()))):
                    joints.setdefault(source, {}).setdefault(each, []).extend(parts)
            else:
                plan.ties.append(Tie(upper=thing.id, lower=source, parts=parts))
    levels = _levels(sources)
    for part in (*sources, *lab.of(Outside)):
        plan.bars[part.id] = Bar(
            name=part.id,
            word=part.IS,
            says=_called(part, runtimes),
            joints=_joints(joints.get(part.id, {})),
            level=levels.get(part.id, GROUND),
        )
    return plan


def _called(thing: Part, runtimes: Mapping[str, str]) -> str:
    if isinstance(thing, Outside):
        return thing.id
    word = {"ups": "battery"}.get(thing.IS, thing.IS)
    name = thing.id if word in thing.id.lower() or thing.IS in thing.id.lower() else f"{word} {thing.id}"
    return f"{name}, {runtimes[thing.id]}" if thing.id in runtimes else name


def _inside(lab: Lab) -> Mapping[str, tuple[str, ...]]:
    """The nodes of each enclosure that have no feed of their own."""
    found: dict[str, list[str]] = {}
    for node in lab.of(Node):
        if node.in_ is not None and node.fed_by is None:
            found.setdefault(node.in_.ids[0], []).append(node.id)
    return {name: tuple(nodes) for name, nodes in found.items()}


def _joints(found: Mapping[int, Iterable[str]]) -> tuple[Joint, ...]:
    return tuple(
        Joint(column=each, parts=tuple(dict.fromkeys(parts))) for each, parts in sorted(found.items())
    )


def _levels(sources: Sequence[Powered]) -> Mapping[str, int]:
    """Strips uppermost, circuits on the ground, and nothing above what it feeds."""
    level: dict[str, int] = {thing.id: {"strip": 0, "ups": 1, "circuit": 2}[thing.IS] for thing in sources}
    for _ in sources:
        for thing in sources:
            for source in thing.fed_by.ids if thing.fed_by else ():
                if source in level and level[source] <= level[thing.id] <= len(sources) + 2:
                    level[source] = level[thing.id] + 1
    used = sorted(set(level.values()))
    return {name: used.index(each) for name, each in level.items()}


def laid(
    plan: Plan, columns: Columns, *, left: float, right: float, above: Mapping[str, Bar] | None = None
) -> Plan:
    """The bars with their edges and rows.

    Args:
        plan: what to lay.
        columns: the uprights.
        left: the edge of the sheet's middle.
        right: the other edge.
        above: bars laid before, of which some may stand on these.
    """
    above = above or {}
    spans = {name: _span(bar, columns) for name, bar in plan.bars.items()}
    for tie in plan.ties:
        if tie.lower in spans and tie.upper in above:
            bar = above[tie.upper]
            foot = spans[tie.lower]
            spans[tie.lower] = (
                (bar.left, min(bar.left + 60, bar.right))
                if foot is None
                else _reaching(foot, (bar.left, bar.right))
            )
    for _ in range(6):  # a bar spans what stands on it, which may itself stand on something
        for tie in plan.ties:
            upper, lower = spans.get(tie.upper), spans.get(tie.lower)
            if tie.upper not in spans or tie.lower not in spans:
                continue
            if upper is None:
                spans[tie.upper] = lower
            elif lower is None:
                spans[tie.lower] = upper
            elif plan.bars[tie.upper].level < plan.bars[tie.lower].level:
                spans[tie.lower] = min(lower[0], upper[0]), max(lower[1], upper[1])
            else:
                spans[tie.lower] = _reaching(lower, upper)
    bars: dict[str, Bar] = {}
    free: dict[str, Bar] = {}
    for name, bar in plan.bars.items():
        start, end = spans[name] or (left, left)
        named = bool(bar.says) and (len(plan.bars) <= MOST_NAMED or bar.level == GROUND)
        least = width_of(bar.says, TYPE) + 16 if named else 8
        wide = max(end - start, least)
        start = max(min(start, right - wide), left)
        done = replace(bar, left=start, right=min(start + wide, right))
        (free if spans[name] is None and bar.level == GROUND else bars)[name] = done
    return Plan(
        bars={**_in_rows(bars), **_in_line(free, bars, max(columns.left, left), right)}, ties=plan.ties
    )


def _span(bar: Bar, columns: Columns) -> tuple[float, float] | None:
    if not bar.joints:
        return None
    ends = [columns.columns[joint.column] for joint in bar.joints]
    return ends[0].left, ends[-1].right


def _reaching(span: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """A span made long enough to pass under another."""
    if span[1] < other[0] + 24:
        return span[0], other[0] + 24
    if span[0] > other[1] - 24:
        return other[1] - 24, span[1]
    return span


def _in_rows(bars: Mapping[str, Bar]) -> dict[str, Bar]:
    """Each bar in the first row of its level where it has room."""
    found: dict[str, Bar] = {}
    base = 0
    for level in sorted({bar.level for bar in bars.values()}):
        rows: list[list[Bar]] = []
        for bar in sorted((bar for bar in bars.values() if bar.level == level), key=lambda each: each.left):
            row = next(
                (number for number, ends in enumerate(rows) if ends[-1].right + APART <= bar.left), len(rows)
            )
            if row == len(rows):
                rows.append([])
            rows[row].append(bar)
            found[bar.name] = replace(bar, row=base + row)
        base += len(rows)
    return {name: found[name] for name in bars}


def _in_line(free: Mapping[str, Bar], bars: Mapping[str, Bar], left: float, right: float) -> dict[str, Bar]:
    """What stands on its own side by side, in rows below all others."""
    row = max((bar.row for bar in _in_rows(bars).values()), default=-1) + 1
    x = left
    found: dict[str, Bar] = {}
    for bar in free.values():
        wide = bar.right - bar.left
        if x > left and x + wide > right:
            x, row = left, row + 1
        found[bar.name] = replace(bar, left=x, right=x + wide, row=row)
        x += wide + APART
    return found


def tied(
    ties: Sequence[Tie], bars: Mapping[str, Bar], avoid: Sequence[float], *, from_right: bool
) -> tuple[Tie, ...]:
    """The ties with their places, apart from each other and, where there is room, from the columns.

    Args:
        ties: between bars of any plans.
        bars: every bar, laid.
        avoid: middles of the columns.
        from_right: whether to seek from the right end of where two bars overlap, or from the left.
    """
    used: list[float] = []
    found = []
    for tie in ties:
        if tie.upper not in bars or tie.lower not in bars:
            continue
        upper, lower = bars[tie.upper], bars[tie.lower]
        low, high = max(upper.left, lower.left) + 5, min(upper.right, lower.right) - 5
        if high < low:
            low, high = sorted(((upper.left + upper.right) / 2, (lower.left + lower.right) / 2))
        steps = [low + 2.0 * number for number in range(int((high - low) / 2) + 1)] or [low]
        if from_right:
            steps.reverse()
        x = next(
            (
                x
                for x in steps
                if all(abs(x - each) >= 7 for each in used) and all(abs(x - each) >= 4 for each in avoid)
            ),
            next((x for x in steps if all(abs(x - each) >= 4 for each in used)), steps[0]),
        )
        used.append(x)
        found.append(replace(tie, x=x))
    return tuple(found)
