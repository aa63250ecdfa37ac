"""Which machines stand beside which, and where on the sheet?

Machines that share a room, then a rack, then an enclosure stand together; what nothing houses stands by what
feeds it. Where a sheet is too narrow for every machine, those of one enclosure or of one name stem fold into
one column, and then those of one rack; a fold says how many it holds.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Node, Part, Powered, Rack, Room, ThingId

NARROWEST = 9.0
"""The least width of a column, where a sheet has the width that it is told."""
READABLE = 13.0
"""The least where it may choose its width: a machine's name fits into its cell."""
OPEN = 15.0
"""The least width where a group is opened: the sheet grows, so that every machine can be read and touched."""
BOX = 22.0
"""The least width of an enclosure that is folded: its name is turned, and the square that opens it has room."""
FOLD = 44.0
"""The least width of a folded rack, and of any fold beside one that is opened."""
WIDEST = 170.0
"""The most, so that three machines do not look like three halls."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A node and what it shares.

    Attributes:
        name: its id.
        room: id of its room, or empty.
        rack: id of its rack, or empty.
        box: id of its enclosure, or empty.
        feeds: ids of what it takes its power from, its enclosure's where it has none of its own.
    """

    name: str
    room: str
    rack: str
    box: str
    feeds: tuple[str, ...]

    @property
    def stem(self) -> str:
        """Its name without the number at the end."""
        return re.sub(r"[-_ .]?\d+$", "", self.name) or self.name

    @property
    def group(self) -> tuple[str, ...]:
        """What stands side by side without a gap."""
        return (
            (self.room, self.rack, self.box)
            if self.box
            else (self.room, self.rack, "", self.stem, *self.feeds)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One upright of the drawing.

    Attributes:
        nodes: the nodes that it holds; more than one where they are folded.
        name: what it is called on the sheet.
        x: its middle.
        width: of its cell.
        group: what opens it where several nodes are folded into it: the id of what they share, else of the first.
    """

    nodes: tuple[str, ...]
    name: str
    x: float
    width: float
    group: str = ""

    @property
    def left(self) -> float:
        """Its left edge."""
        return self.x - self.width / 2

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Columns that share something, from edge to edge.

    Attributes:
        name: id of what they share; a name stem where it is only that.
        word: `enclosure`, `rack`, `room`, or empty for a stem.
        columns: their numbers, in a row without gaps.
        left: edge.
        right: edge.
        nodes: how many nodes there are in them.
    """

    name: str
    word: str
    columns: tuple[int, ...]
    left: float
    right: float
    nodes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """All uprights.

    Attributes:
        columns: from left to right.
        groups: enclosures, and loose nodes of one stem.
        racks: dimension lines.
        rooms: dimension lines.
        at: number of the column that holds a node.
        within: number of the column that holds all nodes of an enclosure, rack or room.
        opened: groups that would be folded and are not.
        folded: `` (none), `enclosures` or `racks`.
    """

    columns: tuple[Column, ...]
    groups: tuple[Span, ...]
    racks: tuple[Span, ...]
    rooms: tuple[Span, ...]
    at: Mapping[str, int]
    within: Mapping[str, int]
    opened: tuple[Span, ...]
    folded: str

    @property
    def left(self) -> float:
        """Edge of the first column."""
        return self.columns[0].left if self.columns else 0.0

    @property
    def right(self) -> float:
        """Edge of the last column."""
        return self.columns[-1].right if self.columns else 0.0

    @property
    def pitch(self) -> float:
        """Width of the narrowest column."""
        return min((column.width for column in self.columns), default=WIDEST)

    def of(self, nodes: Iterable[str]) -> tuple[int, ...]:
        """Numbers of the columns of some nodes, from left to right; what is no node is passed over."""
        return tuple(sorted({self.at[node] for node in nodes if node in self.at}))

    def holding(self, name: str) -> int | None:
        """Number of the one column that holds a node, or all nodes of what houses some."""
        found = self.at.get(name)
        return self.within.get(name) if found is None else found

    def xs(self, nodes: Iterable[str]) -> tuple[float, ...]:
        """Middles of the columns of some nodes."""
        return tuple(self.columns[number].x for number in self.of(nodes))


def machines(lab: Lab) -> tuple[Machine, ...]:
    """Every node with what it shares, in the order in which they stand."""
    found = []
    for node in lab.of(Node):
        place = {Room.IS: "", Rack.IS: "", Enclosure.IS: ""}
        feeds = node.fed_by.ids if node.fed_by else ()
        at: Part = node
        for _ in range(8):
            held = lab.things.get(ThingId(at.in_.ids[0])) if at.in_ is not None and at.in_.ids else None
            if not isinstance(held, Part):
                break
            place[held.IS] = held.id
            if not feeds and isinstance(held, Powered) and held.fed_by:
                feeds = held.fed_by.ids
            at = held
        found.append(
            Machine(
                name=node.id,
                room=place["room"],
                rack=place["rack"],
                box=place["enclosure"],
                feeds=tuple(dict.fromkeys(feeds)),
            )
        )
    first: dict[object, int] = {}
    for machine in found:
        for key in (machine.room, (machine.room, machine.rack), machine.feeds, machine.group):
            first.setdefault(key, len(first))
    return tuple(
        sorted(
            found,
            key=lambda each: (
                not each.room and not each.rack,
                first[each.room],
                first[each.room, each.rack],
                first[each.feeds],
                first[each.group],
            ),
        )
    )


def room_for(lab: Lab, most: float) -> float:
    """The least room in which every upright can be read, px; of the ways to fold, the first that fits into `most`."""
    every = machines(lab)
    room = most
    for folded in ("", "enclosures", "racks"):
        sets = _folded(every, folded)
        fold = FOLD if folded == "racks" else BOX
        uprights = sum(fold if len(nodes) > 1 else OPEN for nodes in sets)
        room = uprights + sum(_all_gaps(sets, folded, uprights))
        if room <= most:
            break
    return min(room, most)


def columns(
    lab: Lab, *, left: float, right: float, open_: Collection[str] = (), least: float = NARROWEST
) -> Columns:
    """The uprights between two edges.

    Args:
        lab: the lab.
        left: where the first may begin.
        right: where the last must end; where groups are opened it may lie further right.
        open_: groups that are not to be folded, by `Column.group`.
        least: the least width of a column before some fold.
    """
    every = machines(lab)
    for folded in ("", "enclosures", "racks"):
        sets = _folded(every, folded)
        whole = list(sets)
        if folded and open_:
            sets = [each for nodes in whole for each in _opened(nodes, folded, open_)]
        if _pitch(whole, folded, left, right) >= least:
            break
    gaps = _all_gaps(sets, folded, right - left)
    pitch = _pitch(sets, folded, left, right)
    opens = len(sets) > len(whole)
    pitch = min(max(pitch, OPEN if opens else 2.0), WIDEST)
    found: list[Column] = []
    x = left
    for number, nodes in enumerate(sets):
        x += gaps[number - 1] if number else 0.0
        wide = max(pitch, FOLD) if opens and len(nodes) > 1 else pitch
        found.append(
            Column(
                nodes=tuple(node.name for node in nodes),
                name=_name(nodes, folded),
                x=x + wide / 2,
                width=wide,
                group=_group_id(nodes, folded) if len(nodes) > 1 else "",
            )
        )
        x += wide
    home = [nodes[0] for nodes in sets]
    inside = {node.name: _group_id(nodes, folded) for nodes in whole if len(nodes) > 1 for node in nodes}
    opened = [inside.get(nodes[0].name, "") if len(nodes) == 1 and folded else "" for nodes in sets]
    return Columns(
        columns=tuple(found),
        groups=_spans(
            found,
            home,
            [_group(node, "" if by else folded) for node, by in zip(home, opened, strict=True)],
        ),
        racks=_spans(found, home, [("rack", node.rack) for node in home]),
        rooms=_spans(found, home, [("room", node.room) for node in home]),
        at={node: number for number, column in enumerate(found) for node in column.nodes},
        within=_within(sets),
        opened=_spans(found, home, [("opened", each) for each in opened]),
        folded=folded,
    )


def _folded(every: Sequence[Machine], folded: str) -> list[list[Machine]]:
    sets: dict[object, list[Machine]] = {}
    for machine in every:
        key: object = machine.name
        if folded == "enclosures":
            key = machine.group
        elif folded == "racks":
            key = (machine.room, machine.rack) if machine.room or machine.rack else machine.group
        sets.setdefault(key, []).append(machine)
    return list(sets.values())


def _group_id(nodes: Sequence[Machine], folded: str) -> str:
    """What opens a fold: the id of what its nodes share; where that is only a stem, of the first node."""
    first = nodes[0]
    return (first.rack or first.room if folded == "racks" else first.box) or first.name


def _opened(nodes: list[Machine], folded: str, open_: Collection[str]) -> list[list[Machine]]:
    """A fold as it is, or each of its nodes by itself."""
    return [[each] for each in nodes] if _group_id(nodes, folded) in open_ else [nodes]


def _pitch(sets: Sequence[Sequence[Machine]], folded: str, left: float, right: float) -> float:
    return (right - left - sum(_all_gaps(sets, folded, right - left))) / max(len(sets), 1)


def _all_gaps(sets: Sequence[Sequence[Machine]], folded: str, width: float) -> list[float]:
    gap, far = _gaps(len(sets), width)
    return [_gap(one, other, folded, gap, far) for one, other in pairwise(sets)]


def _within(sets: Sequence[Sequence[Machine]]) -> Mapping[str, int]:
    """What houses nodes of one column only."""
    found: dict[str, set[int]] = {}
    for number, nodes in enumerate(sets):
        for node in nodes:
            for name in (node.box, node.rack, node.room):
                if name:
                    found.setdefault(name, set()).add(number)
    return {name: next(iter(numbers)) for name, numbers in found.items() if len(numbers) == 1}


def _gaps(count: int, width: float) -> tuple[float, float]:
    """Between groups, and between racks."""
    room = width / max(count, 1)
    return min(max(room * 0.25, 2.0), 12.0), min(max(room * 0.6, 5.0), 26.0)


def _gap(one: Sequence[Machine], other: Sequence[Machine], folded: str, gap: float, far: float) -> float:
    if (one[0].room, one[0].rack) != (other[0].room, other[0].rack):
        return far
    return 0.0 if one[0].group == other[0].group else gap


def _name(nodes: Sequence[Machine], folded: str) -> str:
    first = nodes[0]
    if len(nodes) == 1:
        return first.name.removeprefix(f"{first.box}.") if first.box else first.name
    if folded == "racks" and (first.rack or first.room):
        return first.rack or first.room
    return first.box or first.stem


def _group(node: Machine, folded: str) -> tuple[str, ...]:
    if folded:
        return ("", "")
    return ("enclosure", node.box) if node.box else ("", node.stem, node.room, node.rack, *node.feeds)


def _spans(
    found: Sequence[Column], home: Sequence[Machine], keys: Sequence[tuple[str, ...]]
) -> tuple[Span, ...]:
    """Runs of columns with one key; those without a name give none."""
    spans: list[Span] = []
    start = 0
    for end in range(1, len(found) + 1):
        if end < len(found) and keys[end] == keys[start] and _near(home[start], home[end]):
            continue
        word, name = keys[start][:2]
        if name:
            spans.append(
                Span(
                    name=name,
                    word=word,
                    columns=tuple(range(start, end)),
                    left=found[start].left,
                    right=found[end - 1].right,
                    nodes=sum(len(column.nodes) for column in found[start:end]),
                )
            )
        start = end
    return tuple(spans)


def _near(one: Machine, other: Machine) -> bool:
    return one.room == other.room
