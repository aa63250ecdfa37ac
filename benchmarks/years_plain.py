"""The same years with a process-based simulator: one process for each part, one event after the other.

It is written as one would write it with SimPy, and spared what would be slow for no reason: what a set of
broken parts does to the services is asked of falsework once for each set and remembered, the clocks of every
single part are worked out beforehand, and who mends next is reckoned instead of queued for. Where several parts
together bring a service down, its hold is counted from the last of them.

Usage: python benchmarks/years_plain.py [YEARS]
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Generator
from pathlib import Path
from typing import Any

import numpy as np
import simpy

from falsework.analyses.odds.short import BY_HAND_S
from falsework.analyses.verdicts import lose
from falsework.analyses.years.block import COUNTED, SKIPPED
from falsework.analyses.years.fallen import STUCK_S
from falsework.analyses.years.known import Known
from falsework.model.build import load
from falsework.model.services import Data
from falsework.support.standing import Standing
from falsework.units import WEEK_S, YEAR_S

LAB = Path(__file__).resolve().parent.parent / "examples" / "observatory" / "mended.yaml"
Event = Generator[Any, Any, None]


class Facts:
    """The lab in plain lists, and answers remembered from run to run."""

    def __init__(self, known: Known) -> None:
        self.known = known
        plan = known.scene.plan
        self.rate = [0.0] * plan.n_units
        for shock in plan.shocks:
            assert len(shock.units) == 1, "this lab has no shared causes"
            self.rate[shock.units[0]] = shock.rate
        self.work = plan.work_s.tolist()
        self.sigma = plan.spread.tolist()
        self.found, self.unseen = plan.found_s.tolist(), plan.unseen_s.tolist()
        self.by_hand = plan.can.any(axis=1).tolist()
        self.held = plan.held_s.tolist()
        self.stock = plan.stock.tolist()
        self.watches = [frozenset(group) for group in plan.watches]
        self.hours = [server.hours.windows for server in plan.servers]
        self.comes = [server.comes_s for server in plan.servers]
        self.up1, self.back1 = known.up.T.tolist(), known.back.T.tolist()
        self.fall1, self.blink1 = known.fall_s.T.tolist(), known.blink_s.T.tolist()
        self.alone, self.helped = known.alone_s.T.tolist(), known.helped_s.T.tolist()
        self.first = known.first.tolist()
        self.steps = {unit: steps.tolist() for unit, steps in known.steps.items()}
        self.alarms = known.alarms.tolist()
        self.outside = known.outside.tolist()
        self.hosts = known.hosts
        self.moving = known.moving
        self.leaning = known.leaning
        self.ways = [known.lives.moving.get(name) for name in known.services]
        self.data = known.standing.lab.of(Data)
        self.sets: dict[frozenset[int], Truth] = {}
        self.asking_s = 0.0

    def truth(self, down: frozenset[int]) -> Truth:
        """What a set does, remembered."""
        found = self.sets.get(down)
        if found is None:
            began = time.process_time()
            found = self.sets[down] = Truth(self, down)
            self.asking_s += time.process_time() - began
        return found

    def opens(self, server: int, moment: float) -> float:
        """The next moment at which someone works."""
        week, phase = divmod(moment, WEEK_S)
        for start, end in self.hours[server]:
            if phase < end:
                return week * WEEK_S + max(phase, start)
        return (week + 1) * WEEK_S + self.hours[server][0][0]

    def hands_at(self, moment: float, truth: Truth) -> float:
        """When hands are there for a trouble that begins at a moment."""
        scene = self.known.scene
        told = any(truth.back[alarm] for alarm in self.alarms)
        moment += scene.told_s if told else scene.seen_s
        return min(self.opens(server, moment) + self.comes[server] for server in range(len(self.hours)))


class Truth:
    """What a set of broken parts does, asked once."""

    def __init__(self, facts: Facts, down: frozenset[int]) -> None:
        known = facts.known
        loss = lose(known.standing, [known.parts[unit] for unit in down], thin=False)
        view = loss.view
        self.up = [view.up(name) for name in known.services]
        self.back = [view.back(name) for name in known.services]
        self.out = [number for number, back in enumerate(self.back) if not back]
        self.shaken = [number for number, up in enumerate(self.up) if not up and self.back[number]]
        self.fall = [effect.falls_s for effect in loss.effects]
        self.blink = [loss.down[name].back_s if name in loss.down else 0.0 for name in known.services]
        self.own = {
            number: view.column[hosts].sum() < enough
            for number, (hosts, enough) in facts.hosts.items()
            if number in self.shaken
        }
        self.copies = {
            number: (view.column[up].tolist(), view.column[back].tolist())
            for number, (up, back, _) in facts.moving.items()
        }
        self.held = {data.id: view.kept(f"held:{data.id}") for data in facts.data}


class Run:
    """One life of the lab."""

    def __init__(self, facts: Facts, seed: int) -> None:
        self.facts = facts
        self.random = random.Random(seed)
        self.env = simpy.Environment()
        self.down: dict[int, float] = {}
        self.whole: dict[int, simpy.Event] = {}
        self.truth = facts.truth(frozenset())
        self.free = [0.0] * len(facts.hours)
        self.shelves = [[0.0] * stock.shelf for stock in facts.known.scene.plan.stocks]
        self.out_since: dict[int, float] = {}
        self.due: dict[int, float] = {}
        self.spans: list[list[tuple[float, float]]] = [[] for _ in facts.known.services]
        self.restoring: dict[str, float] = {}
        for unit, rate in enumerate(facts.rate):
            if rate > 0:
                self.env.process(self.part(unit, rate))

    def part(self, unit: int, rate: float) -> Event:
        """A part breaks and is mended, again and again."""
        facts, env, chance = self.facts, self.env, self.random
        while True:
            yield env.timeout(chance.expovariate(rate))
            since = env.now
            self.down[unit] = since
            self.whole[unit] = env.event()
            self.changed(broken=unit)
            seen = not facts.watches or any(not (group & self.down.keys()) for group in facts.watches)
            yield env.timeout(facts.found[unit] if seen else facts.unseen[unit])
            if facts.stock[unit] >= 0:
                yield env.timeout(self.spare(facts.stock[unit]) - env.now)
            sigma = facts.sigma[unit]
            work = facts.work[unit] * math.exp(sigma * chance.gauss(0.0, 1.0) - sigma * sigma / 2)
            if facts.by_hand[unit]:
                yield env.timeout(self.hands(min(work, facts.held[unit])) - env.now)
            yield env.timeout(work)
            del self.down[unit]
            self.whole[unit].succeed()
            self.changed(mended=unit, since=since)

    def spare(self, kind: int) -> float:
        """When a replacement is there; another one is ordered."""
        shelf = self.shelves[kind]
        shelf.append(self.env.now + self.facts.known.scene.plan.stocks[kind].lead_s)
        first = min(shelf)
        shelf.remove(first)
        return max(first, self.env.now)

    def hands(self, held: float) -> float:
        """When the first free hands are there; they are held so long."""
        facts = self.facts
        begins = [
            facts.opens(server, max(self.env.now, free)) + facts.comes[server]
            for server, free in enumerate(self.free)
        ]
        who = min(range(len(begins)), key=begins.__getitem__)
        self.free[who] = begins[who] + held
        return begins[who]

    def changed(self, *, broken: int = -1, mended: int = -1, since: float = 0.0) -> None:
        """A part broke or was mended: services fall, blink, or come back."""
        before, now = self.truth, self.env.now
        self.truth = after = self.facts.truth(frozenset(self.down))
        for service in before.out:
            if after.back[service]:
                self.comes_back(service, now, mended, since, after)
        for service in after.out:
            self.falls(service, now, after)
        if broken >= 0:
            for service in after.shaken:
                self.shaken(service, now, broken, before, after)
            for data in self.facts.data:
                if before.held[data.id] and not after.held[data.id]:
                    self.restoring[data.id] = now
        else:
            for data in [
                each for each in self.facts.data if each.id in self.restoring and after.held[each.id]
            ]:
                begun = self.restoring.pop(data.id)
                backed_up = bool(data.backed_up)
                until = self.facts.hands_at(now, before) + ((data.size or 0.0) / 50e6 if backed_up else 0.0)
                for name in data.of.ids if data.of else ():
                    self.spans[self.facts.known.services.index(name)].append((begun, until))

    def falls(self, service: int, now: float, truth: Truth) -> None:
        """Note when a service is due to fall, at the latest now if no hold is left."""
        facts = self.facts
        moments = [
            moment + facts.fall1[unit][service]
            for unit, moment in self.down.items()
            if not facts.back1[unit][service]
        ]
        moments.append(max(self.down.values()) + truth.fall[service])
        due = max(min(moments), now)
        self.due[service] = min(due, self.due.get(service, math.inf))

    def comes_back(self, service: int, now: float, mended: int, since: float, truth: Truth) -> None:
        """Note an outage that ends, if it had begun: with the restart, and hands where it takes them."""
        due = self.due.pop(service)
        if due >= now:
            return
        facts = self.facts
        alone, helped = math.inf, math.inf
        if mended >= 0 and not facts.back1[mended][service]:
            column = facts.first[mended] + sum(step < now - since for step in facts.steps[mended])
            alone, helped = facts.alone[column][service], facts.helped[column][service]
        elif mended >= 0:
            alone = 0.0
        if alone == math.inf:
            hands = facts.hands_at(now, truth) - now
            alone = hands + (helped if helped < math.inf else STUCK_S)
        self.spans[service].append((due, now + alone))

    def shaken(self, service: int, now: float, unit: int, before: Truth, after: Truth) -> None:
        """It comes back by itself: a blink, if that works."""
        facts = self.facts
        if before.up[service]:
            if not facts.up1[unit][service] and facts.back1[unit][service]:
                start, lasts = now + facts.fall1[unit][service], facts.blink1[unit][service]
            else:
                start, lasts = now + after.fall[service], after.blink[service]
            if not math.isfinite(start + lasts):
                return
        elif before.back[service] and service in facts.moving:
            up, back = before.copies[service]
            up_now, back_now = after.copies[service]
            serving = back.index(True)
            if back_now[serving] and (up_now[serving] or not up[serving]):
                return
            start, lasts = now, facts.moving[service][2]
        else:
            return
        way = facts.ways[service]
        if after.own.get(service) and way is not None:
            unseen = (way.breaks_unseen.low + way.breaks_unseen.high) / 2 / YEAR_S
            works = 1 - (way.stumbles.low + way.stumbles.high) / 2
            works *= math.exp(-unseen * (start % way.drilled_s))
            if self.random.random() >= works:
                self.env.process(self.stumble(service, start, lasts, after, unit))
                return
        if start > now:
            self.env.process(self.later(service, start, lasts, after))
        else:
            self.spans[service].append((start, start + lasts))

    def stumble(self, service: int, start: float, lasts: float, truth: Truth, unit: int) -> Event:
        """It does not come back by itself: until hands have put it right, or our own part is mended."""
        facts, env = self.facts, self.env
        by_hand = env.timeout(facts.hands_at(start, truth) + BY_HAND_S - env.now)
        yield by_hand if facts.outside[unit] else by_hand | self.whole[unit]
        end = max(env.now, start) + lasts
        self.spans[service].append((start, end))
        for other, hold in facts.leaning[service]:
            if start + hold < end:
                self.spans[other].append((start + hold, end))

    def later(self, service: int, start: float, lasts: float, truth: Truth) -> Event:
        """A blink after a hold, unless something has changed by then."""
        yield self.env.timeout(start - self.env.now)
        if self.truth is truth:
            self.spans[service].append((start, start + lasts))

    def down_s(self) -> list[float]:
        """Seconds each service was down in the counted years."""
        begin, end = SKIPPED * YEAR_S, (SKIPPED + COUNTED) * YEAR_S
        for service, due in self.due.items():
            self.spans[service].append((due, end))
        totals = []
        for spans in self.spans:
            total, reach = 0.0, begin
            for start, stop in sorted(spans):
                start, stop = max(start, reach), min(stop, end)
                if stop > start:
                    total += stop - start
                    reach = stop
            totals.append(total)
        return totals


def plain(standing: Standing, runs: int, seed: int = 1) -> tuple[np.ndarray, float]:
    """Minutes down in a year for each run and service, (runs, n_services); and seconds spent asking falsework."""
    started = time.process_time()
    facts = Facts(Known(standing))
    facts.asking_s = time.process_time() - started
    found = []
    for number in range(runs):
        run = Run(facts, seed * 1_000_003 + number)
        run.env.run(until=(SKIPPED + COUNTED) * YEAR_S)
        found.append(run.down_s())
    return np.array(found) / 60.0 / COUNTED, facts.asking_s


if __name__ == "__main__":
    years = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    lab = Standing(load(LAB))
    began = time.process_time()
    minutes, asking = plain(lab, years // COUNTED)
    print(
        f"{years} years in {time.process_time() - began:.2f} s, {asking:.2f} s of them asking what losses do"
    )
    errors = minutes.std(axis=0, ddof=1) / len(minutes) ** 0.5
    for name, mean, error in zip(lab.support.services, minutes.mean(axis=0), errors, strict=True):
        print(f"{name:12} {mean:9.2f} ± {1.96 * error:7.2f}")
