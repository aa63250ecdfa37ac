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
from falsework.engines.placing.flat import HOMELESS, UNPLANNED, Array, Flat, State

_MOST_CHANGES = 20_000
"""Plans that one step may change; one that needs more is not taken."""
_MOST_REPACKED = 400
"""Items of a loss for which, during a step, all of its plans may be made anew."""


class Journal(NamedTuple):
    """What a step changed, so that it can be undone."""

    done: Array  # (2,) changes; whether there were too many
    changes: Array  # (_MOST_CHANGES, 3) item, slot, plan before
    plans: Array  # (3, k) plans of the items that move
    failed: Array  # (x,) bool: losses in which something found no place
    order: Array  # (n,) to sort in


def journal(data: Flat, state: State) -> Journal:
    """An empty journal."""
    some = data.losses.shape[0] > 0
    return Journal(
        done=np.zeros(2, dtype=np.int64),
        changes=np.zeros((_MOST_CHANGES if some else 1, 3), dtype=np.int64),
        plans=np.zeros((3, state.plan.shape[1]), dtype=np.int64),
        failed=np.zeros(data.losses.shape[0], dtype=np.bool_),
        order=np.zeros(data.size.shape[0] if some else 1, dtype=np.int64),
    )


@compiled
def planned(data: Flat, state: State, item: int, loss: int) -> int:
    """Where an item goes in a loss of its bin."""
    at = state.bin_of[item]
    first = data.slot_first[at]
    for k in range(data.slot_first[at + 1] - first):
        if data.slot_losses[first + k] == loss:
            return int(state.plan[item, k])
    return UNPLANNED


@compiled
def room(data: Flat, state: State, loss: int, at: int, item: int) -> bool:
    """Whether there is room for one more item in a bin in a loss; for `item` -1, whether it is not too full."""
    for r in range(data.size.shape[1]):
        held = state.calm[at, r] + state.extra[loss, at, r]
        if item >= 0:
            held += data.size[item, r]
        if held > data.capacity[at, r]:
            return False
    return True


@compiled
def alone(data: Flat, state: State, loss: int, at: int, item: int) -> bool:
    """Whether nothing runs in a loss that an item in this bin is to be kept apart from."""
    for e in range(data.item_first[item], data.item_first[item + 1]):
        s = data.item_sets[e]
        if not data.set_apart[s]:
            continue
        by = data.set_map[s]
        domain = data.maps[by, at]
        if domain < 0:
            continue
        for j in range(data.member_first[s], data.member_first[s + 1]):
            other = data.members[j]
            if other == item or data.sheds[other]:
                continue
            where = state.bin_of[other]
            if data.lost[loss, where]:
                where = planned(data, state, other, loss) if data.restarts[other] else -1
            if where >= 0 and data.maps[by, where] == domain:
                return False
    return True


@compiled
def plan(data: Flat, state: State, notes: Journal, item: int, k: int, to: int, noted: bool) -> None:
    """Set where an item goes in the k-th loss of its bin."""
    loss = data.slot_losses[data.slot_first[state.bin_of[item]] + k]
    old = state.plan[item, k]
    if noted:
        notes.changes[notes.done[0], 0] = item
        notes.changes[notes.done[0], 1] = k
        notes.changes[notes.done[0], 2] = old
        notes.done[0] += 1
    if old >= 0:
        for r in range(data.size.shape[1]):
            state.extra[loss, old, r] -= data.size[item, r]
    elif old == HOMELESS:
        state.homeless[loss] -= 1
        state.homeless[-1] -= 1
    state.plan[item, k] = to
    if to >= 0:
        for r in range(data.size.shape[1]):
            state.extra[loss, to, r] += data.size[item, r]
    elif to == HOMELESS:
        state.homeless[loss] += 1
        state.homeless[-1] += 1


@compiled
def house(data: Flat, state: State, notes: Journal, item: int, k: int) -> None:
    """Find an item a place in the k-th loss of its bin: the first after a bin drawn by chance."""
    if notes.done[0] + 2 >= notes.changes.shape[0]:
        notes.done[1] = 1
        return
    m = data.capacity.shape[0]
    loss = data.slot_losses[data.slot_first[state.bin_of[item]] + k]
    if state.plan[item, k] != UNPLANNED:
        plan(data, state, notes, item, k, UNPLANNED, True)
    at = int(np.random.random() * m)
    for _ in range(m):
        at = at + 1 if at + 1 < m else 0
        if data.lost[loss, at] or (data.any_barred and not data.allowed[item, at]):
            continue
        if room(data, state, loss, at, item) and alone(data, state, loss, at, item):
            plan(data, state, notes, item, k, at, True)
            return
    plan(data, state, notes, item, k, HOMELESS, True)
    notes.failed[loss] = True


@compiled
def repack(data: Flat, state: State, notes: Journal, loss: int, most: int, noted: bool) -> None:
    """Make the plans of a loss anew: the largest first, each where it leaves least."""
    m, n_resources = data.capacity.shape
    count = 0
    for b in range(data.loss_first[loss], data.loss_first[loss + 1]):
        item = state.head[data.loss_bins[b]]
        while item >= 0:
            if data.restarts[item]:
                notes.order[count] = item
                count += 1
                if count > most:
                    return
            item = state.after[item]
    if noted and notes.done[0] + 2 * count >= notes.changes.shape[0]:
        notes.done[1] = 1
        return
    keys = np.empty(count, dtype=np.int64)
    for i in range(count):
        keys[i] = data.rank[notes.order[i]]
    sorted_ = np.argsort(keys)
    for i in range(count):
        item = notes.order[i]
        k = slot_of(data, state, item, loss)
        if state.plan[item, k] != UNPLANNED:
            plan(data, state, notes, item, k, UNPLANNED, noted)
    for i in range(count):
        item = notes.order[sorted_[i]]
        k = slot_of(data, state, item, loss)
        best, least = HOMELESS, 2.0 * n_resources
        for at in range(m):
            if data.lost[loss, at] or (data.any_barred and not data.allowed[item, at]):
                continue
            if not room(data, state, loss, at, item):
                continue
            left = 0.0
            for r in range(n_resources):
                if data.capacity[at, r] > 0:
                    left += (
                        data.capacity[at, r] - state.calm[at, r] - state.extra[loss, at, r]
                    ) / data.capacity[at, r]
            if left < least and alone(data, state, loss, at, item):
                best, least = at, left
        plan(data, state, notes, item, k, best, noted)


@compiled
def slot_of(data: Flat, state: State, item: int, loss: int) -> int:
    """Which loss of an item's bin this one is."""
    first = data.slot_first[state.bin_of[item]]
    k = 0
    while data.slot_losses[first + k] != loss:
        k += 1
    return k


@compiled
def put(data: Flat, state: State, item: int, old: int, new: int) -> None:
    """Move an item from the list of a bin to that of another, and what it takes after a loss elsewhere."""
    before, after = state.ahead[item], state.after[item]
    if old >= 0:
        if before >= 0:
            state.after[before] = after
        else:
            state.head[old] = after
        if after >= 0:
            state.ahead[after] = before
    state.ahead[item] = -1
    state.after[item] = state.head[new]
    if state.head[new] >= 0:
        state.ahead[state.head[new]] = item
    state.head[new] = item
    if not data.sheds[item]:
        for r in range(data.size.shape[1]):
            if old >= 0:
                state.calm[old, r] -= data.size[item, r]
            state.calm[new, r] += data.size[item, r]


@compiled
def price_of(data: Flat, state: State, out: Array, sign: int) -> None:
    """Add, or take off, what homeless items cost."""
    if state.homeless[-1] > 0:
        for loss in range(data.losses.shape[0]):
            if state.homeless[loss] > 0:
                out[data.losses[loss, 0]] += sign * data.losses[loss, 1] * state.homeless[loss]


@compiled
def plan_all(data: Flat, state: State, notes: Journal) -> None:
    """Lists of bins and plans for all losses, from nothing."""
    state.calm[:] = 0
    state.extra[:] = 0
    state.plan[:] = UNPLANNED
    state.homeless[:] = 0
    state.head[:] = -1
    for item in range(data.size.shape[0]):
        put(data, state, item, -1, state.bin_of[item])
    for loss in range(data.losses.shape[0]):
        repack(data, state, notes, loss, data.size.shape[0], False)


@compiled
def rehouse(
    data: Flat, state: State, notes: Journal, items: Array, olds: Array, news: Array, count: int, out: Array
) -> bool:
    """Mend the plans after items have moved, and add what that costs.

    Args:
        data: the problem.
        state: `bin_of` is as after the step.
        notes: for `unhouse`.
        items: who moved.
        olds: from where.
        news: to where.
        count: how many.
        out: (levels,) is added to.

    Returns:
        Whether it could be done within the bounds; if not, it must be undone.
    """
    price_of(data, state, out, -1)
    notes.done[:] = 0
    notes.failed[:] = False
    for i in range(count):
        item = items[i]
        state.bin_of[item] = olds[i]
        for k in range(state.plan.shape[1]):
            notes.plans[i, k] = state.plan[item, k]
            if state.plan[item, k] != UNPLANNED:
                plan(data, state, notes, item, k, UNPLANNED, False)
        state.bin_of[item] = news[i]
        put(data, state, item, olds[i], news[i])
    for i in range(count):
        crowd(data, state, notes, items[i], news[i])
    for i in range(count):
        if data.restarts[items[i]]:
            for k in range(data.slot_first[news[i] + 1] - data.slot_first[news[i]]):
                house(data, state, notes, items[i], k)
    for loss in range(data.losses.shape[0]):
        if notes.done[1]:
            return False
        if notes.failed[loss]:
            repack(data, state, notes, loss, _MOST_REPACKED, True)
        elif state.homeless[loss] > 0:
            for i in range(count):
                call_home(data, state, notes, loss, olds[i])
    price_of(data, state, out, 1)
    return bool(notes.done[1] == 0)


@compiled
def crowd(data: Flat, state: State, notes: Journal, item: int, at: int) -> None:
    """Find other places for those whose plans led where an item has come to."""
    if data.sheds[item]:
        return
    for loss in range(data.losses.shape[0]):
        if not data.lost[loss, at] and not room(data, state, loss, at, -1):
            for b in range(data.loss_first[loss], data.loss_first[loss + 1]):
                other = state.head[data.loss_bins[b]]
                while other >= 0 and not room(data, state, loss, at, -1):
                    if data.restarts[other]:
                        k = slot_of(data, state, other, loss)
                        if state.plan[other, k] == at:
                            house(data, state, notes, other, k)
                            if notes.done[1]:
                                return
                    other = state.after[other]
    for e in range(data.item_first[item], data.item_first[item + 1]):
        s = data.item_sets[e]
        domain = data.maps[data.set_map[s], at]
        if not data.set_apart[s] or domain < 0:
            continue
        for j in range(data.member_first[s], data.member_first[s + 1]):
            other = data.members[j]
            if other == item or not data.restarts[other]:
                continue
            first = data.slot_first[state.bin_of[other]]
            for k in range(data.slot_first[state.bin_of[other] + 1] - first):
                to = state.plan[other, k]
                if (
                    to >= 0
                    and not data.lost[data.slot_losses[first + k], at]
                    and data.maps[data.set_map[s], to] == domain
                ):
                    house(data, state, notes, other, k)
                    if notes.done[1]:
                        return


@compiled
def call_home(data: Flat, state: State, notes: Journal, loss: int, at: int) -> None:
    """Let homeless items of a loss into a bin that has become emptier, or whose company has gone."""
    if data.lost[loss, at]:
        return
    for b in range(data.loss_first[loss], data.loss_first[loss + 1]):
        item = state.head[data.loss_bins[b]]
        while item >= 0:
            if data.restarts[item]:
                k = slot_of(data, state, item, loss)
                if state.plan[item, k] == HOMELESS and room(data, state, loss, at, item):
                    barred = data.any_barred and not data.allowed[item, at]
                    if not barred and alone(data, state, loss, at, item):
                        if notes.done[0] + 1 >= notes.changes.shape[0]:
                            notes.done[1] = 1
                            return
                        plan(data, state, notes, item, k, at, True)
            item = state.after[item]


@compiled
def unhouse(
    data: Flat, state: State, notes: Journal, items: Array, olds: Array, news: Array, count: int
) -> None:
    """Undo what `rehouse` did; `bin_of` is as after the step, and as before it in the end."""
    for change in range(notes.done[0] - 1, -1, -1):
        plan(
            data,
            state,
            notes,
            notes.changes[change, 0],
            notes.changes[change, 1],
            notes.changes[change, 2],
            False,
        )
    for i in range(count - 1, -1, -1):
        put(data, state, items[i], news[i], olds[i])
    for i in range(count):
        state.bin_of[items[i]] = olds[i]
        for k in range(state.plan.shape[1]):
            if notes.plans[i, k] != UNPLANNED:
                plan(data, state, notes, items[i], k, notes.plans[i, k], False)
