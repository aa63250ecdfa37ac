"""Can a store be made whole again from what is left, and how long does that take at least?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from falsework.analyses.room.result import Heal
from falsework.engines.usable import filled, shares_each

SLACK = 1e-9
"""Shares of a byte that rounding may lose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """A drive of a store.

    Attributes:
        drive: its id.
        domain: what it counts as one with.
        node: the machine that it is in; empty where that is none.
        size: byte.
        speed: bit/s, None where nobody said.
        port: bit/s of the machine's best port, None where nobody said.
    """

    drive: str
    domain: str
    node: str
    size: float
    speed: float | None
    port: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Copies or pieces that lie over domains.

    Attributes:
        laid: all drives that its data were laid on, those that are out today among them.
        members: those that work.
        spares: drives that wait; after a loss they count to their domains.
        data: pieces that hold data; 1 for copies.
        check: pieces that may be gone.
        used: byte of data that lie on it.
    """

    laid: tuple[Member, ...]
    members: tuple[Member, ...]
    spares: tuple[Member, ...]
    data: int
    check: int
    used: float


Limit = tuple[float, str]
"""Seconds that something takes at least, and what it comes from."""


def heal_spread(store: Spread, lost: str, drives: Sequence[str]) -> Heal:
    """What a store of copies or pieces does when these drives are gone.

    It heals by itself if the domains that are left can hold all its data with every piece in another domain; other
    pieces may have to move for that. What is lost is told as if all drives were filled evenly.
    """
    shares = store.data + store.check
    left = [each for each in (*store.members, *store.spares) if each.drive not in drives]
    working = {each.drive for each in left}
    gone = [each for each in store.laid if each.drive not in working]
    sizes = _by_domain(left)
    usable = store.data * shares_each(list(sizes.values()), shares)
    broken, whole = {each.domain for each in gone}, {each.domain for each in store.laid}
    survives = len(broken) <= min(store.check, len(whole) - 1)
    lies = _lies(store)
    rewritten = sum(lies[each.drive] for each in gone)
    if not survives:
        reason = "lost"
    elif len(sizes) < shares:
        reason = "domains"
    else:
        reason = "" if usable + SLACK * max(usable, 1.0) >= store.used else "room"
    seconds, slowest = _NONE
    if survives:
        seconds, slowest = _slowest(
            _put_in(store, gone, left, rewritten) if reason else _by_itself(store, left, rewritten)
        )
    return Heal(
        lost=lost,
        drives=tuple(drives),
        survives=survives,
        heals=not reason,
        reason=reason,
        usable=usable,
        rewritten=rewritten if survives else 0.0,
        floor_s=seconds,
        slowest=slowest,
    )


_NONE: tuple[float | None, str] = (None, "")


def _by_domain(members: Iterable[Member]) -> dict[str, float]:
    sizes: dict[str, float] = {}
    for each in members:
        sizes[each.domain] = sizes.get(each.domain, 0.0) + each.size
    return sizes


def _lies(store: Spread) -> dict[str, float]:
    """How much lies on each drive, with all drives filled evenly."""
    sizes = _by_domain(store.laid)
    shares = store.data + store.check
    each = min(store.used / store.data, shares_each(list(sizes.values()), shares))
    lies = dict(zip(sizes, filled(list(sizes.values()), shares=shares, each=each), strict=True))
    return {one.drive: lies[one.domain] * one.size / (sizes[one.domain] or 1.0) for one in store.laid}


def _by_itself(store: Spread, left: Sequence[Member], rewritten: float) -> Iterable[Limit]:
    """What rewriting onto what is left takes at least.

    For each byte written `data` bytes are read; they come together in some machine, over its port. Reading and
    writing share the drives; what a port sends and what it receives do not share it. Switches are not counted, nor
    is the work of finding out what is missing.
    """
    read = store.data * rewritten
    yield from _all("the drives that are left", (each.speed for each in left), rewritten + read)
    if _is_wired(left):
        ports = {each.node: each.port for each in left}
        yield from _all("the ports of the machines that are left", ports.values(), read)
    yield from _narrow(store, left, rewritten)


def _narrow(store: Spread, left: Sequence[Member], rewritten: float) -> Iterable[Limit]:
    """The time that the domains take that can hold what is written.

    A domain with c byte, a of them filled, takes min(c, V) - a more, V being the size of one share of all data; in
    time t it takes no more than its drives write, and its ports receive, in t. The least t in which all domains
    together take what is rewritten is a floor, wherever other pieces move meanwhile.
    """
    lies = _lies(store)
    ways: list[tuple[float, float]] = []
    for domain, size in _by_domain(left).items():
        mine = [each for each in left if each.domain == domain]
        takes = min(size, store.used / store.data) - sum(lies.get(each.drive, 0.0) for each in mine)
        rate = _rate(mine, wired=_is_wired(left))
        if rate is None:
            return
        if takes > 0:
            ways.append((takes, rate))
    yield _least_time(ways, rewritten), "the few that can take it"


def _rate(members: Sequence[Member], *, wired: bool) -> float | None:
    """How fast a domain can be written, byte/s; None where nobody said."""
    speeds = [each.speed for each in members]
    known = [sum(each for each in speeds if each)] if all(speeds) else []
    ports = list({each.node: each.port for each in members}.values())
    if wired and all(ports):
        known.append(sum(each for each in ports if each))
    return min(known) / 8 if known else None


def _least_time(ways: Sequence[tuple[float, float]], amount: float) -> float:
    """The least t with sum of min(takes, rate x t) >= amount; 0 where they can't take it all."""
    left, rate, before = amount, sum(each for _, each in ways), 0.0
    for takes, mine in sorted(ways, key=lambda way: way[0] / way[1]):
        full = takes / mine
        if left <= rate * (full - before) * (1 + SLACK):
            return before + left / rate
        left -= rate * (full - before)
        rate -= mine
        before = full
    return 0.0


def _is_wired(members: Sequence[Member]) -> bool:
    """Whether from one domain to another data go over the wire: no two of them are in one machine."""
    homes: dict[str, set[str]] = {}
    for each in members:
        homes.setdefault(each.node, set()).add(each.domain)
    return "" not in homes and len(homes) > 1 and all(len(each) == 1 for each in homes.values())


def _put_in(
    store: Spread, gone: Sequence[Member], left: Sequence[Member], rewritten: float
) -> Iterable[Limit]:
    """What filling new drives, as fast as the old ones, takes at least."""
    yield from _all("the drives that are left", (each.speed for each in left), store.data * rewritten)
    yield from _all("the drives that are put in", (each.speed for each in gone), rewritten)
    if _is_wired(store.laid):
        ports = {each.node: each.port for each in gone}
        yield from _all("the port of what is put in", ports.values(), rewritten)


def heal_array(
    lost: Member,
    group: Sequence[Member],
    spares: Sequence[Member],
    *,
    check: int,
    missing: int,
    usable: float,
) -> Heal:
    """What an array does when one of its drives is gone: the whole drive is written anew, full or not.

    Args:
        lost: the drive.
        group: all drives of the array that work today.
        spares: drives that wait.
        check: how many drives the array may lose.
        missing: how many are out today already.
        usable: byte that the store holds.

    Source:
        Capacity over rate, the rate of the slowest drive that takes part, or of a port where the drives are in
        several machines: by definition; a floor, as nothing else is done meanwhile.
    """
    others = [each for each in group if each.drive != lost.drive]
    survives = missing < check and bool(others)
    size = min((each.size for each in group), default=0.0)
    spare = next((each for each in spares if each.size >= size), None)
    target = spare or lost
    limits: list[Limit] = []
    if survives:
        limits.extend(_all("the drive that is written", [target.speed], size))
        for each in others:
            limits.extend(_all(f"the drive {each.drive}", [each.speed], size))
        for each in others:
            if each.node != target.node and each.node and target.node:
                limits.extend(_all(f"the best port of {each.node}", [each.port], size))
                limits.extend(_all(f"the best port of {target.node}", [target.port], size))
    seconds, slowest = _slowest(limits)
    return Heal(
        lost=lost.drive,
        drives=(lost.drive,),
        survives=survives,
        heals=survives and spare is not None,
        reason="lost" if not survives else "" if spare is not None else "spare",
        usable=usable if survives else 0.0,
        rewritten=size if survives else 0.0,
        floor_s=seconds,
        slowest=slowest,
    )


def _all(what: str, speeds: Iterable[float | None], amount: float) -> Iterable[Limit]:
    """The time of an amount at all these speeds together; nothing where one of them is not known."""
    known = list(speeds)
    whole = sum(each for each in known if each)
    if whole and all(known):
        yield 8 * amount / whole, what


def _slowest(limits: Iterable[Limit]) -> tuple[float | None, str]:
    return max(limits, key=lambda limit: limit[0], default=_NONE)
