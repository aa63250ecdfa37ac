"""After a power cut, what stops when on all batteries together, and what is cut hard?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from falsework.analyses.shutdown.drain import NEVER
from falsework.analyses.shutdown.result import Machine, Shutdown, Stop, Waking, Way
from falsework.analyses.shutdown.returns import ROUNDING_S, after_loss, returns, window
from falsework.analyses.shutdown.settle import Settled
from falsework.analyses.shutdown.way import Wire, host_of
from falsework.errors import QuestionError, listed, nearest
from falsework.model.parts import Node, Part, ThingId, Ups
from falsework.support.standing import Standing

NO_LATER = -NEVER


def shutdowns(standing: Standing) -> tuple[Shutdown, ...]:
    """One result for each battery that says when it signals, all mains being cut at once."""
    return stop(standing).batteries


def stop(standing: Standing, cut: Sequence[str] = ()) -> Stop:
    """Everything that stops after one power cut, on all batteries together.

    Two readings are worked out. At constant load what has stopped is taken to draw on, which is careful and
    gives the verdict. At the load as it falls each machine's draw ends when it has stopped; that figure
    is told beside. What is told by several batteries stops at the first signal that comes.

    Args:
        standing: the lab; parts out beforehand stay out.
        cut: sources of power that are cut; what the batteries are charged from if none is named.

    Raises:
        QuestionError: something that is cut is no source of power.

    Cost:
        Linear in what leans, plus one round of draining a battery for each signal that a longer runtime brings.
    """
    return _Stopping(standing, sources(standing, cut)).result()


def sources(standing: Standing, cut: Sequence[str]) -> tuple[str, ...]:
    """What is cut: what is named, else the origin of every battery's power.

    Raises:
        QuestionError: a name is no source of power.
    """
    chain = standing.draws().chain
    if not cut:
        origins = dict.fromkeys(chain(ups.id)[-1] for ups in standing.lab.of(Ups))
        return tuple(name for name in origins if not isinstance(standing.lab.things[ThingId(name)], Ups))
    known = dict.fromkeys(
        source
        for thing in standing.lab.of(Part)
        for plug in (getattr(thing, "fed_by", None),)
        for each in (plug.ids if plug is not None else ())
        for source in chain(each)
    )
    for name in cut:
        if name not in known:
            near = nearest(name, known)
            raise QuestionError(
                f"{name!r} is no source that power comes from",
                f"Did you mean {near!r}?" if near else f"Sources: {listed(known)}",
            )
    return tuple(dict.fromkeys(cut))


class _Stopping(Settled):
    """The answer, read off what has settled."""

    def result(self) -> Stop:
        """The whole of it."""
        machines = tuple(self._machine(node) for node in self.lab.of(Node) if node.id in self.told)
        signalled = tuple(ups for ups in self.lab.of(Ups) if ups.id in self.tells)
        wire = Wire(
            self.lab,
            self.standing.support,
            out=self.standing.out,
            until=lambda name: self._power_s(name, self.constant),
            serves=self.plan.starts_s,
        )
        return Stop(
            cut=self.cut,
            batteries=tuple(self._one(ups, machines, wire) for ups in signalled),
            silent={
                name: self.constant.ends_s[name] for name in self.constant.begins_s if name not in self.tells
            },
            machines=machines,
            circles=self.plan.circles,
        )

    def _machine(self, node: Node) -> Machine:
        fed = self.fed[node.id]
        gone = self.falling.gone_s.get(fed, NEVER)
        after = after_loss(node)
        told, by = self.told[node.id]
        done = self.plan.done_s[node.id]
        cuts = [
            self._cut_after(self._battery(supply.source), fed) for supply in self.draws.supplies.get(fed, ())
        ]
        off = None if after is Waking.SETTING else window(told, gone, cuts)
        return Machine(
            name=node.id,
            told_by=by,
            told_s=told,
            starts_s=self.plan.starts_s[node.id],
            done_s=done,
            power_s=self._power_s(node.id, self.constant),
            falling_s=self._power_s(node.id, self.falling),
            batteries=self.behind.get(fed, ()),
            elsewhere=tuple(
                dict.fromkeys(
                    supply.source
                    for supply in self.draws.supplies.get(fed, ())
                    if self._battery(supply.source) != by
                )
            ),
            after=after,
            stays_off=off,
            from_afar=node.id in self.controlled,
        )

    def _cut_after(self, battery: str, fed: str) -> tuple[float, float] | None:
        """When a battery signals, and when it switches its outlets off if the power is back after that.

        A machine that hangs on several must lose them all at once, so each must last until then by itself.
        """
        signal, ups = self.falling.signals_s.get(battery), self.wiring.ups.get(battery)
        if signal is None or ups is None or ups.then_cuts is None:
            return None
        if battery not in self.falling.cuts_s and self.behind.get(fed) != (battery,):
            return None
        return signal, signal + ups.then_cuts

    def _one(self, ups: Ups, machines: Sequence[Machine], wire: Wire) -> Shutdown:
        plan = self.plan
        carried = [name for name in self.told if self._carries(ups.id, host_of(self.lab, name))]
        power_s = {name: self._power_s(host_of(self.lab, name), self.constant) for name in carried}
        falling_s = {name: self._power_s(host_of(self.lab, name), self.falling) for name in carried}
        done = {name: plan.done_s[name] for name in carried}
        signal = self.constant.begins_s[ups.id] + (ups.signals_at or 0.0)
        hard = _late(done, power_s)
        ways = tuple(self._ways(ups, wire, signal))
        runtime = self.constant.ends_s[ups.id]
        cuts = None if ups.then_cuts is None else signal + ups.then_cuts
        mine = [each for each in machines if each.told_by == ups.id]
        stops = {each.to: plan.starts_s.get(each.sender, NEVER) for each in ways}
        return Shutdown(
            ups=ups.id,
            runtime_s=runtime,
            load_w=self.constant.load_w[ups.id],
            trips=ups.id in self.constant.trips,
            falling_s=self.falling.ends_s.get(ups.id, NEVER),
            signal_s=signal,
            starts_s={name: plan.starts_s[name] for name in carried},
            done_s=done,
            cut_hard=hard,
            cut_falling=_late(
                {name: self.fading.done_s[name] for name in carried}, falling_s, but=self._cut_off(ups)
            ),
            cut_off=tuple(name for name in self._cut_off(ups) if name not in hard),
            cuts_s=cuts,
            spare_s=min((power_s[name] - done[name] for name in carried), default=runtime - signal),
            latest_signal_s=min((power_s[name] - (done[name] - signal) for name in carried), default=runtime),
            unreached=tuple(way.to for way in ways if not way.arrives),
            slow=tuple(
                way.to
                for way in ways
                if way.arrives and (not way.lasts or (stops[way.to] < way.begins_s and way.to != way.sender))
            ),
            left_on=tuple(name for name in self._on(ups.id) if name not in self.told),
            dark=tuple(
                name
                for name in (ups.tells.ids if ups.tells is not None else ())
                if not any(each in self.told for each in self._stopping(name))
            ),
            needless=tuple(
                name
                for name in carried
                if name in self.fed and power_s[name] == NEVER and falling_s[name] == NEVER
            ),
            uncounted=tuple(
                name
                for name in dict.fromkeys(self.fed[node] for node in self.fed if self._carries(ups.id, node))
                if name not in self.draws.consumers
            ),
            path=plan.way(max(carried, key=lambda name: (done[name], name))) if carried else (),
            ways=ways,
            returns=returns(mine),
        )

    def _cut_off(self, ups: Ups) -> tuple[str, ...]:
        """What is still stopping when a battery switches its outlets off, and has no power then."""
        at = self.falling.cuts_s.get(ups.id)
        if at is None:
            return ()
        mine = {}
        for name in self.told:
            host = host_of(self.lab, name)
            if self._carries(ups.id, host) and abs(self._power_s(host, self.falling) - at) < ROUNDING_S:
                mine[name] = at
        return _late({name: self.plan.done_s[name] for name in mine}, mine)

    def _ways(self, ups: Ups, wire: Wire, signal: float) -> Iterable[Way]:
        if ups.tells is None:
            return ()
        return wire.ways(ups, ups.tells.ids, told_s=signal, begins=self._turn)

    def _turn(self, name: str) -> float:
        """When the turn of a node, or of a service, to stop comes: with the first on it, or its first copy."""
        starts = self.plan.starts_s
        return min((starts[each] for each in self._stopping(name) if each in starts), default=NO_LATER)


def _late(
    done: Mapping[str, float], power_s: Mapping[str, float], but: Iterable[str] = ()
) -> tuple[str, ...]:
    """What has not stopped when its power ends, last to stop first."""
    late = (name for name in done if done[name] > power_s[name] + ROUNDING_S and name not in set(but))
    return tuple(sorted(late, key=lambda name: (-done[name], name)))
