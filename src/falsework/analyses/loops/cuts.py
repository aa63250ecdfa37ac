"""What would cut loops, and which cuts together are the cheapest?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from falsework.analyses.loops.result import Cut, Cuts, Link
from falsework.analyses.loops.waiting import Wait, Waits
from falsework.engines.founded.cheapest import cheapest
from falsework.engines.founded.system import Clause, System
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.model.services import Secret

FIXED_ADDRESS_S = 600.0
ANOTHER_SHARE_S = 900.0
LOCAL_COPY_S = 7200.0
SECOND_PROVIDER_S = 14_400.0
"""What it takes to give a client a fixed address, to keep a key's share elsewhere, to keep what a thing needs of
another on itself, and to have a second provider outside: ten minutes, a quarter, two hours, four hours (assumed)."""
_FINE = 100_000
"""Of cuts that cost the same, those whose cost the owner gave are cheaper by a hair."""
UNSAID_S = 7200.0
"""What a stand-in takes whose `costs` nobody gave: two hours (assumed)."""


def lending(stand_in: StandIn, things: Sequence[tuple[str, str]], on: str = "") -> Cut:
    """A stand-in of the owner's, for one thing or for all that it may stand in for."""
    costs = UNSAID_S if stand_in.costs is None else stand_in.costs
    return Cut(
        says=f"let {stand_in.id} stand in for {on}" if on else f"let {stand_in.id} stand in",
        things=tuple(things),
        costs_s=costs,
        assumed=stand_in.costs is None,
        stand_in=stand_in.id,
    )


def fixed_address(thing: str, on: str) -> Cut:
    """No name to look up."""
    says = f"let {thing} use a fixed address, so that it need not ask {on}"
    return Cut(says=says, things=((thing, on),), costs_s=FIXED_ADDRESS_S, assumed=True)


def another_share(key: str, on: str) -> Cut:
    """A place for a key that stands without the rest."""
    says = f"keep {key} somewhere else too, such as on paper"
    return Cut(says=says, things=((key, on),), costs_s=ANOTHER_SHARE_S, assumed=True)


def local_copy(thing: str, on: str) -> Cut:
    """What a thing needs of another, kept on itself."""
    says = f"keep on {thing} itself what it needs of {on}"
    return Cut(says=says, things=((thing, on),), costs_s=LOCAL_COPY_S, assumed=True)


def second_provider(on: str, things: Sequence[str]) -> Cut:
    """Somebody else who does the same."""
    pairs = tuple((thing, on) for thing in things)
    return Cut(
        says=f"have a second provider of {on} outside", things=pairs, costs_s=SECOND_PROVIDER_S, assumed=True
    )


def cuts_of(lab: Lab, links: Sequence[Link]) -> tuple[Cut, ...]:
    """Everything that would cut one ring, cheapest first; a stand-in that needs what waits in it is no help."""
    ring = {link.thing for link in links}
    found: list[Cut] = []
    for link in links:
        found.extend(
            lending(stand_in, [(link.thing, link.on)], link.on)
            for stand_in in lab.of(StandIn)
            if stand_in.for_ is not None
            and link.on in stand_in.for_.ids
            and not any(ring.issuperset(ids) for ids, _ in _wanted(stand_in))
        )
        if link.says.startswith("looks up"):
            found.append(fixed_address(link.thing, link.on))
        elif link.says == "is kept in":
            found.append(another_share(link.thing, link.on))
        elif isinstance(lab.things.get(ThingId(link.on)), Secret):
            found.append(another_share(link.on, link.thing))
        elif link.kind:
            found.append(local_copy(link.thing, link.on))
            found.append(second_provider(link.on, [link.thing]))
    best = {cut.says: cut for cut in found}
    return tuple(sorted(best.values(), key=lambda cut: (cut.costs_s, cut.assumed, cut.says)))


def cheapest_cuts(
    lab: Lab, waits: Waits, stuck: Collection[int], shown: Mapping[str, str], kind: str, *, seconds: float
) -> Cuts:
    """The cheapest cuts after which everything begins and serves, exactly.

    Args:
        lab: the lab.
        waits: what waits for what.
        stuck: items that never serve without help.
        shown: the name under which each item is told.
        kind: of the loops.
        seconds: how long it may take; then the best so far is given, with a bound.
    """
    return _Offers(lab, waits, frozenset(stuck), shown).cheapest(kind, seconds)


@dataclass
class _Offers:
    """The waits of what is stuck, with one more way to meet each that can be cut."""

    lab: Lab
    waits: Waits
    stuck: frozenset[int]
    shown: Mapping[str, str]
    names: list[str] = field(default_factory=list)
    cuts: dict[int, Cut] = field(default_factory=dict)
    of: dict[tuple[str, ...], int] = field(default_factory=dict)

    def cheapest(self, kind: str, seconds: float) -> Cuts:
        self.names = list(self.waits.names)
        item = {name: at for at, name in enumerate(self.names)}
        covers: dict[int, list[int]] = {}
        needs: dict[int, StandIn] = {}
        for stand_in in self.lab.of(StandIn):
            targets = [item[name] for name in (stand_in.for_.ids if stand_in.for_ else ()) if name in item]
            if any(target in self.stuck for target in targets):
                offer = self._offer(("lend", stand_in.id), lending(stand_in, []))
                needs[offer] = stand_in
                for target in targets:
                    covers.setdefault(target, []).append(offer)
        either = {target: self._new(f"{self.names[target]} or a stand-in") for target in covers}
        begin = [tuple(self._clauses(at, some, either)) for at, some in enumerate(self.waits.begin)]
        serve = [tuple(self._clauses(at, some, either)) for at, some in enumerate(self.waits.serve)]
        starts: dict[int, tuple[Clause, ...]] = {}
        runs: dict[int, tuple[Clause, ...]] = {}
        for target, join in either.items():
            starts[join] = (Clause(of=(target, *covers[target]), enough=1, begun=True),)
            runs[join] = (Clause(of=(target, *covers[target]), enough=1),)
        for offer, stand_in in needs.items():
            starts[offer] = tuple(self._needs(_wanted(stand_in, run=False), offer, item, covers))
            runs[offer] = tuple(self._needs(_wanted(stand_in, run=True), offer, item, covers))
        more = range(len(begin), len(self.names))
        system = System(
            names=tuple(self.names),
            begin=(*begin, *(starts.get(at, ()) for at in more)),
            serve=(*serve, *(runs.get(at, ()) for at in more)),
            costs={at: round(cut.costs_s) * _FINE + cut.assumed for at, cut in self.cuts.items()},
        )
        best = cheapest(system, sorted(self.stuck), seconds=seconds, workers=1)
        chosen = sorted((self.cuts[at] for at in best.chosen), key=lambda cut: (cut.costs_s, cut.says))
        left = dict.fromkeys(self.shown[self.waits.names[at]] for at in best.stuck)
        return Cuts(
            kind=kind,
            cuts=tuple(chosen),
            costs_s=float(best.cost // _FINE),
            bound_s=float(best.bound // _FINE),
            left=tuple(left),
        )

    def _new(self, name: str) -> int:
        self.names.append(name)
        return len(self.names) - 1

    def _offer(self, key: tuple[str, ...], cut: Cut) -> int:
        if key not in self.of:
            self.of[key] = self._new(" ".join(key))
            self.cuts[self.of[key]] = cut
        at = self.of[key]
        things = (*self.cuts[at].things, *(pair for pair in cut.things if pair not in self.cuts[at].things))
        self.cuts[at] = replace(self.cuts[at], things=things)
        return at

    def _clauses(self, at: int, some: Sequence[Wait], either: Mapping[int, int]) -> Iterator[Clause]:
        for wait in some:
            of = tuple(either.get(each, each) for each in wait.clause.of)
            if at in self.stuck:
                of += tuple(self._ways(self.shown[self.waits.names[at]], wait))
            yield replace(wait.clause, of=of)

    def _ways(self, thing: str, wait: Wait) -> Iterator[int]:
        """Offers that meet a wait in another way than it is met today."""
        for on in dict.fromkeys(self.shown[self.waits.names[each]] for each in wait.clause.of):
            if wait.lookup:
                yield self._offer(("address", thing, on), fixed_address(thing, on))
            elif wait.key:
                yield self._offer(("share", thing), another_share(thing, on))
            elif wait.kind:
                yield self._offer(("copy", thing, on), local_copy(thing, on))
                yield self._offer(("provider", on), second_provider(on, [thing]))

    def _needs(
        self,
        wanted: Sequence[tuple[tuple[str, ...], int]],
        offer: int,
        item: Mapping[str, int],
        covers: Mapping[int, Sequence[int]],
    ) -> Iterator[Clause]:
        """What a stand-in needs itself; it does not meet its own need."""
        for ids, enough in wanted:
            on = [item[name] for name in ids if name in item]
            others = [each for target in on for each in covers.get(target, ()) if each != offer]
            yield Clause(of=(*on, *others), enough=enough if len(on) == len(ids) else 0)


def _wanted(stand_in: StandIn, *, run: bool = False) -> list[tuple[tuple[str, ...], int]]:
    """What a stand-in needs itself to begin, or while it serves, and how many of it."""
    needs = stand_in.needs
    listed: tuple[Need, ...] = ()
    if needs is not None:
        always = needs.run_and_start
        listed = (*always, *needs.to_run) if run else (*always, *needs.to_build, *needs.to_start)
    wanted = [(need.of.ids, need.enough or 1) for need in listed if not need.soft]
    return wanted + ([(stand_in.on.ids, 1)] if stand_in.on is not None else [])
