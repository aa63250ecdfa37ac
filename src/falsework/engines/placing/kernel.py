"""What does a step change, and is it taken?

A step moves an item, or two that change places. Its price by level is worked out from the sums of the two bins and
from the counts of the sets that the item is in; a step that is not taken leaves no trace. Every function here is
plain loops over arrays, so that it can be compiled.

A step that is worse at a level is taken with chance exp(-worse / temperature of that level), whatever it brings at
later levels; one that is better is always taken.

Source:
    S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi (1983), Optimization by simulated annealing, Science 220, 671-680;
    that it suits problems of this kind: G. M. Portal, M. Ritt, L. M. Borba, L. S. Buriol (2016), Simulated annealing
    for the machine reassignment problem, Annals of Operations Research 242, 93-114. The rest is our own.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from falsework.engines.placing.compiled import compiled
from falsework.engines.placing.flat import (
    APART,
    AT_MOST,
    BROKEN,
    ITEMS,
    NEAR,
    SPREAD,
    TOGETHER,
    Array,
    Flat,
    State,
)
from falsework.engines.placing.losses import Safe, plan_all, price_of, rehouse, unhouse


@compiled
def seed(number: int) -> None:
    """Begin the chances of this thread anew."""
    np.random.seed(number)


@compiled
def price(data: Flat, at: int, use: Array, held: Array, out: Array) -> None:
    """What a bin costs by level with this use, what is held in it counted against its capacity."""
    out[:] = 0
    n_resources = use.shape[0]
    for r in range(n_resources):
        over = held[r] - data.capacity[at, r]
        if over > 0:
            out[0] += 1 + over * BROKEN // data.scale[r]
    for c in range(data.comfort_level.shape[0]):
        total = 0
        for r in range(n_resources):
            over = use[r] - data.comfort_upto[c, at, r]
            if over > 0:
                total += data.comfort_weight[c, r] * over
        out[data.comfort_level[c]] += total
    for k in range(data.balance.shape[0]):
        one, other = data.balance[k, 1], data.balance[k, 2]
        short = data.balance[k, 3] * (data.capacity[at, one] - use[one]) - (
            data.capacity[at, other] - use[other]
        )
        if short > 0:
            out[data.balance[k, 0]] += data.balance[k, 4] * short


@compiled
def moving(data: Flat, item: int, at: int, sign: int, out: Array) -> None:
    """Add, or take off, what it costs that an item lies here and not where it was."""
    start = data.start[item]
    if start >= 0 and start != at:
        for k in range(data.moves.shape[0]):
            total = data.moves_each[k, item]
            if data.moves[k, 3] >= 0:
                total += data.moves[k, 2] * data.way[data.moves[k, 3], start, at]
            out[data.moves[k, 0]] += sign * total
    if data.any_barred and not data.allowed[item, at]:
        out[0] += sign * BROKEN


@compiled
def too_full(data: Flat, rule: int, held: int) -> int:
    """What a shared limit counts as broken."""
    over = held - data.shared[rule, 1]
    return 1 + over * BROKEN // data.scale[data.shared[rule, 0]] if over > 0 else 0


@compiled
def busier(data: Flat, state: State, item: int, change: int, out: Array) -> None:
    """Count an item as moved, or as moved no more, and what that changes for the busiest group."""
    group = data.group[item]
    before = state.moved[group]
    after = before + change
    state.moved[group] = after
    state.groups_with[before] -= 1
    state.groups_with[after] += 1
    most = state.busiest[0]
    if after > most or (before == most and state.groups_with[before] == 0):
        state.busiest[0] = after
    change = state.busiest[0] - most
    if change != 0:
        for k in range(data.moves.shape[0]):
            out[data.moves[k, 0]] += data.moves[k, 1] * change


@compiled
def keep_company(data: Flat, state: State, item: int, old: int, new: int, clean: bool, out: Array) -> None:
    """Carry an item from bin to bin in all counts, and add what rules of company, limits and the busiest group cost.

    Args:
        data: the problem.
        state: its counts change; not its bins.
        item: which.
        old: from where.
        new: to where.
        clean: that nothing is broken now, which spares most of the looking.
        out: (levels,) is added to.
    """
    at_first = out[0]
    for e in range(data.item_first[item], data.item_first[item + 1]):
        s = data.item_sets[e]
        x = data.maps[data.set_map[s], old]
        y = data.maps[data.set_map[s], new]
        if x == y:
            continue
        base = data.set_base[s]
        c_x = state.counts[base + x] if x >= 0 else 0
        c_y = state.counts[base + y] if y >= 0 else 0
        if not (clean and data.set_quiet[s] and c_x > 1 and c_y > 0 and out[0] == at_first):
            domains, outside = state.domains[s], state.outside[s]
            domains_after = domains - (c_x == 1) + (y >= 0 and c_y == 0)
            outside_after = outside - (x < 0) + (y < 0)
            for j in range(data.set_first[s], data.set_first[s + 1]):
                rule = data.set_rules[j, 0]
                kind, level, weight, limit = (
                    data.rules[rule, 0],
                    data.rules[rule, 1],
                    data.rules[rule, 2],
                    data.rules[rule, 3],
                )
                if kind == APART:
                    if c_x >= 2:
                        out[level] -= weight
                    if c_y >= 1:
                        out[level] += weight
                elif kind == SPREAD:
                    out[level] += weight * (max(0, limit - domains_after) - max(0, limit - domains))
                elif kind == TOGETHER:
                    out[level] += weight * (
                        max(0, domains_after - 1) + outside_after - max(0, domains - 1) - outside
                    )
                elif kind == NEAR:
                    if data.set_rules[j, 1] == ITEMS:
                        other = data.set_base[data.rules[rule, 5]]
                        if x >= 0 and state.counts[other + x] == 0:
                            out[level] -= weight
                        if y >= 0 and state.counts[other + y] == 0:
                            out[level] += weight
                    else:
                        other = data.set_base[data.rules[rule, 4]]
                        if c_x == 1:
                            out[level] += weight * state.counts[other + x]
                        if y >= 0 and c_y == 0:
                            out[level] -= weight * state.counts[other + y]
                elif kind == AT_MOST:
                    # One domain: what is in it is in these bins.
                    before = c_x if x >= 0 else c_y
                    after = before - 1 if x >= 0 else before + 1
                    if level == 0:
                        out[0] += weight * (max(0, after - limit) - max(0, before - limit))
                    else:
                        out[level] += weight * (int(after > limit) - int(before > limit))
        if x >= 0:
            state.counts[base + x] = c_x - 1
            if c_x == 1:
                state.domains[s] -= 1
        else:
            state.outside[s] -= 1
        if y >= 0:
            state.counts[base + y] = c_y + 1
            if c_y == 0:
                state.domains[s] += 1
        else:
            state.outside[s] += 1
    if data.shared.shape[0] > 0:
        share(data, state, item, old, -1, out)
        share(data, state, item, new, 1, out)
    start = data.start[item]
    if start >= 0 and (old == start) != (new == start):
        busier(data, state, item, 1 if old == start else -1, out)


@compiled
def share(data: Flat, state: State, item: int, at: int, sign: int, out: Array) -> None:
    """Take an item to or from the limits that a bin shares with others; what counts twice stays where it was."""
    for e in range(data.bin_first[at], data.bin_first[at + 1]):
        rule = data.bin_shared[e]
        r = data.shared[rule, 0]
        if data.twice[r] and at == data.start[item]:
            continue
        out[0] -= too_full(data, rule, state.shared_held[rule])
        state.shared_held[rule] += sign * data.size[item, r]
        out[0] += too_full(data, rule, state.shared_held[rule])


@compiled
def recount(data: Flat, state: State, safe: Safe | None) -> None:
    """Fill all sums of a placement from nothing."""
    n, n_resources = data.size.shape
    m = data.capacity.shape[0]
    state.use[:] = 0
    state.held[:] = 0
    state.counts[:] = 0
    state.domains[:] = 0
    state.outside[:] = 0
    state.shared_held[:] = 0
    state.moved[:] = 0
    state.groups_with[:] = 0
    state.cost[:] = 0
    for item in range(n):
        at, start = state.bin_of[item], data.start[item]
        for r in range(n_resources):
            state.use[at, r] += data.size[item, r]
            state.held[at, r] += data.size[item, r]
            if data.twice[r] and start >= 0 and start != at:
                state.held[start, r] += data.size[item, r]
        if start >= 0 and start != at:
            state.moved[data.group[item]] += 1
        moving(data, item, at, 1, state.cost)
        for e in range(data.item_first[item], data.item_first[item + 1]):
            s = data.item_sets[e]
            domain = data.maps[data.set_map[s], at]
            if domain < 0:
                state.outside[s] += 1
            else:
                state.counts[data.set_base[s] + domain] += 1
                if state.counts[data.set_base[s] + domain] == 1:
                    state.domains[s] += 1
    for at in range(m):
        price(data, at, state.use[at], state.held[at], state.bin_cost[at])
        for level in range(data.n_levels):
            state.cost[level] += state.bin_cost[at, level]
        for e in range(data.bin_first[at], data.bin_first[at + 1]):
            state.shared_held[data.bin_shared[e]] += state.held[at, data.shared[data.bin_shared[e], 0]]
    for rule in range(data.shared.shape[0]):
        state.cost[0] += too_full(data, rule, state.shared_held[rule])
    state.busiest[0] = 0
    for group in range(state.moved.shape[0]):
        state.groups_with[state.moved[group]] += 1
        state.busiest[0] = max(state.busiest[0], state.moved[group])
    for k in range(data.moves.shape[0]):
        state.cost[data.moves[k, 0]] += data.moves[k, 1] * state.busiest[0]
    for rule in range(data.rules.shape[0]):
        state.cost[data.rules[rule, 1]] += company(data, state, rule)
    if safe is not None:
        plan_all(data, state, safe)
        price_of(safe, state.cost, 1)


@compiled
def company(data: Flat, state: State, rule: int) -> int:
    """What a rule of company costs, from the counts."""
    kind, weight, limit, s = (
        data.rules[rule, 0],
        data.rules[rule, 2],
        data.rules[rule, 3],
        data.rules[rule, 4],
    )
    base, end = data.set_base[s], data.set_base[s + 1]
    total = 0
    if kind == SPREAD:
        total = max(0, limit - state.domains[s])
    elif kind == TOGETHER:
        total = max(0, state.domains[s] - 1) + state.outside[s]
    elif kind == AT_MOST:
        if end > base:
            total = max(0, state.counts[base] - limit)
        if data.rules[rule, 1] > 0:
            total = min(total, 1)
    else:
        other = data.set_base[data.rules[rule, 5]] if kind == NEAR else 0
        for domain in range(end - base):
            count = state.counts[base + domain]
            if kind == APART:
                total += max(0, count - 1)
            elif state.counts[other + domain] == 0:
                total += count
    return int(weight * total)


class Heat(NamedTuple):
    """How steps are taken."""

    temperature: Array  # (levels,) 0 where nothing worse is taken
    pulled: int  # the level at which items are drawn home
    pull: Array  # (n,) how much
    swaps: float  # the share of steps in which two items change places
    relays: float  # the share in which one makes room for another
    homing: float  # how often an item that makes a step alone, or makes room, goes where it was at first


class Work(NamedTuple):
    """Room to work in."""

    items: Array  # (3,)
    olds: Array
    news: Array
    bins: Array  # (6,)
    use: Array  # (6, r)
    held: Array
    price: Array  # (6, l)
    out: Array  # (l,)
    early: Array  # (l,)
    was_use: Array  # (6, r)
    was_held: Array
    was_price: Array  # (6, l)


def work(data: Flat) -> Work:
    """Room for steps of up to three items."""
    n_resources, n_levels = data.size.shape[1], data.n_levels
    return Work(
        items=np.zeros(3, dtype=np.int64),
        olds=np.zeros(3, dtype=np.int64),
        news=np.zeros(3, dtype=np.int64),
        bins=np.zeros(6, dtype=np.int64),
        use=np.zeros((6, n_resources), dtype=np.int64),
        held=np.zeros((6, n_resources), dtype=np.int64),
        price=np.zeros((6, n_levels), dtype=np.int64),
        out=np.zeros(n_levels, dtype=np.int64),
        early=np.zeros(n_levels, dtype=np.int64),
        was_use=np.zeros((6, n_resources), dtype=np.int64),
        was_held=np.zeros((6, n_resources), dtype=np.int64),
        was_price=np.zeros((6, n_levels), dtype=np.int64),
    )


@compiled
def taken(out: Array, heat: Heat, drawn: float, chance: float) -> bool:
    """Whether a step of this price is taken; by chance, from 0 to 1, where it is worse and the level still warm."""
    for level in range(out.shape[0]):
        worse = float(out[level])
        if level == heat.pulled:
            worse += drawn
        if worse < 0:
            return True
        if worse > 0:
            warm = heat.temperature[level]
            if warm <= 0 or worse > 40 * warm:
                return False
            return chance < math.exp(-worse / warm)
    return True


@compiled
def fits(data: Flat, state: State, item: int, new: int, leaving: int) -> bool:
    """Whether an item has room in a bin once another has left it; `leaving` may be NOWHERE."""
    home = data.start[item] == new
    left = leaving >= 0
    stays = left and data.start[leaving] == new
    for r in range(data.size.shape[1]):
        held = state.held[new, r]
        if data.twice[r]:
            if not home:
                held += data.size[item, r]
            if left and not stays:
                held -= data.size[leaving, r]
        else:
            held += data.size[item, r]
            if left:
                held -= data.size[leaving, r]
        if held > data.capacity[new, r]:
            return False
    return True


@compiled
def slot(state: State, work: Work, at: int, count: int) -> int:
    """Where a bin's sums stand in the work space; they are copied there when it is new."""
    for i in range(count):
        if work.bins[i] == at:
            return i
    work.bins[count] = at
    for r in range(state.use.shape[1]):
        work.use[count, r] = state.use[at, r]
        work.held[count, r] = state.held[at, r]
    return count


@compiled
def step(data: Flat, state: State, safe: Safe | None, work: Work, count: int, heat: Heat) -> bool:
    """Move the items of `work.items` into the bins of `work.news`, all at once, if the step is taken.

    Args:
        data: the problem.
        state: changed if it is.
        safe: plans for losses, or None where there are none; so are the loops then compiled, without them.
        work: `items` and `news`, of `count` different items; the rest is of no use before and after.
        count: how many.
        heat: how steps are taken.
    """
    clean = state.cost[0] == 0
    bins = 0
    out = work.out
    out[:] = 0
    drawn = 0.0
    chance = np.random.random()
    n_resources = data.size.shape[1]
    for i in range(count):
        item, new = work.items[i], work.news[i]
        old, start = state.bin_of[item], data.start[item]
        work.olds[i] = old
        if old == new or (data.any_barred and not data.allowed[item, new]):
            return False
        one = slot(state, work, old, bins)
        bins = max(bins, one + 1)
        two = slot(state, work, new, bins)
        bins = max(bins, two + 1)
        for r in range(n_resources):
            size = data.size[item, r]
            work.use[one, r] -= size
            work.use[two, r] += size
            if not (data.twice[r] and old == start):
                work.held[one, r] -= size
            if not (data.twice[r] and new == start):
                work.held[two, r] += size
        if old == start:
            drawn += heat.pull[item]
        elif new == start:
            drawn -= heat.pull[item]
        moving(data, item, old, -1, out)
        moving(data, item, new, 1, out)
    for i in range(bins):
        if clean:
            for r in range(n_resources):
                if work.held[i, r] > data.capacity[work.bins[i], r]:
                    return False
        price(data, work.bins[i], work.use[i], work.held[i], work.price[i])
        for level in range(data.n_levels):
            out[level] += work.price[i, level] - state.bin_cost[work.bins[i], level]
    loose = False  # whether a step may house who was homeless
    if safe is not None:
        loose = safe.homeless[-1] > 0
    # What company and losses cost can only be more while nothing is broken: most steps end here, before the counts.
    if clean and not data.any_soft and not loose and not taken(out, heat, drawn, chance):
        return False
    first = out[0]
    for i in range(count):
        keep_company(data, state, work.items[i], work.olds[i], work.news[i], clean and out[0] == first, out)
    if not loose and ((clean and out[0] > first) or not taken(out, heat, drawn, chance)):
        leave_company(data, state, work, count)
        return False
    commit(data, state, work, count, bins)
    if safe is not None:
        kept = rehouse(data, state, safe, work.items, work.olds, work.news, count, out)
        if not kept or (clean and out[0] > first) or not taken(out, heat, drawn, chance):
            unhouse(data, state, safe, work.items, work.olds, work.news, count)
            leave_company(data, state, work, count)
            for i in range(bins):
                at = work.bins[i]
                state.use[at] = work.was_use[i]
                state.held[at] = work.was_held[i]
                state.bin_cost[at] = work.was_price[i]
            return False
    for level in range(data.n_levels):
        state.cost[level] += out[level]
    return True


@compiled
def leave_company(data: Flat, state: State, work: Work, count: int) -> None:
    """Undo what `keep_company` did for a step."""
    for i in range(count):
        keep_company(data, state, work.items[i], work.news[i], work.olds[i], True, work.early)


@compiled
def commit(data: Flat, state: State, work: Work, count: int, bins: int) -> None:
    """Take over the sums of the bins of a step; those before are kept in the work space."""
    for i in range(bins):
        at = work.bins[i]
        for r in range(data.size.shape[1]):
            work.was_held[i, r] = state.held[at, r]
            work.was_use[i, r] = state.use[at, r]
            state.held[at, r] = work.held[i, r]
            state.use[at, r] = work.use[i, r]
        for level in range(data.n_levels):
            work.was_price[i, level] = state.bin_cost[at, level]
            state.bin_cost[at, level] = work.price[i, level]
    for i in range(count):
        state.bin_of[work.items[i]] = work.news[i]


@compiled
def less(one: Array, other: Array) -> bool:
    """Whether a cost by level is lower than another."""
    for level in range(one.shape[0]):
        if one[level] != other[level]:
            return bool(one[level] < other[level])
    return False


@compiled
def anneal(
    data: Flat,
    state: State,
    safe: Safe | None,
    work: Work,
    heat: Heat,
    best: Array,
    best_cost: Array,
    steps: int,
    felt: Array,
) -> int:
    """Try so many steps at one temperature.

    Args:
        data: the problem.
        state: changed.
        safe: changed.
        work: of no use before and after.
        heat: how steps are taken.
        best: (n,) the best placement so far; kept up.
        best_cost: (levels,) what it costs.
        steps: how many.
        felt: (levels, 2) to which is added how much, and how often, the steps that were taken changed a level.

    Returns:
        How many were taken.
    """
    n = data.size.shape[0]
    m = data.capacity.shape[0]
    before = np.zeros(data.n_levels, dtype=np.int64)
    count = 0
    good = less(state.cost, best_cost)  # whether this is the best, and not yet written down
    if good:
        best_cost[:] = state.cost
    for _ in range(steps):
        item = int(np.random.random() * n)
        at = state.bin_of[item]
        kind = np.random.random()
        clean = state.cost[0] == 0
        length = 2
        work.items[0] = item
        if kind < heat.swaps:
            other = int(np.random.random() * n)
            new = state.bin_of[other]
            if at == new:
                continue
            if clean and not (fits(data, state, item, new, other) and fits(data, state, other, at, item)):
                continue
            work.news[0] = new
            work.items[1] = other
            work.news[1] = at
        elif kind < heat.swaps + heat.relays:
            # The first goes, mostly home, and another comes into its bin.
            home = data.start[item]
            new = int(np.random.random() * m)
            if np.random.random() < heat.homing:
                if home < 0 or home == at:
                    continue
                new = home
            other = int(np.random.random() * n)
            if new == at or other == item or state.bin_of[other] == at:
                continue
            if clean and not (fits(data, state, other, at, item) and fits(data, state, item, new, -1)):
                continue
            work.news[0] = new
            work.items[1] = other
            work.news[1] = at
        else:
            length = 1
            new = int(np.random.random() * m)
            if data.start[item] >= 0 and np.random.random() < heat.homing:
                new = data.start[item]
            if new == at or (clean and not fits(data, state, item, new, -1)):
                continue
            work.news[0] = new
        before[:] = state.cost
        if not step(data, state, safe, work, length, heat):
            continue
        count += 1
        for level in range(data.n_levels):
            if state.cost[level] != before[level]:
                felt[level, 0] += abs(float(state.cost[level] - before[level]))
                felt[level, 1] += 1.0
        if less(state.cost, best_cost):
            best_cost[:] = state.cost
            good = True
        elif good and less(before, state.cost):
            # The best is left only now: one copy, not one for each improvement on the way.
            best[:] = state.bin_of
            for i in range(length):
                best[work.items[i]] = work.olds[i]
            good = False
    if good:
        best[:] = state.bin_of
    return count
