"""What happens after a loss, event by event?

A third reading of the support graph, for labs without wire, pools and loads: what runs stops when a lean has been
broken for longer than its hold, what is stopped starts when all it needs to start has been there for as long as
its start takes, and the clock goes from one such moment to the next. No fixed point, no first fall, no last return:
things may stop and start as often as they like.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from falsework.support.graph import Lean, Phase, Role, Support, SupportGraph

NEVER = float("inf")
Spans = tuple[tuple[float, float], ...]


def played(support: SupportGraph, lost: Iterable[str]) -> Mapping[str, Spans]:
    """When each thing is down, (from, until) in seconds after the loss; things that never are are left out."""
    return _Play(support, frozenset(lost)).spans()


class _Play:
    def __init__(self, support: SupportGraph, lost: frozenset[str]) -> None:
        self.things, self.lost = support.things, lost
        self.up = set(self.things) - lost
        self.down: dict[str, list[tuple[float, float]]] = {name: [(0.0, NEVER)] for name in lost}
        self.moved: dict[str, str] = {}  # who serves, for a service that has taken over
        self.broken: dict[tuple[str, int], float] = {}  # since when
        self.ready: dict[str, float] = {}  # since when all is there that a start takes

    def spans(self) -> Mapping[str, Spans]:
        at = 0.0
        while at < NEVER:
            self._look(at)
            while self._start(at) or self._stop(at):
                pass
            at = min(self._moments(at), default=NEVER)
        return {name: tuple(spans) for name, spans in self.down.items()}

    def _moments(self, at: float) -> Iterable[float]:
        for (name, number), since in self.broken.items():
            yield since + self.things[name].leans[number].hold_s
        for name, since in self.ready.items():
            yield since + (self.things[name].returns_s or 0.0)

    def _look(self, at: float) -> None:
        """Which leans of what runs are broken, and what may start."""
        for name, thing in self.things.items():
            for number, lean in enumerate(thing.leans):
                if name in self.up and not self._runs_on(thing, lean):
                    self.broken.setdefault((name, number), at)
                else:
                    self.broken.pop((name, number), None)
            if name not in self.up | self.lost and self._may_start(thing):
                self.ready.setdefault(name, at)
            else:
                self.ready.pop(name, None)

    def _runs_on(self, thing: Support, lean: Lean) -> bool:
        """Whether a lean holds for who runs; a service that takes over leans on the one copy that serves."""
        if Phase.RUN not in lean.phases:
            return True
        again = bool(self.down.get(thing.id))
        if ("later" if again else "now") not in lean.times:
            return True
        if again and lean.role is Role.COPIES and thing.id in self.moved:
            return self.moved[thing.id] in self.up and self._holds(lean)
        return self._holds(lean)

    def _may_start(self, thing: Support) -> bool:
        return thing.returns_s is not None and all(
            self._holds(lean) for lean in thing.leans if "later" in lean.times
        )

    def _holds(self, lean: Lean) -> bool:
        return len(self.up.intersection(lean.on)) >= lean.enough

    def _start(self, at: float) -> bool:
        due = [
            name for name, since in self.ready.items() if since + (self.things[name].returns_s or 0.0) <= at
        ]
        for name in due:
            self.up.add(name)
            self.down[name][-1] = (self.down[name][-1][0], at)
            leans = [lean for lean in self.things[name].leans if lean.role is Role.COPIES]
            if any("now" not in lean.times for lean in leans):
                order = max((lean.on for lean in leans), key=len)
                self.moved[name] = next(copy for copy in order if copy in self.up)
        self._look(at)
        return bool(due)

    def _stop(self, at: float) -> bool:
        """What a broken lean fells; a hold that ends just when what it bridges is back has bridged it."""
        due = {
            name
            for (name, number), since in self.broken.items()
            if since + self.things[name].leans[number].hold_s <= at
        }
        for name in due:
            self.up.discard(name)
            self.down.setdefault(name, []).append((at, NEVER))
        self._look(at)
        return bool(due)
