"""Where does every item go in every loss, and what of that changes when a step is taken?

For each loss there is a plan: a bin that is left for each item that looks for a place. While a plan holds it proves
that the loss is survived, so a step need only mend what it breaks: the plans of the items that it moves, plans that
led into a bin that is fuller now, and plans beside an item that is to be kept apart. What finds no place is homeless;
a cleverer packing might house it, never the other way round.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from falsework.engines.placing.compiled import compiled
from falsework.engines.placing.flat import APART, BROKEN, Array, Flat, State, rows
from falsework.engines.placing.problem import HARD, NOWHERE, Problem

_MOST_CHANGES = 20_000
"""Plans that one step may change; one that needs more is not taken."""
_MOST_REPACKED = 400
"""Items of a loss for which, during a step, all of its plans may be made anew."""


class Safe(NamedTuple):
    """The losses of a problem, a plan for each, and what a step changed, so that it can be undone."""

    rules: Array  # (x, 2) level, weight
    lost: Array  # (x, m) bool
    loss_first: Array  # (x + 1,)
    loss_bins: Array  # bins of each loss
    slot_first: Array  # (m + 1,)
    slot_losses: Array  # losses of each bin; an item's plans stand in the same order
    restarts: Array  # (n,) bool: looks for another place when its bin is lost
    sheds: Array  # (n,) bool: is out of the way then
    rank: Array  # (n,) 0 for the largest
    set_apart: Array  # (s,) bool: its rules keep apart
    member_first: Array  # (s + 1,)
    members: Array  # items of sets that keep apart; of others none
    calm: Array  # (m, r) what runs on after a loss elsewhere
    extra: Array  # (x, m, r) what comes then
    plan: Array  # (n, k) where an item goes in each loss of its bin; HOMELESS, or UNPLANNED
    homeless: Array  # (x + 1,) items that find no place, and at the end all together
    head: Array  # (m,) the first item of each bin
    after: Array  # (n,) the item after
    ahead: Array  # (n,) the item before
    done: Array  # (2,) changes; whether there were too many
    changes: Array  # (_MOST_CHANGES, 3) item, slot, plan before
    plans: Array  # (3, k) plans of the items that move
    failed: Array  # (x,) bool: losses in which something found no place
    order: Array  # (n,) to sort in


HOMELESS = -1
UNPLANNED = -2


def safety(problem: Problem, data: Flat) -> Safe | None:
    """The losses of a problem, with plans still empty; None if there are none, for what is not there costs nothing."""
    n, m, x = problem.n_items, problem.n_bins, len(problem.losses)
    if x == 0:
        return None
    lost = np.zeros((x, m), dtype=np.bool_)
    slots: list[list[int]] = [[] for _ in range(m)]
    for number, loss in enumerate(problem.losses):
        lost[number, list(loss.bins)] = True
        for one in sorted(set(loss.bins)):
            slots[one].append(number)
    slot_first, slot_losses = rows(slots)
    loss_first, loss_bins = rows([sorted(set(loss.bins)) for loss in problem.losses])
    n_sets = data.set_map.shape[0]
    apart = np.zeros(n_sets, dtype=np.bool_)
    members: list[list[int]] = [[] for _ in range(n_sets)]
    for s in range(n_sets):
        rules = data.set_rules[data.set_first[s] : data.set_first[s + 1], 0]
        apart[s] = bool((data.rules[rules, 0] == APART).any())
    for item in range(n):
        for s in data.item_sets[data.item_first[item] : data.item_first[item + 1]].tolist():
            if apart[s]:
                members[s].append(item)
    member_first, flat_members = rows(members)
    most = np.maximum(problem.capacity.max(axis=0, initial=1), 1)
    rank = np.empty(n, dtype=np.int64)
    rank[np.argsort(-(problem.size / most).max(axis=1, initial=0), kind="stable")] = np.arange(n)
    n_slots = int(np.diff(slot_first).max(initial=0))
    return Safe(
        rules=np.array(
            [(one.level + 1, BROKEN if one.level == HARD else one.weight) for one in problem.losses],
            dtype=np.int64,
        ),
        lost=lost,
        loss_first=loss_first,
        loss_bins=loss_bins,
        slot_first=slot_first,
        slot_losses=slot_losses,
        restarts=np.ascontiguousarray(problem.restarting & ~problem.shedding),
        sheds=np.ascontiguousarray(problem.shedding),
        rank=rank,
        set_apart=apart,
        member_first=member_first,
        members=flat_members,
        calm=np.zeros(problem.capacity.shape, dtype=np.int64),
        extra=np.zeros((x, *problem.capacity.shape), dtype=np.int64),
        plan=np.full((n, n_slots), UNPLANNED, dtype=np.int64),
        homeless=np.zeros(x + 1, dtype=np.int64),
        head=np.full(m, NOWHERE, dtype=np.int64),
        after=np.full(n, NOWHERE, dtype=np.int64),
        ahead=np.full(n, NOWHERE, dtype=np.int64),
        done=np.zeros(2, dtype=np.int64),
        changes=np.zeros((_MOST_CHANGES, 3), dtype=np.int64),
        plans=np.zeros((3, n_slots), dtype=np.int64),
        failed=np.zeros(x, dtype=np.bool_),
        order=np.zeros(n, dtype=np.int64),
    )


@compiled
def planned(state: State, safe: Safe, item: int, loss: int) -> int:
    """Where an item goes in a loss of its bin."""
    at = state.bin_of[item]
    first = safe.slot_first[at]
    for k in range(safe.slot_first[at + 1] - first):
        if safe.slot_losses[first + k] == loss:
            return int(safe.plan[item, k])
    return UNPLANNED


@compiled
def room(data: Flat, safe: Safe, loss: int, at: int, item: int) -> bool:
    """Whether there is room for one more item in a bin in a loss; for `item` -1, whether it is not too full."""
    for r in range(data.size.shape[1]):
        held = safe.calm[at, r] + safe.extra[loss, at, r]
        if item >= 0:
            held += data.size[item, r]
        if held > data.capacity[at, r]:
            return False
    return True


@compiled
def alone(data: Flat, state: State, safe: Safe, loss: int, at: int, item: int) -> bool:
    """Whether nothing runs in a loss that an item in this bin is to be kept apart from."""
    for e in range(data.item_first[item], data.item_first[item + 1]):
        s = data.item_sets[e]
        if not safe.set_apart[s]:
            continue
        by = data.set_map[s]
        domain = data.maps[by, at]
        if domain < 0:
            continue
        for j in range(safe.member_first[s], safe.member_first[s + 1]):
            other = safe.members[j]
            if other == item or safe.sheds[other]:
                continue
            where = state.bin_of[other]
            if safe.lost[loss, where]:
                where = planned(state, safe, other, loss) if safe.restarts[other] else -1
            if where >= 0 and data.maps[by, where] == domain:
                return False
    return True


@compiled
def plan(data: Flat, state: State, safe: Safe, item: int, k: int, to: int, noted: bool) -> None:
    """Set where an item goes in the k-th loss of its bin."""
    loss = safe.slot_losses[safe.slot_first[state.bin_of[item]] + k]
    old = safe.plan[item, k]
    if noted:
        safe.changes[safe.done[0], 0] = item
        safe.changes[safe.done[0], 1] = k
        safe.changes[safe.done[0], 2] = old
        safe.done[0] += 1
    if old >= 0:
        for r in range(data.size.shape[1]):
            safe.extra[loss, old, r] -= data.size[item, r]
    elif old == HOMELESS:
        safe.homeless[loss] -= 1
        safe.homeless[-1] -= 1
    safe.plan[item, k] = to
    if to >= 0:
        for r in range(data.size.shape[1]):
            safe.extra[loss, to, r] += data.size[item, r]
    elif to == HOMELESS:
        safe.homeless[loss] += 1
        safe.homeless[-1] += 1


@compiled
def house(data: Flat, state: State, safe: Safe, item: int, k: int) -> None:
    """Find an item a place in the k-th loss of its bin: the first after a bin drawn by chance."""
    if safe.done[0] + 2 >= safe.changes.shape[0]:
        safe.done[1] = 1
        return
    m = data.capacity.shape[0]
    loss = safe.slot_losses[safe.slot_first[state.bin_of[item]] + k]
    if safe.plan[item, k] != UNPLANNED:
        plan(data, state, safe, item, k, UNPLANNED, True)
    at = int(np.random.random() * m)
    for _ in range(m):
        at = at + 1 if at + 1 < m else 0
        if safe.lost[loss, at] or (data.any_barred and not data.allowed[item, at]):
            continue
        if room(data, safe, loss, at, item) and alone(data, state, safe, loss, at, item):
            plan(data, state, safe, item, k, at, True)
            return
    plan(data, state, safe, item, k, HOMELESS, True)
    safe.failed[loss] = True


@compiled
def repack(data: Flat, state: State, safe: Safe, loss: int, most: int, noted: bool) -> None:
    """Make the plans of a loss anew: the largest first, each where it leaves least."""
    m, n_resources = data.capacity.shape
    count = 0
    for b in range(safe.loss_first[loss], safe.loss_first[loss + 1]):
        item = safe.head[safe.loss_bins[b]]
        while item >= 0:
            if safe.restarts[item]:
                safe.order[count] = item
                count += 1
                if count > most:
                    return
            item = safe.after[item]
    if noted and safe.done[0] + 2 * count >= safe.changes.shape[0]:
        safe.done[1] = 1
        return
    keys = np.empty(count, dtype=np.int64)
    for i in range(count):
        keys[i] = safe.rank[safe.order[i]]
    sorted_ = np.argsort(keys)
    for i in range(count):
        item = safe.order[i]
        k = slot_of(state, safe, item, loss)
        if safe.plan[item, k] != UNPLANNED:
            plan(data, state, safe, item, k, UNPLANNED, noted)
    for i in range(count):
        item = safe.order[sorted_[i]]
        k = slot_of(state, safe, item, loss)
        best, least = HOMELESS, 2.0 * n_resources
        for at in range(m):
            if safe.lost[loss, at] or (data.any_barred and not data.allowed[item, at]):
                continue
            if not room(data, safe, loss, at, item):
                continue
            left = 0.0
            for r in range(n_resources):
                if data.capacity[at, r] > 0:
                    left += (
                        data.capacity[at, r] - safe.calm[at, r] - safe.extra[loss, at, r]
                    ) / data.capacity[at, r]
            if left < least and alone(data, state, safe, loss, at, item):
                best, least = at, left
        plan(data, state, safe, item, k, best, noted)


@compiled
def slot_of(state: State, safe: Safe, item: int, loss: int) -> int:
    """Which loss of an item's bin this one is."""
    first = safe.slot_first[state.bin_of[item]]
    k = 0
    while safe.slot_losses[first + k] != loss:
        k += 1
    return k


@compiled
def put(data: Flat, safe: Safe, item: int, old: int, new: int) -> None:
    """Move an item from the list of a bin to that of another, and what it takes after a loss elsewhere."""
    before, after = safe.ahead[item], safe.after[item]
    if old >= 0:
        if before >= 0:
            safe.after[before] = after
        else:
            safe.head[old] = after
        if after >= 0:
            safe.ahead[after] = before
    safe.ahead[item] = -1
    safe.after[item] = safe.head[new]
    if safe.head[new] >= 0:
        safe.ahead[safe.head[new]] = item
    safe.head[new] = item
    if not safe.sheds[item]:
        for r in range(data.size.shape[1]):
            if old >= 0:
                safe.calm[old, r] -= data.size[item, r]
            safe.calm[new, r] += data.size[item, r]


@compiled
def price_of(safe: Safe, out: Array, sign: int) -> None:
    """Add, or take off, what homeless items cost."""
    if safe.homeless[-1] > 0:
        for loss in range(safe.rules.shape[0]):
            if safe.homeless[loss] > 0:
                out[safe.rules[loss, 0]] += sign * safe.rules[loss, 1] * safe.homeless[loss]


@compiled
def plan_all(data: Flat, state: State, safe: Safe) -> None:
    """Lists of bins and plans for all losses, from nothing."""
    safe.calm[:] = 0
    safe.extra[:] = 0
    safe.plan[:] = UNPLANNED
    safe.homeless[:] = 0
    safe.head[:] = -1
    for item in range(data.size.shape[0]):
        put(data, safe, item, -1, state.bin_of[item])
    for loss in range(safe.rules.shape[0]):
        repack(data, state, safe, loss, data.size.shape[0], False)


@compiled
def rehouse(
    data: Flat, state: State, safe: Safe, items: Array, olds: Array, news: Array, count: int, out: Array
) -> bool:
    """Mend the plans after items have moved, and add what that costs.

    Args:
        data: the problem.
        state: `bin_of` is as after the step.
        safe: for `unhouse`.
        items: who moved.
        olds: from where.
        news: to where.
        count: how many.
        out: (levels,) is added to.

    Returns:
        Whether it could be done within the bounds; if not, it must be undone.
    """
    price_of(safe, out, -1)
    safe.done[:] = 0
    safe.failed[:] = False
    for i in range(count):
        item = items[i]
        state.bin_of[item] = olds[i]
        for k in range(safe.plan.shape[1]):
            safe.plans[i, k] = safe.plan[item, k]
            if safe.plan[item, k] != UNPLANNED:
                plan(data, state, safe, item, k, UNPLANNED, False)
        state.bin_of[item] = news[i]
        put(data, safe, item, olds[i], news[i])
    for i in range(count):
        crowd(data, state, safe, items[i], news[i])
    for i in range(count):
        if safe.restarts[items[i]]:
            for k in range(safe.slot_first[news[i] + 1] - safe.slot_first[news[i]]):
                house(data, state, safe, items[i], k)
    for loss in range(safe.rules.shape[0]):
        if safe.done[1]:
            return False
        if safe.failed[loss]:
            repack(data, state, safe, loss, _MOST_REPACKED, True)
        elif safe.homeless[loss] > 0:
            for i in range(count):
                call_home(data, state, safe, loss, olds[i])
    price_of(safe, out, 1)
    return bool(safe.done[1] == 0)


@compiled
def crowd(data: Flat, state: State, safe: Safe, item: int, at: int) -> None:
    """Find other places for those whose plans led where an item has come to."""
    if safe.sheds[item]:
        return
    for loss in range(safe.rules.shape[0]):
        if not safe.lost[loss, at] and not room(data, safe, loss, at, -1):
            for b in range(safe.loss_first[loss], safe.loss_first[loss + 1]):
                other = safe.head[safe.loss_bins[b]]
                while other >= 0 and not room(data, safe, loss, at, -1):
                    if safe.restarts[other]:
                        k = slot_of(state, safe, other, loss)
                        if safe.plan[other, k] == at:
                            house(data, state, safe, other, k)
                            if safe.done[1]:
                                return
                    other = safe.after[other]
    for e in range(data.item_first[item], data.item_first[item + 1]):
        s = data.item_sets[e]
        domain = data.maps[data.set_map[s], at]
        if not safe.set_apart[s] or domain < 0:
            continue
        for j in range(safe.member_first[s], safe.member_first[s + 1]):
            other = safe.members[j]
            if other == item or not safe.restarts[other]:
                continue
            first = safe.slot_first[state.bin_of[other]]
            for k in range(safe.slot_first[state.bin_of[other] + 1] - first):
                to = safe.plan[other, k]
                if (
                    to >= 0
                    and not safe.lost[safe.slot_losses[first + k], at]
                    and data.maps[data.set_map[s], to] == domain
                ):
                    house(data, state, safe, other, k)
                    if safe.done[1]:
                        return


@compiled
def call_home(data: Flat, state: State, safe: Safe, loss: int, at: int) -> None:
    """Let homeless items of a loss into a bin that has become emptier, or whose company has gone."""
    if safe.lost[loss, at]:
        return
    for b in range(safe.loss_first[loss], safe.loss_first[loss + 1]):
        item = safe.head[safe.loss_bins[b]]
        while item >= 0:
            if safe.restarts[item]:
                k = slot_of(state, safe, item, loss)
                if safe.plan[item, k] == HOMELESS and room(data, safe, loss, at, item):
                    barred = data.any_barred and not data.allowed[item, at]
                    if not barred and alone(data, state, safe, loss, at, item):
                        if safe.done[0] + 1 >= safe.changes.shape[0]:
                            safe.done[1] = 1
                            return
                        plan(data, state, safe, item, k, at, True)
            item = safe.after[item]


@compiled
def unhouse(data: Flat, state: State, safe: Safe, items: Array, olds: Array, news: Array, count: int) -> None:
    """Undo what `rehouse` did; `bin_of` is as after the step, and as before it in the end."""
    for change in range(safe.done[0] - 1, -1, -1):
        plan(
            data,
            state,
            safe,
            safe.changes[change, 0],
            safe.changes[change, 1],
            safe.changes[change, 2],
            False,
        )
    for i in range(count - 1, -1, -1):
        put(data, safe, items[i], news[i], olds[i])
    for i in range(count):
        state.bin_of[items[i]] = olds[i]
        for k in range(safe.plan.shape[1]):
            if safe.plans[i, k] != UNPLANNED:
                plan(data, state, safe, items[i], k, safe.plans[i, k], False)
