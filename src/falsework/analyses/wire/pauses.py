"""Which services pause while the wire finds another way, though nothing of theirs falls?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from falsework.analyses.wire.result import Pause, Paused
from falsework.support.carriers import Wires
from falsework.support.graph import Lean, Phase, Role, Support, SupportGraph
from falsework.support.settled_wire import NEVER, Interrupted, SettledWire
from falsework.support.standing import Standing, View


def pauses(standing: Standing, wires: Wires) -> tuple[Pause, ...]:
    """Every loss of a cable or switch that interrupts a way which there still is afterwards, longest first.

    A service pauses where something that it needs every moment is out of sight for longer than the need's hold, and
    for as long as that lasts after the hold has run out. Services that a loss makes fall or blink are not told of
    here: they have their verdict.
    """
    routers = tuple(
        dict.fromkeys(
            place
            for service, _ in standing.support.routers
            for copy in _copies(standing.support, service)
            for place in standing.support.things[copy].at("now")
        )
    )
    wire = SettledWire(standing.lab, wires, standing.baseline.up, routers)
    index = _Index(standing.support)
    candidates = wire.candidates()
    alike: dict[tuple[object, ...], tuple[list[str], Pause]] = {}
    views = standing.each_view([(lost,) for lost in candidates])
    for lost, view in zip(candidates, views, strict=True):
        pause = _pause(standing, wire, index, lost, view)
        if pause is not None:
            key = (pause.seconds, pause.how, pause.apart, pause.services, pause.bears)
            alike.setdefault(key, ([], pause))[0].append(lost)
    found = [replace(pause, lost=tuple(lost)) for lost, pause in alike.values()]
    return tuple(sorted(found, key=lambda each: (-each.seconds, -len(each.services))))


def _copies(support: SupportGraph, service: str) -> tuple[str, ...]:
    """The copies of a service that are where they are now."""
    for lean in support.things[service].leans:
        if lean.role is Role.COPIES and "now" in lean.times:
            return lean.on
    return ()


class _Index:
    """Which things hang on which machines over the wire, and on which things."""

    def __init__(self, support: SupportGraph) -> None:
        self.support = support
        self.leans = {name: tuple(_every_moment(thing)) for name, thing in support.things.items()}
        self.over_wire: dict[str, dict[str, None]] = {}
        self.leaning: dict[str, dict[str, None]] = {}
        for name, leans in self.leans.items():
            for lean in leans:
                for each in lean.on:
                    self.leaning.setdefault(each, {})[name] = None
                    if support.things[each].word == "service":
                        for copy in _copies(support, each):
                            self.leaning.setdefault(copy, {})[name] = None
                for host in self._hosts(support.things[name], lean):
                    self.over_wire.setdefault(host, {})[name] = None

    def _hosts(self, thing: Support, lean: Lean) -> Iterator[str]:
        """The machines between which the wire matters to a lean."""
        places = thing.at("now")
        if not lean.together and not (lean.seen and places):
            return
        if not lean.together:
            yield from places
        for each in lean.on:
            yield from self.support.things[each].at("now")


def _every_moment(thing: Support) -> Iterator[Lean]:
    for lean in thing.leans:
        if Phase.RUN in lean.phases and "now" in lean.times and lean.role is not Role.HOST:
            yield lean


def _pause(standing: Standing, wire: SettledWire, index: _Index, lost: str, view: View) -> Pause | None:
    """What one loss interrupts; None where nothing is."""
    gap = Interrupted(wire, lost)
    if not gap.seconds:
        return None
    touched = gap.touched()
    if not touched or not (gap.moves or any(gap.weak.values()) or _any_waits(gap, wire, touched)):
        return None  # what is parted is parted for good, or nothing is
    waiting = dict.fromkeys(
        name for host in wire.hosts if host in touched for name in index.over_wire.get(host, ())
    )
    bill = _Bill(index, gap, view)
    bill.settle(waiting)
    services = tuple(
        Paused(service=name, seconds=bill.paused[name], because=bill.because[name], hold_s=bill.hold[name])
        for name in standing.support.services
        if bill.paused.get(name)
    )
    apart = _apart(wire, gap, touched)
    longest = max(bill.longest, max((each.seconds for each in services), default=0.0))
    if not longest and not apart:
        return None
    return Pause(
        lost=(lost,),
        seconds=longest or gap.seconds,
        how="a new way round" if gap.moves else "the group leaves it out",
        apart=apart,
        services=tuple(sorted(services, key=lambda each: -each.seconds)),
        bears=sum(1 for name in standing.support.services if name in bill.borne and name not in bill.paused),
    )


class _Bill:
    """How long each thing pauses: the least times that fit, raised until nothing changes.

    They are bounded by the longest interruption, and along a circle of needs no time grows, so it ends.

    Attributes:
        paused: seconds, by thing.
        because, hold: what it could not see, and how long it may miss it.
        borne: services that miss something for no longer than they may, or whose copies do.
        longest: the longest interruption that anything noticed, seconds.
    """

    def __init__(self, index: _Index, gap: Interrupted, view: View) -> None:
        self.index, self.gap, self.view = index, gap, view
        self.things = index.support.things
        self.paused: dict[str, float] = {}
        self.because: dict[str, str] = {}
        self.hold: dict[str, float] = {}
        self.borne: set[str] = set()
        self.longest = 0.0

    def settle(self, names: Iterable[str]) -> None:
        """Raise these, and whoever hangs on them."""
        waiting = dict.fromkeys(names)
        while waiting:
            name = next(iter(waiting))
            del waiting[name]
            if not self.view.up(name):
                continue
            if self._raise(name):
                waiting.update(dict.fromkeys(self.index.leaning.get(name, ())))

    def _raise(self, name: str) -> bool:
        thing = self.things[name]
        before = self.paused.get(name, 0.0)
        best = before
        for lean in self.index.leans[name]:
            misses, what = self._misses(thing, lean)
            if misses == NEVER or not misses:
                continue
            self.longest = max(self.longest, misses)
            if misses <= lean.hold_s:
                self.borne.update((name, name.rpartition(".")[0]))
            elif misses - lean.hold_s > best:
                best = misses - lean.hold_s
                self.because[name], self.hold[name] = self._says(thing, lean, what)
        if best > before:
            self.paused[name] = best
        return best > before

    def _says(self, thing: Support, lean: Lean, what: str) -> tuple[str, float]:
        """Why, in words; a service whose copies pause has their reason."""
        if lean.role is Role.COPIES and what in self.because:
            return self.because[what], self.hold[what]
        if lean.together:
            return (
                f"{thing.id}: too few of its {'copies' if lean.role is Role.COPIES else 'drives'} see each other",
                lean.hold_s,
            )
        return f"{thing.id} can't see {what}", lean.hold_s

    def _ready(self, name: str) -> float:
        """When a thing serves: at once, after its own pause, or not at all (then the verdict has told it)."""
        if self.view.up(name):
            return self.paused.get(name, 0.0)
        return 0.0 if self.view.back(name) else NEVER

    def _misses(self, thing: Support, lean: Lean) -> tuple[float, str]:
        """How long a lean is not met, and what it waits for."""
        if lean.together:
            return self._together(lean)
        places = thing.at("now")
        looks = lean.seen and bool(places)
        found = sorted((self._serves(places if looks else (), each), each) for each in lean.on)
        return found[min(lean.enough, len(found)) - 1] if found else (0.0, "")

    def _serves(self, places: Sequence[str], name: str) -> float:
        """When a thing serves who looks from these places."""
        target = self.things[name]
        if not places:
            return self._ready(name)
        if target.word != "service":
            return max(self._ready(name), self._between(places, target.at("now")))
        found = self._ready(name)
        for lean in self.index.leans[name]:
            if lean.role is Role.COPIES:
                each = sorted(
                    max(self._ready(copy), self._between(places, self.things[copy].at("now")))
                    for copy in lean.on
                )
                found = max(found, each[min(lean.enough, len(each)) - 1])
        return found

    def _together(self, lean: Lean) -> tuple[float, str]:
        """When enough of them see one of them."""
        places = {each: self.things[each].at("now") for each in lean.on}
        ready = {each: self._ready(each) for each in lean.on}
        best = (NEVER, lean.on[0] if lean.on else "")
        for middle in lean.on:
            if ready[middle] >= best[0]:
                continue
            seen = sorted(
                (max(ready[each], self._between(places[middle], places[each])), each) for each in lean.on
            )
            at, what = seen[min(lean.enough, len(seen)) - 1]
            best = min(best, (max(at, ready[middle]), what), key=lambda each: each[0])
            if not best[0]:
                break
        return best

    def _between(self, some: Sequence[str], others: Sequence[str]) -> float:
        """The shortest interruption between any of some machines and any of others."""
        best = NEVER
        for one in some:
            for other in others:
                best = min(best, self.gap.between(one, other))
                if not best:
                    return 0.0
        return 0.0 if best == NEVER and not (some and others) else best


def _apart(wire: SettledWire, gap: Interrupted, touched: frozenset[str]) -> tuple[tuple[str, ...], ...]:
    """The touched machines in sets that see each other all the time, largest first; then all others as one set."""
    sets: list[list[str]] = []
    for host in wire.hosts:
        if host not in touched or not gap.stands(host) or not _there(gap, wire, host):
            continue
        if not any(gap.settle[name] or gap.weak[name] for name in wire.on(host)) and not _waits(
            gap, wire, host
        ):
            continue
        for those in sets:
            if not gap.between(those[0], host) and not _waits(gap, wire, host):
                those.append(host)
                break
        else:
            sets.append([host])
    return tuple(tuple(each) for each in sorted(sets, key=lambda each: -len(each)))


def _there(gap: Interrupted, wire: SettledWire, host: str) -> bool:
    return any(gap.seat(name, host) is not None for name in wire.on(host))


def _waits(gap: Interrupted, wire: SettledWire, host: str) -> bool:
    return any((seat := gap.seat(name, host)) is not None and seat.waits_s > 0 for name in wire.on(host))


def _any_waits(gap: Interrupted, wire: SettledWire, hosts: frozenset[str]) -> bool:
    """Whether a machine waits for its own plug, or for one of several cables straight to another machine."""
    return any(_waits(gap, wire, host) for host in hosts) or any(
        gap.lost in carrier.cables and carrier.live(gap.stands) and wire.noticed[gap.lost]
        for calm in wire.calm.values()
        for others in calm.wired.straight.values()
        for carrier in others.values()
    )
