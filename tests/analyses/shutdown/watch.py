"""A stop on battery watched second by second: slow, obvious, and without a line of the analysis."""

from __future__ import annotations

from itertools import pairwise

from falsework.model.parts import Drive, Enclosure, Node, Strip, Switch, Ups
from falsework.model.services import Copy, Service


def lasts(ups, load):
    """How long a battery carries a load, read off its curve: straight between points, 1/load beyond the last."""
    points = ups.runs
    if load <= points[0][0]:
        return points[0][1]
    if load >= points[-1][0]:
        return points[-1][1] * points[-1][0] / load
    for (w0, t0), (w1, t1) in pairwise(points):
        if w0 <= load <= w1:
            share = (load - w0) / (w1 - w0)
            return (1 - share) * t0 + share * t1
    raise AssertionError


class Watched:
    """A lab of machines on strips, strips on batteries or the wall; every service on nodes, needing services."""

    def __init__(self, lab):
        self.lab = lab
        self.feeds = {
            thing.id: list(thing.fed_by.ids)
            for thing in lab.things.values()
            if isinstance(thing, Node | Switch | Enclosure | Strip | Ups) and thing.fed_by
        }
        self.ups = {thing.id: thing for thing in lab.things.values() if isinstance(thing, Ups)}
        self.nodes = [thing for thing in lab.things.values() if isinstance(thing, Node)]
        self.boxes = {node.id: node.id if node.id in self.feeds else node.in_.ids[0] for node in self.nodes}
        self.copies = [thing for thing in lab.things.values() if isinstance(thing, Copy)]

    # -- order ------------------------------------------------------------------------------------------------

    def _straight(self, name):
        """What a thing needs straight: the host of a copy, and every copy of a service it needs."""
        thing = self.lab.things[name]
        if isinstance(thing, Node):
            return set()
        service = self.lab.things[thing.service]
        needed = (
            {each for need in (*service.needs.run_and_start, *service.needs.to_run) for each in need.of.ids}
            if service.needs
            else set()
        )
        return {thing.host} | {copy.id for copy in self.copies if copy.service in needed}

    def reach(self):
        """Everything that each thing needs, straight or not: grown until it grows no more."""
        names = [node.id for node in self.nodes] + [copy.id for copy in self.copies]
        found = {name: self._straight(name) for name in names}
        while True:
            more = {name: found[name].union(*(found[each] for each in found[name])) for name in names}
            if more == found:
                return found
            found = more

    def takes(self, name):
        """How long a thing takes to stop."""
        thing = self.lab.things[name]
        if isinstance(thing, Copy):
            service = self.lab.things[thing.service]
            assert isinstance(service, Service)
            return service.stops_in
        return thing.stops_in

    def stops(self, told):
        """When each thing has stopped, watched second by second; circles stop one after another."""
        reach = self.reach()
        rings = {
            name: frozenset(
                each for each in told if each == name or (each in reach[name] and name in reach[each])
            )
            for name in told
        }
        left = {ring: sum(self.takes(name) for name in ring) for ring in set(rings.values())}
        waits = {
            ring: {
                other
                for other in left
                if other != ring and any(name in reach[each] for each in other for name in ring)
            }
            for ring in left
        }
        done, now = {}, 0
        while len(done) < len(left):
            again = True
            while again:  # what takes no time has stopped at once, and lets others begin
                again = False
                for ring in left:
                    ready = all(told[name] <= now for name in ring) and waits[ring] <= done.keys()
                    if ring not in done and ready and left[ring] <= 0:
                        done[ring] = now
                        again = True
            for ring in left:
                ready = all(told[name] <= now for name in ring) and waits[ring] <= done.keys()
                if ring not in done and ready:
                    left[ring] -= 1
            now += 1
        return {name: done[rings[name]] for name in told}

    # -- power --------------------------------------------------------------------------------------------------

    def drain(self, done, cuts=False, most=4_000):
        """When each battery is empty, each machine dark, each signal sent: a second at a time, all cut at 0.

        `done` says when the draw of each node ends; it may be empty.
        """
        left = dict.fromkeys(self.ups, 1.0)
        empty, dark, signal, off = {}, {}, {}, {}
        for now in range(most):
            for name, ups in self.ups.items():
                if (
                    ups.signals_at is not None
                    and now >= ups.signals_at
                    and name not in empty
                    and name not in off
                ):
                    signal.setdefault(name, now)
                if (
                    cuts
                    and ups.then_cuts is not None
                    and name in signal
                    and now >= signal[name] + ups.then_cuts
                ):
                    off.setdefault(name, now)
            load = dict.fromkeys(self.ups, 0.0)
            for box in set(self.boxes.values()) | {
                t.id for t in self.lab.things.values() if isinstance(t, Switch)
            }:
                live = [
                    each
                    for each in self.feeds[box]
                    if self._source(each) and self._source(each) not in {*empty, *off}
                ]
                enough = self.lab.things[box].enough or 1
                if box in dark or len(live) < enough:
                    dark.setdefault(box, now)
                    continue
                watts = self._watts(box, now, done)
                for each in live:
                    load[self._source(each)] += watts / len(live)
            if len(empty.keys() | off.keys()) == len(left):
                break
            for name, ups in self.ups.items():
                if name not in empty and name not in off:
                    left[name] -= 1 / lasts(ups, load[name])
                    if left[name] <= 1e-9:
                        empty[name] = now + 1
        return empty, dark, signal, off

    def _source(self, name):
        """The battery that a supply hangs on; nothing where it hangs on the wall."""
        while name in self.feeds and name not in self.ups:
            name = self.feeds[name][0]
        return name if name in self.ups else ""

    def _watts(self, box, now, done):
        inside = [node for node in self.nodes if self.boxes[node.id] == box]
        total = sum(node.draws.high for node in inside if now < done.get(node.id, 1e9))
        thing = self.lab.things[box]
        if not isinstance(thing, Node) and thing.draws is not None:
            ends = max((done.get(node.id, 1e9) for node in inside), default=1e9)
            total += thing.draws.high if now < ends else 0.0
        for drive in self.lab.things.values():
            if isinstance(drive, Drive) and drive.draws is not None and drive.in_:
                holder = drive.in_.ids[0]
                if self.lab.things[holder].draws is not None:
                    continue  # it is in what that draws at its plugs
                if self.boxes.get(holder, holder) == box:
                    ends = [done.get(n.id, 1e9) for n in inside if holder in (n.id, box)]
                    total += drive.draws.high if now < max(ends, default=1e9) else 0.0
        return total

    # -- the power comes back -----------------------------------------------------------------------------------

    def wakes(self, node, told, back, fate, until=2_500):
        """Whether a machine that was told sees its power go and come, the mains being back at some second.

        `fate` is what becomes of the batteries if they never are: as `drain` gives it.
        """
        empty, _, signal, off = fate
        for now in range(int(told), until):
            live = []
            for each in self.feeds[self.boxes[node]]:
                name = self._source(each)
                if not name:
                    live.append(now >= back)
                    continue
                if now < back:
                    live.append(now < empty.get(name, 1e9) and now < off.get(name, 1e9))
                    continue
                # A battery that is on when the power is back, and has signalled, still switches its outlets off.
                pause = self.ups[name].then_cuts
                there = name in signal and signal[name] < back < min(empty.get(name, 1e9), off.get(name, 1e9))
                live.append(not (pause is not None and there and now == signal[name] + pause))
            if not any(live):
                return True
        return False
