"""What would a lab of this size look like, if somebody had one?

An invented lab is text like any other lab file: racks of two-sled enclosures and single boxes, two power strips
a rack, paired switches under a few spines, pools, stores, and services in layers, names and clock first.
It is what a careful owner would write, but for a few flaws that such an owner overlooks.
The same size and seed give the same text, byte for byte.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from falsework.errors import QuestionError

LEAST, MOST = 3, 10_000
"""The fewest and the most nodes of an invented lab."""

_BOX_W, _SWITCH_W, _SPINE_W = 140, 60, 150  # busy draw, W
_VOLTS = 230
_BREAKERS = (6, 10, 16, 20, 25, 32, 40, 63)  # A
_POOL = 60  # hosts in a pool, at most
_PLAIN_WORDS = (
    *("pages", "forms", "maps", "photos", "notes", "tiles", "counts", "rota", "chat", "library", "orders"),
    *("labels", "tides", "weather", "tickets", "games", "lessons", "songs", "letters", "ballots", "routes"),
)


def invent(nodes: int, seed: int = 0) -> str:
    """The text of an invented lab.

    Args:
        nodes: how many computers it has, 3 to 10,000; about twenty parts come with each.
        seed: another seed, another lab.

    Returns:
        A lab file that loads without a fault and stands while nothing is lost.

    Raises:
        QuestionError: `nodes` is out of bounds.
    """
    if not LEAST <= nodes <= MOST:
        raise QuestionError(
            what=f"a lab of {nodes:,} nodes can't be invented", mend=f"ask for {LEAST} to {MOST:,} nodes"
        )
    return "\n".join(InventedLab(nodes, seed).lines()) + "\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """Racks `first` to `last`, and in each the enclosures 1 to `twins` (the boxes 1 to `boxes` if no twins)."""

    name: str
    first: int
    last: int
    twins: int
    boxes: int

    @property
    def racks(self) -> str:
        """Its racks, as a range."""
        return _range(self.first, self.last)

    @property
    def hosts(self) -> str:
        """Its hosts, as a lab file names them."""
        if self.twins:
            return f"twin-{self.racks}.{_range(1, self.twins)}.a..b"
        return f"box-{self.racks}.{_range(1, self.boxes)}"


@dataclass(slots=True)
class Service:
    """A service, so far as other services must know of it."""

    name: str
    text: str
    pool: str = ""
    needs: list[str] = field(default_factory=list)


class InventedLab:
    """Everything that is drawn by lot, and the text made from it."""

    def __init__(self, nodes: int, seed: int) -> None:
        self.nodes, self.seed = nodes, seed
        self.lot = random.Random(f"{nodes} nodes, seed {seed}")
        per_rack = 16 if nodes < 120 else 40
        self.racks = -(-nodes // per_rack)
        self.base, self.extra = divmod(nodes, self.racks)  # the first `extra` racks have one box more
        self.twins = max(0, min(self.base * 3 // 10, (self.base - 3) // 2))
        self.boxes = self.base - 2 * self.twins
        self.spines = (
            0
            if self.racks == 1
            else min(self.racks, self.lot.choice((2, 3, 4) if self.racks > 8 else (2, 2, 3)))
        )
        self.batteries = max(1, round(self.racks * self.lot.uniform(0.2, 0.6)))
        self.flaws = set(self.lot.sample(_FLAWS, 1 if nodes < 12 else self.lot.randint(2, 4)))
        self.small = 1 + self.lot.randrange(self.racks)  # the rack with the small breakers, if that is a flaw
        self.pools = self._pools()
        self.services: list[Service] = []
        self.data: list[str] = []
        self._invent_services()

    def _pools(self) -> list[Pool]:
        """Pools over three racks each, or over what there is."""
        count = max(1, self.racks // 3)
        found = []
        for number in range(count):
            first = 1 + 3 * number
            last = self.racks if number == count - 1 else first + 2
            width = last - first + 1
            twins = min(self.twins, _POOL // (2 * width))
            found.append(
                Pool(
                    name=f"pool-{number + 1}",
                    first=first,
                    last=last,
                    twins=twins,
                    boxes=min(self.boxes, _POOL // width),
                )
            )
        return found

    # -- where bare services run -------------------------------------------------------------------

    def _spread(self, count: int) -> list[str]:
        """Boxes for the copies of one service, in different racks where there are enough."""
        if self.racks >= count:
            racks = self.lot.sample(range(1, self.racks + 1), count)
            return [f"{rack}.{self.lot.randint(1, self.boxes)}" for rack in racks]
        every = [f"{rack}.{box}" for rack in range(1, self.racks + 1) for box in range(1, self.boxes + 1)]
        return self.lot.sample(every, min(count, len(every)))

    # -- services ----------------------------------------------------------------------------------

    def _add(self, name: str, text: str, pool: str = "") -> str:
        self.services.append(Service(name, text, pool))
        return name

    def _invent_services(self) -> None:
        wanted = max(8, min(self.nodes // 2, 480 + self.nodes // 50))
        self._base_services()
        self.databases: dict[str, list[str]] = {pool.name: [] for pool in self.pools}
        self.apps: dict[str, list[str]] = {pool.name: [] for pool in self.pools}
        while len(self.services) < wanted:
            pool = self.pools[len(self.services) % len(self.pools)]
            if self.lot.random() < 0.18 or not self.databases[pool.name]:
                self._database(pool)
            elif self.lot.random() < 0.2 and self.apps[pool.name]:
                self._front(pool)
            elif self.lot.random() < 0.05 and self.boxes >= 6:
                self._archive()
            else:
                self._app(pool)

    def _base_services(self) -> None:
        def on(count: int) -> str:
            return _nodes(self._spread(count))

        self._add("names", f"{{on: {on(2)}, reached at: [10.10.0.5, 10.10.0.6]}}")
        self._add("clock", f"{{on: {on(2)}, needs: {{to run: [sky for 2 days]}}}}")
        self._add(
            "secrets",
            f"{{on: {on(3)}, serves: majority, needs: {{to run: [clock for 6 h], to start: [unseal]}}}}",
        )
        self._add(
            "state",
            f"{{on: {on(3 if self.racks < 5 else 5)}, serves: majority, needs: {{to run: [clock for 6 h], to start: [secrets]}}}}",
        )
        self._add("sign-in", f"{{on: {on(2)}, named: door.lab from names, needs: [state, names for 5 min]}}")
        if self.nodes >= 6:
            self._add("installer", f"{{on: {on(2)}, needs: {{to run: [names, images]}}}}")
            self._add("images", f"{{on: {on(2)}}}")
            self._add(
                "router", f"{{on: {on(2)}, takes over: 3 s, floats: 10.10.0.1 in 3 s, joins: [house, care]}}"
            )
        self._add("notifier", f"{{on: {on(2)}}}")
        self._add("checks", f"{{on: {on(2)}, needs: {{to run: [names for 1 h]}}}}")

    def _named(self, word: str) -> str:
        return f"{word}-{len(self.services) + 1}"

    def _database(self, pool: Pool) -> None:
        """Two or three boxes that keep something: one serves, another takes over, or most of them agree."""
        name = self._named("ledger")
        if self.lot.random() < 0.3 and self.nodes >= 3:
            places = self._spread(3)
            rule = "serves: majority, needs: {to run: [clock for 6 h], to start: [names]}"
        else:
            places = self._spread(2)
            rule = f"takes over: {self.lot.choice((20, 30, 40))} s, needs: {{to run: [clock for 1 day]}}"
        self._add(name, f"{{on: {_nodes(places)}, {rule}}}")
        size = self.lot.randint(5, 400)
        disks = ", ".join(f"disk-{place}" for place in places)
        backup = f"{{to: far shelf, every: 1 day, restored: 2025-0{self.lot.randint(1, 9)}-14, needs: [backup key]}}"
        if "backup beside its data" in self.flaws and len(self.data) == 1:
            backup = f"{{to: disk-{places[0]}, every: 1 day}}"  # the nearest disk with room
            disks = f"disk-{places[0]}"
        self.data.append(f"{name} book: {{of: {name}, in: [{disks}], size: {size} GiB, backed up: {backup}}}")
        self.databases[pool.name].append(name)

    def _archive(self) -> None:
        """Two boxes that show what lies spread over the boxes of one rack."""
        name, wall = self._named("archive"), f"wall-{self.lot.randint(1, self.racks)}"
        self._add(
            name, f"{{on: {_nodes(self._spread(2))}, state in: {wall}, needs: {{to run: [sign-in for 8 h]}}}}"
        )
        self.data.append(
            f"{name} shelf: {{of: {name}, in: {wall}, size: {self.lot.randint(2, 30)} TB, grows: 2 GiB/day}}"
        )

    def _app(self, pool: Pool) -> None:
        """Virtual copies that lean on a database and on what came before."""
        name = self._named(self.lot.choice(_PLAIN_WORDS))
        copies = 1 if self.lot.random() < 0.3 else 2
        apart = f", apart: {'enclosure' if pool.twins else 'node'}" if copies > 1 else ""
        hold = self.lot.choice(("", "", " for 30 s", " for 5 min"))
        to_run = [f"{self.lot.choice(self.databases[pool.name])}{hold}", "sign-in for 8 h"]
        if self.apps[pool.name] and self.lot.random() < 0.3:
            to_run.append(f"{self.lot.choice(self.apps[pool.name])} for 15 min")
        if len(self.databases[pool.name]) > 1 and self.lot.random() < 0.2:
            spare = self.lot.choice(
                [each for each in self.databases[pool.name] if not to_run[0].startswith(each)]
            )
            to_run.append(f"{{of: {spare}, soft: yes}}")
        if "one address learnt" in self.flaws and len(self.services) % 7 == 0:
            to_run.append("names at 10.10.0.5")
        start = self.lot.choice(("", "", ", to start: [names]"))
        takes = f"{self.lot.choice(('1 core', '1 core', '2 cores'))} {self.lot.choice((2, 4, 6))} GiB"
        self._add(
            name,
            f"{{copies: {copies}, on: {pool.name}{apart}, takes: {takes}, needs: {{to run: [{', '.join(to_run)}]{start}}}}}",
            pool.name,
        )
        self.apps[pool.name].append(name)

    def _front(self, pool: Pool) -> None:
        """What people reach: an address that moves, before one or two apps."""
        name = self._named("front")
        number = len(self.services) + 1
        behind = self.lot.sample(self.apps[pool.name], min(len(self.apps[pool.name]), self.lot.randint(1, 2)))
        each = (
            f"{{of: [{', '.join(behind)}], soft: yes}}"
            if self.lot.random() < 0.2
            else ", ".join(f"{app} for 1 min" for app in behind)
        )
        address = f"10.10.{1 + number // 200}.{1 + number % 200}"
        self._add(
            name,
            f"{{on: {_nodes(self._spread(2))}, floats: {address} in {self.lot.randint(2, 5)} s, needs: {{to run: [{each}]}}}}",
        )

    # -- the text ----------------------------------------------------------------------------------

    def lines(self) -> Iterator[str]:
        """The lab file, line by line."""
        yield "falsework: 1"
        yield f"lab: Invented {self.nodes}-{self.seed}"
        racks = f"{self.racks} {'rack' if self.racks == 1 else 'racks'}"
        yield f"about: {self.nodes:,} nodes in {racks}, invented; any likeness to a real lab is chance."
        for title, section in (
            ("kinds", self._kinds()),
            ("outside", self._outside()),
            ("places", self._places()),
            ("power", self._power()),
            ("machines", self._machines()),
            ("wire", self._wire()),
            ("stores", self._stores()),
            ("pools", self._pool_lines()),
            ("services", self._service_lines()),
            ("data", self.data),
            (
                "keys",
                (
                    "unseal: {kept in: [handbook, chest], enough: 2}",
                    "backup key: {kept in: [chest, far shelf]}",
                ),
            ),
            ("people", self._people()),
            ("alarms", self._alarms()),
            ("spares", ("box: 1", "flash: 4", "disk: 4")),
            ("stand-ins", self._stand_ins()),
            ("today", self._today()),
            ("aims", self._aims()),
        ):
            body = list(section)
            if body:
                yield ""
                yield f"{title}:"
                yield from (f"  {line}" for line in body)

    def _kinds(self) -> Iterable[str]:
        build = ", needs: {to build: [installer]}" if self.nodes >= 6 else ""
        cores, memory = self.lot.choice((16, 24, 32)), self.lot.choice((128, 192, 256))
        size = self.lot.choice((4, 8, 12))
        yield "# Two small drives to start from, some large ones for data, two cards to two switches."
        node = (
            "ports: {a..b: 10 Gb/s, m: 1 Gb/s}, cards: {left: [a], right: [b]}, controller: m,"
            f" draws: 60..{_BOX_W} W, power back: on, wakes in: 3 min, stops in: 2 min{build}"
        )
        yield f"sled: {{is: node, cores: {cores}, memory: {memory} GiB, drives: {{b1..b2: flash, d1..d8: disk}},"
        yield f"  {node}}}"
        yield f"box: {{is: node, cores: {cores // 2}, memory: {memory // 2} GiB, drives: {{b1..b2: flash, d1..d10: disk}},"
        yield f"  height: 1 U, weighs: 14 kg, {node}}}"
        yield "twin: {is: enclosure, holds: {a..b: sled}, height: 1 U, weighs: 18 kg, noise: 55 dB}"
        yield f"leaf: {{is: switch, ports: {{1..64: 10 Gb/s, u1..8: 100 Gb/s, t: 100 Gb/s}}, draws: {_SWITCH_W} W, settles in: 2 s, height: 1 U}}"
        yield f"spine: {{is: switch, ports: {max(16, 2 * self.racks)} x 100 Gb/s, draws: {_SPINE_W} W, settles in: 2 s}}"
        yield f"eight: {{is: switch, ports: {max(64, self.racks + 8)} x 1 Gb/s, draws: 20 W, settles in: 6 s}}"
        yield f"flash: {{is: drive, size: 480 GB, made: 2023, fails: 1..2 %/year, speed: {self.lot.choice((400, 500))} MB/s}}"
        yield f"disk: {{is: drive, size: {size} TB, made: 2022, fails: 1..3 %/year, read errors: 1e-15 /bit, speed: 180 MB/s}}"

    def _outside(self) -> Iterable[str]:
        yield "mains: {about: the street, fails: 1 /year, mends in: 20..60 min}"
        yield "sky: satellites that tell the time"
        yield "uplink: {about: the line out, fails: 3 /year, mends in: 4 h}"
        yield "handbook: a paper one"
        yield "chest: a steel one, in another house"
        yield "far shelf: disks that friends look after"

    def _places(self) -> Iterable[str]:
        yield "hall: {is: room, fails: 0.1 %/year, mends in: 7 days}"
        yield f"rack-{_range(1, self.racks)}: {{is: rack, in: hall, units: 47, bears: 900 kg, weighs: 110 kg, width: 600 mm, casters: 4}}"

    def _load_w(self) -> int:
        """The most that one rack draws."""
        return (self.base + 1) * _BOX_W + 3 * _SWITCH_W + (_SPINE_W * self.spines if self.spines else 0)

    def _power(self) -> Iterable[str]:
        good, least, most = _breaker(self._load_w()), self._load_w() * 0.55, self.base * _BOX_W
        # Enough while both strips carry their half, too little for one alone.
        small = max((each for each in _BREAKERS if least <= each * _VOLTS < most), default=0)
        flawed = "small breakers" in self.flaws and small
        yield "# Two strips in each rack, on two circuits; some of the first lie behind a battery."
        for side in "ab":
            for racks in self._around(self.small if flawed else 0):
                yield _for(
                    racks,
                    f"circuit-{side}-@: {{is: circuit, fed by: mains, volts: {_VOLTS} V, breaker: {good} A}}",
                )
            if flawed:
                note = "  # what was left in the box" if side == "a" else ""
                yield f"circuit-{side}-{self.small}: {{is: circuit, fed by: mains, volts: {_VOLTS} V, breaker: {small} A}}{note}"
        carries = -(-self._load_w() // 500) * 500
        runs = f"{{{carries // 4} W: 40 min, {carries // 2} W: 16 min, {carries} W: 7 min}}"
        backed = (1, self.batteries)
        yield _for(
            backed, "battery-@: {is: ups, fed by: circuit-a-#, in: rack-#, height: 3 U, weighs: 60 kg,"
        )
        yield f"  carries: {carries} W, runs: {runs}, signals at: 5 min}}"
        strip = "is: strip, in: rack-#, outlets: 64"
        yield _for(backed, f"A-@: {{{strip}, fed by: battery-#}}")
        if self.batteries < self.racks:
            yield _for((self.batteries + 1, self.racks), f"A-@: {{{strip}, fed by: circuit-a-#}}")
        yield self._all(f"B-@: {{{strip}, fed by: circuit-b-#}}")

    def _machines(self) -> Iterable[str]:
        both = "in: rack-#, fed by: [A-#, B-#]"
        lone = self.lot.randint(1, self.racks) if "two plugs in one strip" in self.flaws else 0
        if self.twins:
            yield f"# Enclosures of two sleds, {self.twins} to a rack: they run the virtual copies."
            if lone:
                for racks in self._around(lone):
                    yield _for(racks, f"twin-@.1: {{kind: twin, {both}}}")
                yield f"twin-{lone}.1: {{kind: twin, in: rack-{lone}, fed by: [A-{lone}, A-{lone}]}}  # the other cord is too short"
            if self.twins > bool(lone):
                yield self._all(f"twin-@.{_range(1 + bool(lone), self.twins)}: {{kind: twin, {both}}}")
        yield f"# Boxes, {self.boxes} to a rack: what must come first, and what keeps data."
        yield self._all(f"box-@.{_range(1, self.boxes)}: {{kind: box, {both}}}")
        if self.extra:
            yield _for((1, self.extra), f"box-@.{self.boxes + 1}: {{kind: box, {both}}}")
        yield self._all(f"left-@: {{kind: leaf, {both}}}")
        yield self._all(f"right-@: {{kind: leaf, {both}}}")
        yield self._all("care-@: {kind: eight, in: rack-#, fed by: B-#}")
        if self.spines:
            spines = range(1, self.spines + 1)
            yield from (
                f"spine-{each}: {{kind: spine, in: rack-{each}, fed by: [A-{each}, B-{each}]}}"
                for each in spines
            )
            yield "care-hub: {kind: eight, in: rack-1, fed by: B-1}"

    def _wire(self) -> Iterable[str]:
        single = self.lot.randint(1, self.racks) if "one cable" in self.flaws else 0
        yield "cables:"
        cables = (
            ["twin-@.*.*.a -- left-#", "twin-@.*.*.b -- right-#", "twin-@.*.*.m -- care-#"]
            if self.twins
            else []
        )
        cables += [
            "box-@.*.a -- left-#",
            "box-@.*.m -- care-#",
            "{run: left-@.t -- right-#.t, group: trunk, length: 1 m}",
        ]
        cables += [
            f"{side}-@.u{spine} -- spine-{spine}"
            for spine in range(1, self.spines + 1)
            for side in ("left", "right")
        ]
        cables += ["care-@ -- care-hub"] if self.spines else []
        yield from (f"  - {self._all(cable)}" for cable in cables)
        for racks in self._around(single):
            yield _for(racks, "  - box-@.*.b -- right-#")
        if single:
            yield f"  - box-{single}.{_range(2, self.boxes)}.b -- right-{single}  # no port was free for the first"
        spines = f", spine-{_range(1, self.spines)}" if self.spines else ""
        hub = ", care-hub" if self.spines else ""
        yield "networks:"
        yield self._all(f"  house: {{vlan: 10, subnet: 10.10.0.0/16, over: [left-@, right-@{spines}]}}")
        yield self._all(f"  care: {{vlan: 99, subnet: 10.99.0.0/16, over: [care-@{hub}]}}")

    def _stores(self) -> Iterable[str]:
        yield "# Each box starts from a mirror and keeps its own data there; so does each sled."
        yield self._all(
            f"disk-@.{_range(1, self.boxes)}: {{drives: box-#.##.b*, layout: mirror, through: box-#.##}}"
        )
        if self.twins:
            sled = "twin-#.##.###" if self.twins > 1 else "twin-#.1.##"
            yield self._all(
                f"start-@.{_range(1, self.twins)}.a..b: {{drives: {sled}.b*, layout: mirror, through: {sled}}}"
            )
        yield "# What the virtual copies lie on."
        for pool in self.pools:
            drives = f"{pool.hosts}.d*"
            apart = "rack" if pool.last - pool.first >= 2 else "node"
            yield f"vault-{pool.name[5:]}: {{drives: {drives}, layout: 3 copies, apart: {apart}}}"
        if self.boxes >= 6:
            yield "# What is large and seldom read."
            yield self._all(
                f"wall-@: {{drives: box-#.{_range(1, self.boxes)}.d*, layout: 4+2 pieces, apart: node}}"
            )

    def _pool_lines(self) -> Iterable[str]:
        for pool in self.pools:
            yield f"{pool.name}: {{hosts: [{pool.hosts}], store: vault-{pool.name[5:]}, restarts in: 2 min, keeps free: 8 GiB, cores shared: 300 %}}"

    def _service_lines(self) -> Iterable[str]:
        pair = next(
            (
                each
                for each in self.services
                if "both in one enclosure" in self.flaws and each.pool and "apart" in each.text
            ),
            None,
        )
        yield "# What everything else leans on."
        base = 10 if self.nodes >= 6 else 7
        for number, service in enumerate(self.services):
            if number == base:
                yield "# What people use, and what that keeps its state in."
            if service is pair and self.twins:
                pool = next(each for each in self.pools if each.name == service.pool)
                hosts = f"placed: [twin-{pool.first}.1.a, twin-{pool.first}.1.b]"
                yield f"{service.name}: {service.text.replace('apart: enclosure', f'apart: node, {hosts}')}"
            else:
                yield f"{service.name}: {service.text}"

    def _people(self) -> Iterable[str]:
        yield "me: {works: Mon-Fri 09:00-17:00, comes in: 30 min, notices in: 8 h}"
        if self.nodes >= 12:
            yield "second: {works: Sat 09:00-17:00, comes in: 2 h}"

    def _alarms(self) -> Iterable[str]:
        yield "pager: {raised by: checks, leaves by: [notifier, uplink], told in: 5 min}"

    def _stand_ins(self) -> Iterable[str]:
        if self.nodes >= 6:
            yield "laptop: {for: [installer, images], costs: 2 h}"

    def _today(self) -> Iterable[str]:
        return ()

    def _aims(self) -> Iterable[str]:
        boxes = "node, enclosure, switch" if self.twins else "node, switch"
        yield f"any one box may go: {{lose: [{boxes}], at most: blinks}}"
        yield "any one feed may go: {lose: [strip, circuit, supply], at most: blinks}"
        yield "any one drive may go: {lose: drive, at most: thin}"
        yield "it comes back by itself: {cold start: without hands, within: 2 h}"
        if self.twins:
            yield self._all("room with a twin gone: {room without: twin-@.1}")
        yield f"I am told: {{lose: [{boxes}], told: yes}}"

    # -- ranges ------------------------------------------------------------------------------------

    def _all(self, text: str) -> str:
        return _for((1, self.racks), text)

    def _around(self, rack: int) -> Iterator[tuple[int, int]]:
        """Every rack but one, as ranges; all for rack 0."""
        if rack > 1:
            yield 1, rack - 1
        if rack < self.racks:
            yield rack + 1, self.racks


_FLAWS: Sequence[str] = (
    "two plugs in one strip",
    "both in one enclosure",
    "one address learnt",
    "backup beside its data",
    "small breakers",
    "one cable",
)


def _range(first: int, last: int) -> str:
    return f"{first}..{last}" if last > first else str(first)


def _for(racks: tuple[int, int], text: str) -> str:
    """`text` with @ for the racks; of one rack alone `#` is its number, and `##` the first counter there is."""
    first, last = racks
    text = text.replace("@", _range(first, last))
    return text if last > first else re.sub("#+", lambda signs: signs[0][1:] or str(first), text)


def _nodes(places: Sequence[str]) -> str:
    return f"[{', '.join(f'box-{place}' for place in places)}]"


def _breaker(watts: float) -> int:
    """The smallest common breaker that carries this, in ampere."""
    return next((each for each in _BREAKERS if each * _VOLTS >= watts), _BREAKERS[-1])
