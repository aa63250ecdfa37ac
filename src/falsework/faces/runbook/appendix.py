"""What must be on paper to find one's way when nothing answers: addresses, ports, outlets, places, keys, people?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from falsework import units
from falsework.faces.runbook.document import Chapter, Table
from falsework.faces.runbook.wording import names, said
from falsework.model.forms import Bound
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Circuit,
    Enclosure,
    Network,
    Node,
    Outside,
    Part,
    Powered,
    Strip,
    Switch,
    ThingId,
    Ups,
)
from falsework.model.people import Alarm, Person, StandIn
from falsework.model.services import Copy, Data, Secret, Service, Store
from falsework.units import Dimension

WRITTEN_IN = "outlet"
"""The head of a column that is worth its room while it is empty: somebody has a pencil."""


def appendix(lab: Lab) -> tuple[Chapter, ...]:
    """Everything that is looked up, from the lab file alone; tables without rows are left out."""
    chapters = (
        Chapter(title="Where things are reached", tables=tuple(_reached(lab))),
        Chapter(title="Which cable goes where", tables=tuple(_wire(lab))),
        Chapter(title="What feeds what", tables=tuple(_power(lab))),
        Chapter(title="Where things stand", tables=tuple(_places(lab))),
        Chapter(title="Where data lie", tables=tuple(_data(lab))),
        Chapter(
            title="Keys and people",
            says=(
                "Of keys only the place is told, never what they are. Keep this paper where only those find it who may.",
            ),
            tables=tuple(_people(lab)),
        ),
    )
    kept = []
    for each in chapters:
        tables = tuple(_tight(table) for table in each.tables if table.rows)
        if tables:
            kept.append(Chapter(title=each.title, says=each.says, tables=tables))
    return tuple(kept)


def _tight(table: Table) -> Table:
    """A table without columns that say nothing; one to be written in by hand stays."""
    kept = [
        column
        for column, name in enumerate(table.head)
        if name == WRITTEN_IN or any(row[column] for row in table.rows)
    ]
    return replace(
        table,
        head=tuple(table.head[column] for column in kept),
        rows=tuple(tuple(row[column] for column in kept) for row in table.rows),
        widths=tuple(table.widths[column] for column in kept),
        mono=frozenset(place for place, column in enumerate(kept) if column in table.mono),
    )


def _ids(bound: Bound | None) -> tuple[str, ...]:
    return bound.ids if bound is not None else ()


def _reached(lab: Lab) -> Iterator[Table]:
    copies: dict[str, list[Copy]] = {}
    for copy in lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    rows = []
    for service in lab.of(Service):
        at = list(service.reached_at)
        if service.floats is not None:
            at.extend(f"{each} (floats)" for each in service.floats.address)
        name = ""
        if service.named is not None:
            source = f" from {names(_ids(service.named.from_))}" if service.named.from_ else ""
            name = f"{service.named.name}{source}"
        hosts = [copy.host or copy.pool for copy in copies.get(service.id, ())]
        rows.append((service.id, "; ".join(at), name, names(dict.fromkeys(hosts), 12)))
    yield Table(
        title="Services",
        head=("service", "address", "name", "copies on"),
        rows=tuple(rows),
        widths=(3, 5, 4, 6),
        mono=frozenset({1, 2}),
    )
    yield Table(
        title="Stand-ins",
        head=("stand-in", "in place of", "address", "runs on"),
        rows=tuple(
            (each.id, names(_ids(each.for_), 12), each.address, names(_ids(each.on)) or "a box of its own")
            for each in lab.of(StandIn)
        ),
        widths=(3, 6, 4, 4),
        mono=frozenset({2}),
    )
    yield Table(
        title="Networks",
        head=("network", "VLAN", "subnet", "by hand", "on request", "kept free", "way out", "over"),
        rows=tuple(
            (
                *(each.id, "" if each.vlan is None else str(each.vlan)),
                "; ".join(part for part in (each.subnet, each.subnet6) if part),
                *(each.fixed, each.pool, each.reserved),
                *(names(_ids(each.way_out)), names(_ids(each.over), 12) or "all switches"),
            )
            for each in lab.of(Network)
        ),
        widths=(5, 4, 10, 6, 7, 7, 5, 7),
        mono=frozenset({2, 3, 4, 5}),
    )


def _wire(lab: Lab) -> Iterator[Table]:
    at: dict[str, list[tuple[str, ...]]] = {}
    switches = {switch.id for switch in lab.of(Switch)}
    for cable in lab.of(Cable):
        ends = [cable.ends, (cable.ends[1], cable.ends[0])]
        told = [(near, far) for near, far in ends if near[0] in switches] or ends[:1]
        looks = ", ".join(
            each for each in (said(cable.length, Dimension.LENGTH), cable.colour, cable.group) if each
        )
        for near, far in told:
            row = (near[1], f"{far[0]}.{far[1]}", said(cable.speed, Dimension.SPEED), looks)
            at.setdefault(near[0], []).append(row)
    order = [*(each for each in at if each in switches), *(each for each in at if each not in switches)]
    for machine in order:
        yield Table(
            title=f"{lab.things[ThingId(machine)].IS} {machine}",
            head=("port", "goes to port", "speed", "cable"),
            rows=tuple(sorted(at[machine], key=lambda row: _natural(row[0]))),
            widths=(2, 6, 3, 5),
            mono=frozenset({0, 1}),
        )


def _natural(name: str) -> tuple[str, int, str]:
    digits = "".join(sign for sign in name if sign.isdecimal() and sign.isascii())
    return name.rstrip("0123456789"), int(digits[:9] or 0), name


def _power(lab: Lab) -> Iterator[Table]:
    rows: list[tuple[str, str, str, str]] = []
    for source in (*lab.of(Outside), *lab.of(Circuit), *lab.of(Ups), *lab.of(Strip)):
        for thing in lab.of(Powered):
            plugs = thing.fed_by.plugs if thing.fed_by is not None else ()
            for number, (plug, outlet) in enumerate(plugs, start=1):
                if plug == source.id:
                    which = f"supply {number} of {len(plugs)}" if len(plugs) > 1 else ""
                    rows.append((source.id, "" if outlet is None else str(outlet), thing.id, which))
    yield Table(
        title="Feeds",
        says="An empty outlet is one that the lab file does not tell: write it in.",
        head=("from", WRITTEN_IN, "feeds", "which supply"),
        rows=tuple(rows),
        widths=(4, 2, 5, 4),
    )
    yield Table(
        title="Circuits",
        head=("circuit", "voltage", "breaker"),
        rows=tuple(
            (each.id, said(each.volts, Dimension.VOLTAGE), said(each.breaker, Dimension.CURRENT))
            for each in lab.of(Circuit)
        ),
        widths=(3, 2, 5),
    )
    yield Table(
        title="Batteries",
        says="Runtimes are those of the lab file, for a new battery; an old one runs shorter.",
        head=("battery", "runs", "tells to stop"),
        rows=tuple(
            (
                each.id,
                "; ".join(
                    f"{units.format(lasts, Dimension.TIME)} at {units.format(load, Dimension.POWER)}"
                    for load, lasts in each.runs
                ),
                names(_ids(each.tells), 12),
            )
            for each in lab.of(Ups)
        ),
        widths=(2, 5, 5),
    )


def _places(lab: Lab) -> Iterator[Table]:
    rows = []
    for part in lab.of(Part):
        if not isinstance(part, Node | Enclosure | Switch | Ups | Strip):
            continue
        place = "" if part.at is None else f"from {units.format(part.at, Dimension.RACK)} up"
        weight = said(part.weighs, Dimension.MASS)
        if part.in_ is not None or weight or part.about:
            rows.append((part.id, names(_ids(part.in_)), place, weight, part.about))
    yield Table(
        title="Machines",
        head=("thing", "in", "rack unit", "weighs", "what it is"),
        rows=tuple(rows),
        widths=(4, 4, 3, 2, 6),
    )
    yield Table(
        title="From outside",
        head=("name", "what it is"),
        rows=tuple((each.id, each.about) for each in lab.of(Outside)),
        widths=(3, 8),
    )


def _data(lab: Lab) -> Iterator[Table]:
    rows = []
    for data in lab.of(Data):
        backups = [
            f"{names(_ids(each.to))}{'' if each.every is None else ' every ' + said(each.every, Dimension.TIME)}, "
            f"{'restored ' + each.restored.isoformat() if each.restored else 'never seen restored'}"
            for each in data.backed_up
        ]
        rows.append(
            (
                *(data.id, names(_ids(data.of)), names(_ids(data.in_))),
                *(said(data.size, Dimension.DATA), "; ".join(backups) or "none"),
            )
        )
    yield Table(
        title="Data",
        head=("data", "of", "lie in", "size", "backed up to"),
        rows=tuple(rows),
        widths=(3, 3, 4, 2, 7),
    )
    yield Table(
        title="Stores",
        head=("store", "layout", "drives", "served by"),
        rows=tuple(
            (each.id, each.layout, names(_ids(each.drives), 16), names(_ids(each.through), 8))
            for each in lab.of(Store)
        ),
        widths=(2, 3, 7, 3),
    )


def _people(lab: Lab) -> Iterator[Table]:
    yield Table(
        title="Keys",
        head=("key", "kept in", "of these it takes", "expires", "renewed by"),
        rows=tuple(
            (
                *(each.id, names(_ids(each.kept_in), 12), str(each.enough or 1)),
                *(said(each.lasts, Dimension.TIME), names(_ids(each.renewed_by))),
            )
            for each in lab.of(Secret)
        ),
        widths=(3, 5, 3, 2, 3),
    )
    yield Table(
        title="People",
        head=("who", "works", "is there in", "what to know"),
        rows=tuple(
            (each.id, each.works, said(each.comes_in, Dimension.TIME), each.about) for each in lab.of(Person)
        ),
        widths=(2, 5, 2, 5),
    )
    yield Table(
        title="Alarms",
        head=("alarm", "raised by", "leaves by"),
        rows=tuple(
            (each.id, names(_ids(each.raised_by)), names(_ids(each.leaves_by))) for each in lab.of(Alarm)
        ),
        widths=(2, 3, 6),
    )
    yield Table(
        title="Spares",
        head=("kind", "on the shelf", "another comes in", "price"),
        rows=tuple(
            (kind, str(each.shelf), said(each.comes_in, Dimension.TIME), each.price)
            for kind, each in lab.spares.items()
        ),
        widths=(3, 2, 3, 3),
    )
