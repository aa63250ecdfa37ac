"""How is the room that is left told in words, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.room.result import (
    RESOURCES,
    After,
    Amounts,
    Heal,
    Hole,
    Homeless,
    More,
    RoomLeft,
    StoreRoom,
)
from falsework.errors import counted, few
from falsework.units import Dimension

MANY_NAMES = 6
RESTARTS_HEAD = ("without", "largest hole left", "left out", "restarts")
MORE_HEAD = ("more", "on", "of")
MORE_SAYS = "Room for more, with which all still find room after any one of these losses"


def amount_said(resource: str, amount: float) -> str:
    """`40 GiB of memory`, `2 cores`, `40 GB of disk`, `1 accelerator card`."""
    if resource == "memory" or resource == "disk":
        return f"{units.format(amount, Dimension.DATA)} of {resource}"
    number = f"{amount:.10g}"
    word = "core" if resource == "cores" else "accelerator card"
    return f"{number} {word if number == '1' else word + 's'}"


def headline(found: RoomLeft) -> str:
    """One line: does everything fit, and what is the worst?"""
    said = [_pools_said(found)] if found.after or found.more else []
    over = [store.store for store in found.stores if store.over]
    if over:
        said.append(f"more lies on {few(over)} than fits")
    if not said:
        if found.unsized:
            said.append("no copy on a pool says what it takes; give services `takes`")
        elif not found.stores:
            said.append("no pool and no store, so there is no room to look at")
        elif all(store.usable is None for store in found.stores):
            said.append("nobody says how large the drives are")
        else:
            said.append("every store holds what lies on it")
    return "; ".join(said)


def _pools_said(found: RoomLeft) -> str:
    broken = [each for each in found.after if each.homeless]
    if not broken:
        lost = [each.lost for each in found.after if each.lost]
        shed = dict.fromkeys(name for each in found.after for pool in each.pools for name in pool.left_out)
        without = f"without any one of {few(lost, 4)}" if len(lost) > 1 else f"without {few(lost)}"
        return (
            "every copy finds room "
            + (without if lost else "as it is now")
            + (f" ({few(tuple(shed), 4)} left out)" if shed else "")
        )
    worst = max(broken, key=lambda each: len(each.homeless))
    says = loss_says(worst)
    rest = len(broken) - 1
    if not rest:
        return says
    return f"{says}; {counted(rest, 'other loss leaves', 'other losses leave')} too little room as well"


def loss_says(each: After) -> str:
    """`without twin-1 photos.1 finds no room in cluster`."""
    names = [one.copy for one in each.homeless]
    pools = [pool.pool for pool in each.pools if pool.homeless]
    verb = "finds" if len(names) == 1 else "find"
    return f"{without(each)} {few(names, 3)} {verb} no room in {few(pools, 3)}"


def without(each: After) -> str:
    """`without twin-1`; `as it is now` where nothing more is lost."""
    return f"without {each.lost}" if each.lost else "as it is now"


def homeless_why(each: Homeless) -> str:
    """By how much it does not fit, as one sentence without its full stop."""
    if each.reason == "nowhere":
        return f"no host is left that {each.copy} may run on"
    if each.reason == "apart":
        return f"wherever {each.copy} would fit, a copy runs that it must be apart from"
    if each.reason == "mixed":
        return f"{each.copy} takes {_all_said(each.takes)}; one host has this, another that, and none has all of it"
    said = []
    for at, missing in enumerate(each.missing):
        if missing > 0:
            left, largest = _bare(at, each.free[at]), _bare(at, each.largest[at])
            pieces = each.free[at] >= each.takes[at]
            hole = (
                f"but in pieces: the largest hole is {largest}"
                if pieces
                else f"and the largest hole is {largest}"
            )
            said.append(
                f"{amount_said(RESOURCES[at], each.takes[at])}; {left} {_are(left)} left in all, {hole}, "
                f"{_bare(at, missing)} too little"
            )
    return f"{each.copy} takes {'; and '.join(said)}"


def _are(amount: str) -> str:
    return "is" if amount.split()[0] == "1" else "are"


def _all_said(amounts: Amounts) -> str:
    return few([amount_said(RESOURCES[at], amount) for at, amount in enumerate(amounts) if amount])


def _bare(resource: int, amount: float) -> str:
    if RESOURCES[resource] in ("memory", "disk"):
        return units.format(amount, Dimension.DATA)
    return f"{amount:.10g}"


def homeless_help(each: Homeless) -> str:
    """Whether moving what runs would help; empty where nobody knows."""
    if each.reason == "nowhere":
        return ""
    if not each.alone:
        return "no host that is left could take it even if it were empty"
    if each.helped is None:
        return ""
    if each.helped:
        return "if copies that still run were moved as well, all would fit"
    return "moving copies that still run would not help either"


def homeless_mend(each: Homeless) -> str:
    """What to do about it, as one sentence without its full stop."""
    ways = []
    if each.helped:
        ways.append("see with falsework place how copies could lie instead")
    if each.give:
        lacks = few([amount_said(RESOURCES[at], more) for at, more in enumerate(each.lacks) if more > 0])
        ways.append(f"give {each.give} {lacks} more")
    if each.reason == "nowhere":
        ways.append(f"let {each.service} run on more hosts")
    elif each.reason == "apart":
        ways.append("add a host that shares nothing with the others at that level")
        ways.append(f"keep the copies of {each.service} apart at a nearer level")
    else:
        ways.append("add a host that is large enough")
        ways.append(f"make {each.service} smaller")
    if each.alone and each.reason in ("pieces", "short", "mixed"):
        ways.append("let others be left out with sheds: yes")
    return f"{', '.join(ways[:-1])}, or {ways[-1]}" if len(ways) > 1 else ways[0]


def overfull_says(hole: Hole) -> str:
    """By how much a host is too full today."""
    over = [amount_said(RESOURCES[at], -left) for at, left in enumerate(hole.left) if left < 0]
    return f"{hole.host} is too full as it is now, by {few(over)}"


def more_said(each: More) -> str:
    """How many more: `3`, `3 at least`, `3 to 5`."""
    if each.most is None:
        return f"{each.least} at least"
    return f"{each.least}" if each.least == each.most else f"{each.least} to {each.most}"


def restart_rows(found: RoomLeft) -> list[tuple[str, str, str, str]]:
    """Who goes where after each loss, the tightest first, as `RESTARTS_HEAD` names it."""
    after = sorted((each for each in found.after if each.pools), key=_tight)
    names = 99 if len(after) == 1 else 8
    return [
        (
            each.lost or "(now)",
            _largest_hole(each),
            few([name for pool in each.pools for name in pool.left_out], 4) or "-",
            few([f"{one.copy} on {one.end}" for pool in each.pools for one in pool.restarts], names) or "-",
        )
        for each in after
    ]


def _tight(each: After) -> tuple[float, ...]:
    holes = [hole.left[1] for pool in each.pools for hole in pool.holes[:1]]
    return (-len(each.homeless), min(holes, default=0.0))


def _largest_hole(each: After) -> str:
    """The largest hole in memory and what cores go with it, of the pool that has the least."""
    best = [pool.holes[0] for pool in each.pools if pool.holes]
    if not best:
        return "no host is left"
    hole = min(best, key=lambda one: one.left[1])
    memory = units.format(max(hole.left[1], 0.0), Dimension.DATA)
    cores = f", {hole.left[0]:.10g} cores" if hole.left[0] < float("inf") else ""
    return f"{memory}{cores} on {hole.host}"


def more_rows(found: RoomLeft) -> list[tuple[str, str, str]]:
    """How many more of each size that was asked for, then of services, those with as many together."""
    rows = [
        (more_said(each), each.pool, f"{each.of}{' (on ' + few(each.hosts, 6) + ')' if each.hosts else ''}")
        for each in found.more
        if each.where is None
    ]
    equal: dict[tuple[str, str], list[str]] = {}
    for each in sorted(found.more, key=lambda one: one.least):
        if each.where is not None:
            equal.setdefault((more_said(each), each.pool), []).append(each.of)
    rows.extend((said, pool, f"copies of {few(names, 16)}") for (said, pool), names in equal.items())
    return rows


def store_says(store: StoreRoom) -> str:
    """How much it holds, what lies on it and when it is full."""
    if store.usable is None:
        return f"nobody says how large {few(store.unsized, 4)} {'is' if len(store.unsized) == 1 else 'are'}"
    if not store.usable:
        return (
            f"nothing fits: {store.layout} apart by {store.apart} need more than "
            f"the {len(store.domains)} that it lies on"
        )
    said = f"{_data(store.usable)} fit"
    if store.apart != "drive":
        said += f" ({store.layout}, apart by {store.apart}, {_data(store.raw)} raw)"
    else:
        said += f" ({store.layout}, {_data(store.raw)} raw)"
    if store.out:
        said += f", with {few(store.out, 3)} out today"
    if not any(each.size for each in store.held):
        return f"{said}; nobody says what lies on it"
    said += f", {_data(store.used)} lie on it"
    if store.over:
        return f"{said}: {_data(store.over)} too much"
    share = units.format(store.used / store.usable, Dimension.SHARE) if store.usable else ""
    said += f" ({share})" if share else ""
    if store.full_in_s < float("inf"):
        said += f", full in {units.format(store.full_in_s, Dimension.TIME)} as it grows now"
    return said


def alike(store: StoreRoom) -> tuple[tuple[Heal, ...], ...]:
    """The losses of a store, those that are told in the same words together, worst first."""
    found: dict[tuple[object, ...], list[Heal]] = {}
    for each in store.heals:
        look = (
            each.survives,
            each.heals,
            each.reason,
            heal_time(each),
            f"{each.usable:.6g}",
            f"{each.rewritten:.6g}",
        )
        found.setdefault(look, []).append(each)
    return tuple(
        tuple(those)
        for those in sorted(found.values(), key=lambda those: (those[0].survives, those[0].heals))
    )


def heal_says(store: StoreRoom, those: Sequence[Heal]) -> str:
    """What a store does after a loss, told for losses that are alike."""
    names = few([each.lost for each in those], MANY_NAMES)
    lost = f"any one of {names}" if len(those) > 1 else names
    return f"lose {lost}: {_does(store, those[0])}{_if_full(store)}"


def _if_full(store: StoreRoom) -> str:
    """What is said of copies and pieces holds for a full store where nobody says what lies on it."""
    return "" if store.used or not store.layout.endswith((" copies", " pieces")) else " (were it full)"


def heal_says_of_many(store: StoreRoom, those: Sequence[Heal]) -> str:
    """The same where it is told for many stores at once."""
    wide = store.apart != "drive" and those[0].lost in {each.name for each in store.domains}
    lost = counted(
        len(those), store.apart if wide else "drive", "switches" if store.apart == "switch" else ""
    )
    return f"lose {'any one of their ' if len(those) > 1 else 'their '}{lost}: {_does(store, those[0])}{_if_full(store)}"


def _does(store: StoreRoom, first: Heal) -> str:
    if not first.survives:
        return "what lies on it is gone"
    time = heal_time(first)
    write = f"writing {_data(first.rewritten)} takes {time} at the least" if time else ""
    if first.heals:
        return f"it can make itself whole again{'; ' + write if write else ''}"
    reasons = {
        "domains": f"there are too few left to keep {store.layout} apart by {store.apart}",
        "room": f"what is left holds only {_data(first.usable)}, too little to make it whole again",
        "spare": "no spare drive waits that is large enough to make it whole again",
    }
    put_in = f"; once new drives are in, {write}" if write else ""
    return f"all is still there, but {reasons[first.reason]}{put_in}"


def like_stores(stores: Sequence[StoreRoom]) -> tuple[tuple[StoreRoom, ...], ...]:
    """The stores, those of which the same is said together; first what holds too little, then in lab order."""
    found: dict[tuple[str, ...], list[StoreRoom]] = {}
    for store in sorted(stores, key=lambda each: -each.over):
        heals = (heal_says_of_many(store, those) for those in alike(store))
        found.setdefault((store_says(store) if not store.out else store.store, *heals), []).append(store)
    return tuple(map(tuple, found.values()))


def heal_time(each: Heal) -> str:
    """The least time of healing; empty where nobody knows."""
    return "" if each.floor_s is None else units.format(each.floor_s, Dimension.TIME)


def unsized_says(names: Sequence[str]) -> str:
    """Which services count for nothing."""
    return f"{counted(len(names), 'service')} on a pool {'does' if len(names) == 1 else 'do'} not say what a copy takes, and count for nothing: {few(names, 8)}"


def _data(amount: float) -> str:
    return units.format(amount, Dimension.DATA)
