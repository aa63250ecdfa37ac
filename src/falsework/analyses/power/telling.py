"""How is told who carries how much, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.power.result import Carried, Cord, Feed, Feeds, Give, Lost, Supplied
from falsework.engines.electrical import COUPLER_A
from falsework.errors import counted, few

FEEDS_HEAD = ("source", "fed by", "idle", "usual", "busy", "limit", "of it", "after the worst loss")
SUPPLIES_HEAD = ("machines", "plugged into", "each gives", "alone", "of", "of it", "certified or taken")


def headline(found: Feeds) -> str:
    """One line: is anything asked for too much, and what is nearest to it?"""
    over = [feed for feed in ranked(found) if feed.over]
    small = [each for each in found.supplied if each.too_small]
    said = []
    if over:
        said.append(over_says(over[0]))
        if len(over) > 1:
            said.append(f"{counted(len(over) - 1, 'more source is', 'more sources are')} asked for too much")
    if small:
        said.append(
            f"{few([each.machine for each in small], 3)} {'does' if len(small) == 1 else 'do'} not run on {_as_few(small[0])}"
        )
    if said:
        return "; ".join(said)
    if not found.feeds:
        return "no circuit, strip or battery is told of, so there is nothing to carry anything"
    limited = [feed for feed in ranked(found) if feed.busy.share is not None]
    if not limited:
        return "nobody says what any source can carry: give circuits a `breaker`, batteries `carries`"
    nearest = limited[0]
    when = f" when {nearest.worst.lost} is lost" if nearest.worst is not None else ""
    near = f"{nearest.id} is nearest to its limit, at {share_said(nearest.most.share)}{when}"
    if nearest.over_va:
        return f"no source is asked for more watts than it carries; {va_says(nearest)}"
    if not found.lost:
        return f"every source carries what is asked of it; {near}"
    any_one = "any one loss" if len(found.lost) > 1 else f"the loss of {found.lost[0].lost}"
    return f"every source carries what is asked of it, now and after {any_one}; {near}"


def ranked(found: Feeds) -> tuple[Feed, ...]:
    """Sources, those first that come nearest to their limit or go above it; those without one last, in lab order."""
    return tuple(
        sorted(
            found.feeds,
            key=lambda feed: (not feed.over, feed.most.share is None, -(feed.most.share or 0.0)),
        )
    )


def watts(amount: float) -> str:
    """`1,310 W`; with a decimal where it is little."""
    return f"{amount:,.0f} W" if amount >= 9.95 or amount == round(amount) else f"{amount:.1f} W"


def share_said(share: float | None) -> str:
    """`85 %`; a dash where there is no limit. Never a round 100 % for what is above."""
    if share is None:
        return "-"
    if 0.995 <= share < 1.005 and abs(share - 1) > 1e-9:
        return f"{share * 100:.1f} %"
    return f"{share * 100:.0f} %"


def current_said(carried: Carried) -> str:
    """`4.3 A`; empty where the voltage is not known."""
    return f"{carried.amperes:.1f} A" if carried.amperes is not None else ""


def limit_said(feed: Feed) -> str:
    """`3,680 W (16 A at 230 V)`, `1,350 W, 1,500 VA`; a dash where there is none."""
    limits = feed.limits
    if limits.amperes is not None and limits.watts is not None:
        return f"{watts(limits.watts)} ({limits.amperes:g} A at {feed.volts:g} V)"
    said = []
    if limits.watts is not None:
        said.append(watts(limits.watts))
    if limits.volt_amperes is not None:
        said.append(f"{limits.volt_amperes:,.0f} VA")
    return ", ".join(said) or "-"


def worst_says(feed: Feed) -> str:
    """`B carries 942 W (4.3 A) when c1 is lost`."""
    if feed.worst is None:
        return f"{feed.id} carries {watts(feed.busy.watts)} when all are busy; no loss asks it for more"
    carried = feed.worst.carried
    amperes = current_said(carried)
    return f"{feed.id} carries {watts(carried.watts)}{f' ({amperes})' if amperes else ''} when {feed.worst.lost} is lost"


def over_says(feed: Feed) -> str:
    """`lose A: B would have to carry 4,000 W and trips above 3,680 W`."""
    limit = watts(feed.limits.watts or 0.0)
    stops = "shuts off" if feed.word == "ups" else "trips"
    if feed.worst is not None and feed.worst.trips:
        asked = watts(feed.worst.carried.watts)
        then = ", as others have by then," if feed.worst.last else ""
        return (
            f"lose {feed.worst.lost}: {feed.id} would have to carry {asked}{then} and {stops} above {limit}"
        )
    return f"{feed.id} would have to carry {watts(feed.busy.watts)} as it is, and {stops} above {limit}"


def over_mend(feed: Feed) -> str:
    """What to do about it."""
    if feed.word == "ups":
        return f"move machines off {feed.id}, or take a larger battery"
    return f"move machines off {feed.id}, or feed it from a stronger circuit"


def va_says(feed: Feed) -> str:
    """That the volt-amperes alone are too many."""
    when = f" when {feed.worst.lost} is lost" if feed.worst is not None else ""
    taken = "" if feed.factor_said else ", at the power factor that was taken"
    return (
        f"{feed.id} carries {watts(feed.most.watts)}{when}, which is {feed.most.volt_amperes:,.0f} VA{taken}, "
        f"above its {feed.limits.volt_amperes or 0.0:,.0f} VA"
    )


def va_mend(feed: Feed) -> str:
    """What to do about it."""
    if not feed.factor_said:
        return f"measure the power factor of what hangs on {feed.id}, and say it: `power factor: 0.95`"
    return over_mend(feed)


def lasting_says(feed: Feed) -> str:
    """That it would carry more than a load of three hours or more may be."""
    when = f" when {feed.worst.lost} is lost" if feed.worst is not None else " when all are busy"
    return (
        f"{feed.id} carries {watts(feed.most.watts)}{when}, {_above(feed.most.share or 0.0, feed.limits.lasting)} of what it is rated for; a load of three hours or more may "
        f"take {share_said(feed.limits.lasting)}"
    )


def _above(share: float, limit: float) -> str:
    """A share that is above a limit, with as many digits as show that."""
    if share_said(share) != share_said(limit):
        return share_said(share)
    digits = next(
        (digits for digits in (1, 2, 3) if round(share * 100, digits) > round(limit * 100, digits)), 4
    )
    return f"{share * 100:.{digits}f} %"


def lasting_mend() -> str:
    """What to do about it."""
    return "move machines to another circuit"


def lasting_why(feed: Feed) -> str:
    """Where that comes from."""
    if abs(feed.limits.lasting - 0.8) < 1e-9:
        return "a breaker is rated for 125 % of a load that lasts (NEC 210.20(A)); local codes differ"
    return "the share is what the lab file says under `for hours`"


def alike(supplied: Sequence[Supplied]) -> tuple[tuple[Supplied, ...], ...]:
    """Machines whose supplies are alike together, the tightest first."""
    groups: dict[tuple[object, ...], list[Supplied]] = {}
    for each in supplied:
        same = tuple((give.source, give.gives, round(give.alone, 6)) for give in each.gives)
        groups.setdefault((each.enough, same), []).append(each)
    return tuple(
        tuple(group)
        for group in sorted(
            groups.values(), key=lambda group: -max((_tight(give) for give in group[0].gives), default=0.0)
        )
    )


def _tight(give: Give) -> float:
    return give.share or 0.0


def small_says(each: Supplied) -> str:
    """`box does not run on one supply: it would have to give 480 W and gives 400 W at 230 V`."""
    give = max(each.gives, key=_tight)
    at = f" at {give.volts:g} V" if give.volts is not None else ""
    return (
        f"{each.machine} does not run on {_as_few(each)}: each would have to give {watts(give.alone)}, and gives "
        f"{watts(give.gives or 0.0)}{at}"
        if each.enough > 1
        else f"{each.machine} does not run on {_as_few(each)}: it would have to give {watts(give.alone)}, and gives "
        f"{watts(give.gives or 0.0)}{at}"
    )


def small_mend(each: Supplied) -> str:
    """What to do about it."""
    total = sum(len(give.supplies) for give in each.gives)
    need = next(
        (
            number
            for number in range(each.enough + 1, total + 1)
            if all(
                give.gives is None or give.alone * each.enough / number <= give.gives for give in each.gives
            )
        ),
        None,
    )
    if need is not None:
        return f"put in larger supplies, or say `enough: {need}`, which is what it takes at its busiest"
    return "put in larger supplies, or draw less: all of them together are too small"


def _as_few(each: Supplied) -> str:
    return "one supply" if each.enough == 1 else f"{each.enough} supplies"


def cords_says(cords: Sequence[Cord]) -> str:
    """What cords would take more than the common coupler is rated for; empty where none does."""
    if not cords:
        return ""
    most = max(cords, key=lambda each: each.amperes)
    others = [name for name in dict.fromkeys(each.machine for each in cords) if name != most.machine]
    small, large = COUPLER_A["C13"], COUPLER_A["C19"]
    says = (
        f"{most.machine} would take {most.amperes:.1f} A through one cord in {most.source}: more than the {small:g} A of a "
        f"C13 coupler"
    )
    says += (
        f", within the {large:g} A of a C19"
        if most.amperes <= large
        else f", and than the {large:g} A of a C19"
    )
    return f"{says} (IEC 60320-1, at 250 V){f'; more than {small:g} A too: {few(others)}' if others else ''}"


def loss_says(loss: Lost) -> str:
    """`lose A: B trips; n1 to n8 are dark`, in short."""
    said = []
    if loss.trips:
        said.append(f"{few(loss.trips)} {'trips' if len(loss.trips) == 1 else 'trip'}")
    if loss.dark:
        said.append(f"{few(loss.dark)} {'has' if len(loss.dark) == 1 else 'have'} too little power to run")
    if not said:
        said.append("all machines keep power")
    return f"lose {loss.lost}: {'; '.join(said)}"


def feed_row(feed: Feed) -> tuple[str, ...]:
    """What stands under `FEEDS_HEAD`."""
    if feed.worst is not None:
        carried = feed.worst.carried
        amount = ", ".join(each for each in (watts(carried.watts), current_said(carried)) if each)
        share = f", {share_said(carried.share)}" if carried.share is not None else ""
        after = f"{amount}{share}, when {feed.worst.lost} is lost"
        if feed.worst.trips:
            after += ": shuts off" if feed.word == "ups" else ": trips"
    else:
        after = "has no power as it is" if feed.dark else "no more than now"
    return (
        feed.id,
        feed.fed_by or "-",
        watts(feed.idle.watts),
        watts(feed.usual.watts),
        watts(feed.busy.watts),
        limit_said(feed),
        share_said(feed.busy.share),
        after,
    )


def supplies_row(group: Sequence[Supplied]) -> tuple[str, ...]:
    """What stands under `SUPPLIES_HEAD`, for machines that are alike."""
    each = group[0]
    tight = max(each.gives, key=_tight)
    named = each.level or f"{each.efficiency * 100:.0f} %{'' if each.efficiency_said else ', taken'}"
    return (
        few([one.machine for one in group]),
        few([give.source for give in each.gives]),
        watts(tight.now),
        watts(tight.alone),
        watts(tight.gives) if tight.gives is not None else "not told at this voltage",
        share_said(tight.share),
        named,
    )
