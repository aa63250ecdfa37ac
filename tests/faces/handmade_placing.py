"""Placings made by hand, of a lab that was made for them."""

from __future__ import annotations

from functools import cache

from tests.strategies import lab_of

from falsework.analyses.aims.result import AimResult
from falsework.analyses.placing.result import Filled, Level, Move, Placing, Reason, Rehoused
from falsework.model.lab import Lab
from falsework.support.placing.whole import LEVELS
from falsework.where import Where

GIB = float(1 << 30)
LAB = """
falsework: 1
lab: Six hosts
outside: {mains: the wall}
power:
  left:  {is: strip, fed by: mains}
  right: {is: strip, fed by: mains}
places:
  rack: {is: rack, units: 12}
machines:
  box-1: {is: enclosure, in: rack, at: 2 U, fed by: [left, right], holds: {a..b: sled}}
  box-2: {is: enclosure, in: rack, at: 4 U, fed by: [left, right], holds: {a..b: sled}}
  desk-1..2: {is: node, fed by: left, memory: 16 GiB, cores: 4}
kinds:
  sled: {is: node, memory: 24 GiB, cores: 8, ports: {a: 1 Gb/s}}
pools:
  cluster: {hosts: [box-*.*, desk-*]}
services:
  mail:  {on: cluster, copies: 2, takes: {memory: 8 GiB}, placed: [box-1.a, box-1.b], reached at: 10.0.0.25}
  files: {on: cluster, takes: {memory: 4 GiB, disk: 40 GiB}, placed: box-1.a}
  pages: {on: cluster, copies: 3, takes: {memory: 6 GiB}, placed: [box-1.a, box-2.a, desk-1]}
  logs:  {on: cluster, takes: {memory: 8 GiB}, placed: box-2.b}
  rota:  {on: cluster, takes: {memory: 2 GiB}}
aims:
  no box stops mail: {lose: enclosure, of: mail, at most: thin}
"""
HOME = {
    "mail.1": "box-1.a",
    "mail.2": "box-2.b",
    "files.1": "box-2.a",
    "pages.1": "desk-2",
    "pages.2": "box-2.a",
    "pages.3": "desk-1",
    "logs.1": "box-1.b",
    "rota.1": "box-1.b",
}
BEFORE = {
    "mail.1": "box-1.a",
    "mail.2": "box-1.b",
    "files.1": "box-1.a",
    "pages.1": "box-1.a",
    "pages.2": "box-2.a",
    "pages.3": "desk-1",
    "logs.1": "box-2.b",
    "rota.1": "desk-2",
}
MEMORY = {"mail": 8, "files": 4, "pages": 6, "logs": 8, "rota": 2}
HAS = {"box-1.a": 24, "box-1.b": 24, "box-2.a": 24, "box-2.b": 24, "desk-1": 16, "desk-2": 16}


@cache
def six() -> Lab:
    """The lab."""
    return lab_of(LAB)


def move(
    copy: str,
    start: str,
    end: str,
    *,
    size: float = 0.0,
    last: bool = True,
    breaks: tuple[str, ...] = (),
    worse: int = 0,
) -> Move:
    """A move over 1 Gb/s; its size is in GiB."""
    return Move(
        copy=copy,
        service=copy.partition(".")[0],
        start=start,
        end=end,
        last=last,
        size=size * GIB,
        seconds=size * GIB * 8 / 1e9,
        breaks=breaks,
        worse=worse,
    )


MOVES = (
    move("rota.1", "", "box-1.b"),
    move("pages.1", "box-1.a", "desk-2", size=6),
    move("files.1", "box-1.a", "box-2.a", size=44, breaks=("files apart from pages",)),
    move("logs.1", "box-2.b", "desk-1", size=8, last=False, worse=1),
    move("mail.2", "box-1.b", "", last=False),
    move("logs.1", "desk-1", "box-1.b", size=8),
    move("mail.2", "", "box-2.b"),
)
"""A move of each sort: first start, clean, with disk and a broken rule, a wait, a stop, a start again."""


def aim(*, met: bool) -> AimResult:
    """The one aim of the lab."""
    return AimResult(
        name="no box stops mail",
        where=Where(file="lab.yaml", line=25, column=3),
        met=met,
        says="holds for both" if met else "mail falls without box-1",
    )


def placing(
    *,
    moves: tuple[Move, ...] = MOVES,
    met: bool = True,
    worst: bool = True,
    why_not: tuple[Reason, ...] = (),
) -> Placing:
    """A placement of the six hosts; it moves five copies."""
    memory = {copy: MEMORY[copy.partition(".")[0]] * GIB for copy in HOME}
    homes = {"mail.1": "box-2.a"}
    return Placing(
        host_of=HOME,
        memory=memory,
        levels=levels(),
        moves=moves,
        filled=tuple(
            Filled(
                host=host,
                copies=tuple(copy for copy, at in HOME.items() if at == host),
                before=tuple(copy for copy, at in BEFORE.items() if at == host),
                used={"memory": sum(memory[copy] for copy, at in HOME.items() if at == host)},
                has={"memory": size * GIB},
            )
            for host, size in HAS.items()
        ),
        worst=Rehoused(
            says="room without box-1",
            hosts=("box-1.a", "box-1.b"),
            homes=homes,
            homeless=("logs.1",),
            left_out=("files.1",),
        )
        if worst
        else None,
        before=(aim(met=False),),
        after=(aim(met=met),),
        rounds=1,
        why_not=why_not,
        smallest=True,
        would_do=("give desk-1 8 GiB more memory",) if why_not else (),
        all_tried=True,
        seconds=2.0,
    )


def levels() -> tuple[Level, ...]:
    """A level of each sort: better than today, worse, proven and not."""
    today = (1, 3, 4, 0, 0, 0, 0, 900)
    found = (0, 2, 4, 1, 0, 4, 62 * 1024, 512)
    bound = (0, 2, 3, 1, 0, 4, 62 * 1024, 0)
    return tuple(
        Level(name=name, today=today[at], found=found[at], bound=bound[at]) for at, name in enumerate(LEVELS)
    )


def many(hosts: int, *, each: int = 5) -> Placing:
    """A placement of some copies on each of so many hosts; every seventh copy moves to the next host, host 1 is lost."""
    names = [f"machine-{number:03d}" for number in range(1, hosts + 1)]
    copies = [f"service-{number:03d}.{1 + number % 3}" for number in range(hosts * each)]
    memory = {copy: (0.25, 2, 4, 7, 12)[number % 5] * GIB for number, copy in enumerate(copies)}
    before = {copy: names[number % hosts] for number, copy in enumerate(copies)}
    home = {
        copy: names[(number + (1 if number % 7 == 0 else 0)) % hosts] for number, copy in enumerate(copies)
    }
    gone = [copy for copy in copies if home[copy] == names[0]]
    return Placing(
        host_of=home,
        memory=memory,
        levels=levels(),
        moves=tuple(
            move(copy, before[copy], home[copy], size=memory[copy] / GIB)
            for copy in copies
            if before[copy] != home[copy]
        ),
        filled=tuple(
            Filled(
                host=name,
                copies=tuple(copy for copy, at in home.items() if at == name),
                before=tuple(copy for copy, at in before.items() if at == name),
                used={"memory": sum(memory[copy] for copy, at in home.items() if at == name)},
                has={"memory": (96 if number % 2 else 80) * GIB},
            )
            for number, name in enumerate(names)
        ),
        worst=Rehoused(
            says=f"room without {names[0]}",
            hosts=(names[0],),
            homes={copy: names[2 + number % (hosts - 2)] for number, copy in enumerate(gone[1:])},
            homeless=tuple(gone[:1]),
            left_out=(),
        ),
        before=(aim(met=False),),
        after=(aim(met=True),),
        rounds=1,
        why_not=(),
        smallest=True,
        would_do=(),
        all_tried=True,
        seconds=2.0,
    )
