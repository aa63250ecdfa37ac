"""In which words are ports, cables, groups, circles, pauses and controllers told?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from falsework import units
from falsework.analyses.wire.passing import Between, Fate, Gets, Moment, Passed, Subscribed
from falsework.analyses.wire.result import Budget, Group, Limit, Loop, Managed, Pause, Run, Unreached, Wire
from falsework.errors import counted, few, listed
from falsework.units import Dimension, format_time

MANY = 6
"""So many names before `and n more`."""


def headline(found: Wire) -> str:
    """One line: how much is plugged in, and whether all gets through."""
    laid = found.layout
    free = sum(each.free for each in laid.budget)
    switches = len({each.switch for each in laid.budget})
    if not laid.runs:
        return "no cable is described"
    said = f"{counted(len(laid.runs), 'cable')}, {counted(switches, 'switch', 'switches')} with {counted(free, 'free port')}"
    if found.traffic.now.short > 0:
        return f"{said}; {_rate(found.traffic.now.short)} of the traffic does not get through"
    if found.short:
        short = max(sum(each.short - each.cut_off for each in moment.passed) for moment in found.short)
        lost = counted(sum(len(moment.lost) for moment in found.short), "part")
        what = (
            f"up to {_rate(short)} of the traffic does not get through" if short > 0 else "a link is too full"
        )
        return f"{said}; lose one of {lost} and {what}"
    if found.traffic.streams:
        but = " but who is cut off by it" if found.cut_off else ""
        return f"{said}; all traffic gets through, now and after the loss of any one part{but}"
    return f"{said}; no service says what it sends"


def budget_rows(budget: Sequence[Budget]) -> tuple[tuple[str, ...], ...]:
    """A row for each speed of a switch, or of switches that are alike, fewest free ports first."""
    alike: dict[tuple[float | None, int, int], list[str]] = {}
    for each in sorted(budget, key=lambda each: each.free):
        alike.setdefault((each.speed, each.ports, each.used), []).append(each.switch)
    return tuple(
        (
            few(switches, 3),
            speed_said(speed),
            f"{used} of {ports}{' each' if len(switches) > 1 else ''}",
            str(ports - used),
        )
        for (speed, ports, used), switches in alike.items()
    )


BUDGET_HEAD = ("switch", "ports of", "used", "free")


def speed_said(speed: float | None) -> str:
    """A speed; in words where nobody says it."""
    return _rate(speed) if speed is not None else "unsaid speed"


def wanted_says(found: Wire) -> str:
    """What is not wired yet, one sentence; empty where all is."""
    wanted = found.layout.wanted
    if not wanted.machines:
        return ""
    ports = sum(wanted.ports.values())
    says = f"{few(wanted.machines)} {'is' if len(wanted.machines) == 1 else 'are'} plugged in nowhere and would take {counted(ports, 'port')}"
    return (
        f"{says}; {wanted.short} of these find no free one"
        if wanted.short
        else f"{says}; there are free ones"
    )


RUNS_HEAD = ("label", "speed", "length", "colour", "from", "to")


def run_row(run: Run) -> tuple[str, ...]:
    """A cable as a row; a proposed length has a question mark."""
    length = units.format(run.length, Dimension.LENGTH) if run.length is not None else "?"
    one, other = (f"{end.name}{_spot(end.rack, end.room, end.unit)}" for end in run.ends)
    return (
        run.label,
        speed_said(run.speed) if run.speed is not None else "?",
        f"{length}?" if run.proposed else length,
        run.colour or "-",
        one,
        other,
    )


def _spot(rack: str, room: str, unit: float | None) -> str:
    at = f"{rack or room}{f' U{unit:g}' if unit is not None else ''}"
    return f" ({at})" if at else ""


def mismatched_says(runs: Sequence[Run]) -> str:
    """How many cables join ports of different speeds, one sentence; empty where none does."""
    those = [run for run in runs if run.mismatched]
    if not those:
        return ""
    pairs = Counter(tuple(sorted(end.speed or 0.0 for end in run.ends)) for run in those)
    how = listed([f"{count} of {_rate(low)} and {_rate(high)}" for (low, high), count in pairs.most_common()])
    return f"{counted(len(those), 'cable')} {'joins' if len(those) == 1 else 'join'} ports of different speeds and {'runs' if len(those) == 1 else 'run'} at the slower: {how}"


def group_name(group: Group) -> str:
    """What a group is called: its name and boxes, or the machine that is plugged in more than once."""
    first, *rest = group.boxes
    if group.group:
        return f"{group.group} ({first} to {few(rest)})"
    return f"{first}, plugged in {'twice' if len(group.cables) == 2 else f'{len(group.cables)} times'} ({few(rest)})"


def group_says(group: Group, more: int = 0) -> str:
    """What a group survives, a clause; `more` others are like it."""
    speeds = f"{len(group.cables)} x {_rate(group.speeds[0])}" if len(group.speeds) == 1 else "mixed speeds"
    if not group.speeds:
        speeds = counted(len(group.cables), "cable")
    if len(group.down) == len(group.cables):
        return f"{speeds}; all of it carries nothing as it is"
    if not group.fails:
        return f"{speeds}; the loss of any one part leaves a way"
    shared = [part for part in group.fails if not more or part not in group.cables]
    return f"{speeds}; carries nothing without {few(shared or group.fails, MANY)}"


def group_why(group: Group) -> str:
    """Why one part is enough, a clause; empty where none is."""
    if not group.fails:
        return ""
    if group.down:
        return f"{len(group.down)} of its {len(group.cables)} cables {'carries' if len(group.down) == 1 else 'carry'} nothing as it is"
    if len(group.boxes) == 2:
        return f"all its cables end in {group.boxes[1]}"
    if len(group.cards) == 1 and group.cards[0] in group.fails:
        return f"all its ports are on one card, {group.cards[0]}"
    return "all its ways stand on the same part"


def weak_groups(groups: Sequence[Group]) -> tuple[tuple[Group, ...], ...]:
    """The groups that one part takes away, those together that the same parts do for the same reason; largest first."""
    alike: dict[tuple[object, ...], list[Group]] = {}
    for group in groups:
        if group.fails:
            own = {*group.cables, *group.cards}
            shared = tuple(part for part in group.fails if part not in own)
            key = (
                bool(group.group),
                len(group.cables),
                shared or group.fails,
                bool(group.down),
                bool(group.isolated),
            )
            alike.setdefault(key, []).append(group)
    return tuple(tuple(each) for each in sorted(alike.values(), key=lambda each: -len(each)))


def weak_says(those: Sequence[Group]) -> str:
    """What one part does to groups that are alike, a sentence without its full stop."""
    first, *rest = those
    if not rest:
        return f"{group_name(first)}: {group_says(first)}"
    names = [group_name(each) if each.group else each.boxes[0] for each in those]
    how = (
        ""
        if first.group
        else f", each plugged in {'twice' if len(first.cables) == 2 else f'{len(first.cables)} times'}"
    )
    return f"{few(names)}{how}: {group_says(first, len(rest))}"


def loop_says(loop: Loop) -> str:
    """What is told of a circle, a clause."""
    ring = " - ".join((*loop.ring[:MANY], *(("...",) if len(loop.ring) > MANY else ()), loop.ring[0]))
    if loop.uncut:
        ring = " - ".join((*loop.uncut[:MANY], *(("...",) if len(loop.uncut) > MANY else ()), loop.uncut[0]))
        return f"{ring} is a circle of switches that nothing cuts: one message goes round for ever, and the wire stops"
    nothing = [name for name, word in loop.cut_by.items() if word == "nothing"]
    if nothing:
        return f"{few(nothing)} cut{'s' if len(nothing) == 1 else ''} no circles and {'is' if len(nothing) == 1 else 'are'} on one ({ring}); it stays whole only if {'it passes' if len(nothing) == 1 else 'they pass'} the other switches' messages on"
    if loop.unsaid:
        return f"{few(loop.unsaid)} {'is' if len(loop.unsaid) == 1 else 'are'} on a circle ({ring}), and nobody says what cuts it"
    how = listed(sorted({word for word in loop.cut_by.values() if word}))
    return f"{counted(len(loop.switches), 'switch', 'switches')} in circles ({ring}), cut by {how}"


def loop_mend(loop: Loop) -> str:
    """What would cut a circle for sure, a clause; empty where every switch on it does."""
    if loop.uncut:
        return "let one of them cut circles, or pull one of these cables"
    return "" if loop.sound else "say it of each of them: `loops cut by: rapid spanning tree`"


def pause_says(pause: Pause) -> str:
    """What one loss interrupts, a sentence without its full stop."""
    lost = few(pause.lost, 3) if len(pause.lost) == 1 else f"any one of {few(pause.lost, 3)}"
    services = [f"{each.service} ({format_time(each.seconds)})" for each in pause.services]
    if services:
        what = f"{counted(len(services), 'service')} {'pauses' if len(services) == 1 else 'pause'}: {few(services, MANY)}"
    elif pause.bears:
        what = f"no service pauses; the holds of {counted(pause.bears, 'service')} cover it"
    else:
        what = "no service needs a way that waits"
    how = f"until {pause.how} is found" if pause.how.startswith("a new") else f"until {pause.how}"
    return f"lose {lost}: up to {format_time(pause.seconds)} {how}; {what}"


def apart_says(pause: Pause) -> str:
    """Whom it parts from the others meanwhile, a clause; empty where nobody."""
    if not pause.apart:
        return ""
    sets = [few(each, 4) for each in pause.apart[:3]]
    more = len(pause.apart) - len(sets)
    if pause.how.startswith("the group"):
        return f"what went over the lost cable to or from these waits: {'; '.join(sets)}"
    return (
        f"meanwhile each of these sees only its own: {'; '.join(sets)}{f'; and {more} more' if more else ''}"
    )


def limit_says(limit: Limit) -> str:
    """How far one-port machines can be spread, a sentence without its full stop."""
    whole = f"{limit.service} needs {limit.needed} of {limit.copies}"
    if not limit.falls_by:
        return f"{whole}, {_one_port(limit)}: enough see each other after the loss of any one switch"
    if limit.possible:
        way = listed([f"{count} on {switch}" for switch, count in limit.arrangement.items()])
        return f"{whole}: lose {few(limit.falls_by)} and too few see each other; with the machines of one port spread as {way} any one switch may go"
    return f"{whole}: however its {len(limit.one_port)} machines with one port are spread over {few(limit.switches)}, the loss of some switch leaves {limit.left} at the most"


def limit_mend(limit: Limit) -> str:
    """What least change would do, a clause; empty where none is wanted or known."""
    if not limit.falls_by:
        return ""
    if limit.possible:
        way = listed([f"{count} on {switch}" for switch, count in limit.arrangement.items()])
        return f"plug them in so: {way}"
    ways = []
    if limit.two_ports:
        ways.append(
            f"give {counted(limit.two_ports, 'of these machines', 'of these machines')} a second port, into another switch"
        )
    if limit.more_switches:
        ways.append(f"add {counted(limit.more_switches, 'switch', 'switches')}, joined to all others")
    return ", or ".join(ways)


def _one_port(limit: Limit) -> str:
    return f"{counted(len(limit.one_port), 'machine')} with one port"


def managed_says(found: Managed) -> str:
    """Who looks at how many controllers, a sentence without its full stop; empty where there are none."""
    if not found.controllers:
        return ""
    return f"{counted(len(found.controllers), 'management controller')}, looked at by {few(found.viewers)} from {few(found.viewed_from)}"


def never_says(found: Managed) -> str:
    """Whom nobody reaches with nothing lost, a sentence without its full stop; empty where all are."""
    if not found.never:
        return ""
    whom = (
        "no management controller can be reached"
        if len(found.never) == len(found.controllers)
        else f"{few(found.never)} can't be reached"
    )
    why = f", since {found.never_why[0]}" if found.never_why else ""
    return f"{whom}, with nothing lost{why}"


def unreached_says(each: Unreached, found: Managed) -> str:
    """Whom nobody reaches after a loss, a sentence without its full stop."""
    lost = each.lost[0] if len(each.lost) == 1 else f"any one of {few(each.lost, MANY)}"
    whom = (
        f"no controller can be reached ({len(each.controllers)} stand)"
        if each.all
        else f"{len(each.controllers)} of {len(found.controllers)} can't be reached: {few(each.controllers)}"
    )
    return f"lose {lost}: {whom}, since {each.why[0]}" if each.why else f"lose {lost}: {whom}"


def start_says(found: Managed) -> str:
    """Whom nobody reaches while the machines are off, a sentence without its full stop; empty where all are."""
    if not found.at_start:
        return ""
    whom = "no controller" if len(found.at_start) == len(found.controllers) else few(found.at_start)
    why = f", since {found.start_why[0]}" if found.start_why else ""
    return (
        f"while the machines are off, as at a cold start, {whom} can be reached{why}"
        if whom == "no controller"
        else f"while the machines are off, as at a cold start, {whom} can't be reached{why}"
    )


TRAFFIC_HEAD = ("sends", "to", "rate", "fullest on its way", "share")


def passed_row(each: Passed) -> tuple[str, ...]:
    """A stream as a row."""
    stream = each.stream
    return (
        stream.service,
        stream.to,
        _rate(stream.rate),
        each.tightest or (each.fate if each.fate is not Fate.PASSES else "-"),
        units.format(each.share, Dimension.SHARE) if each.tightest else "-",
    )


def moment_says(moment: Moment) -> str:
    """What a loss leaves short or too full, a sentence without its full stop."""
    lost = moment.lost[0] if len(moment.lost) == 1 else f"any one of {few(moment.lost, MANY)}"
    before = f"lose {lost}: " if moment.lost else ""
    short = [each for each in moment.passed if each.short > 0]
    if short:
        said = [
            f"{_rate(each.short)} of {each.stream.service} to {each.stream.to} {'has no way' if each.cut_off >= each.short else 'does not get through'}"
            for each in short
        ]
        return f"{before}{few(said, MANY)}"
    full = [each for each in moment.filled if each.share > 1.0]
    return f"{before}{few([f'{each.link} is asked for {_rate(each.asked)} and carries {_rate(each.carries)}' for each in full], 3)}"


def cut_off_says(found: Wire) -> str:
    """What single losses cut off altogether, a sentence without its full stop; empty where nothing."""
    if not found.cut_off:
        return ""
    who = dict.fromkeys(
        each.stream.service for moment in found.cut_off for each in moment.passed if each.short > 0
    )
    parts = [part for moment in found.cut_off for part in moment.lost]
    return f"cut off with what is lost, so a matter of the verdicts: some of what {few([*who], MANY)} {'sends' if len(who) == 1 else 'send'}, by the loss of any one of {few(parts, MANY)}"


SUBSCRIBED_HEAD = ("switch", "edge", "uplinks", "n:1", "after the worst loss", "asked for")


def subscribed_rows(edges: Sequence[Subscribed]) -> tuple[tuple[str, ...], ...]:
    """A row for each switch, or those that are alike, that has uplinks; the most that could be asked of them first."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for each in sorted(edges, key=lambda each: -(each.worst_ratio or each.ratio or 0.0)):
        if each.uplinks:
            alike.setdefault(_subscribed(each), []).append(each.switch)
    return tuple((few(switches, 3), *rest) for rest, switches in alike.items())


def _subscribed(each: Subscribed) -> tuple[str, ...]:
    worst = "is cut off by " + each.cut_off_by if each.cut_off_by else ""
    if each.worst_ratio is not None and not worst:
        worst = f"{each.worst_ratio:.3g}:1" + (f" ({each.worst_lost})" if each.worst_lost else "")
    return (
        _rate(each.edge),
        _rate(each.uplinks),
        f"{each.ratio:.3g}:1" if each.ratio is not None else "-",
        worst or "-",
        _rate(each.usual) if each.usual else "-",
    )


def between_says(found: Between) -> str:
    """How much gets from one thing to another now, a sentence without its full stop."""
    if not found.now.at_most:
        return f"nothing gets from {found.one} to {found.other}: there is no way"
    over = f" over {found.network}" if found.network else ""
    via = f" through {few(found.via)}" if found.via else ""
    return f"from {found.one} to {found.other}{over}{via}: {gets_says(found.now)}"


def gets_says(gets: Gets) -> str:
    """Three figures, a clause."""
    if not gets.at_most:
        return "nothing gets through"
    return f"{_rate(gets.one_stream)} for one stream, {_rate(gets.forwarded)} for many, {_rate(gets.at_most)} if every cable could be used"


def ways_says(found: Between) -> str:
    """How many ways there are, a sentence without its full stop."""
    return f"{counted(found.cable_ways, 'way')} of which no two share a cable, {found.switch_ways} of which no two share a switch, cable or card"


def _rate(speed: float) -> str:
    return units.format(speed, Dimension.SPEED)
