"""How is it told at the terminal what is made again, restored, or only here?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.rebuild.result import (
    Fate,
    Loss,
    Objective,
    Rebuild,
    Save,
    Teardown,
    Way,
    Work,
)
from falsework.errors import counted, listed
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.table import table
from falsework.faces.cli.words import called, called_all, joined
from falsework.faces.rebuild_words import (
    ends_said,
    headline,
    over_said,
    proved_said,
    ranked,
    short,
    why_said,
)
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.support.standing import Standing
from falsework.units import Dimension, format_time

STYLE = {Way.MADE: "stands", Way.RESTORED: "thin", Way.STAND_IN: "blinks", Way.ONLY_HERE: "lost"}
WIDTH = 18
"""Columns of a verdict, the longest and two blanks."""
MOST_MADE = 6
"""Losses told of those that are made again, the slowest first; the rest are counted."""


def lines(standing: Standing, found: Rebuild) -> Iterator[Line]:
    """Every thing alone, grouped by verdict, worst first; then the whole lab, and what to save."""
    yield Line(f"{standing.lab.name}: {headline(found)}", style="head")
    yield Line()
    for loss in ranked(found):
        if loss.way is not Way.MADE:
            yield labelled(loss.way.value, short(standing, loss), style=STYLE[loss.way], width=WIDTH)
    yield from _made(standing, [loss for loss in ranked(found) if loss.way is Way.MADE])
    yield Line()
    yield from _teardown(standing, found.teardown)
    yield Line()
    yield Line(DATA_CAUTION, style="quiet")


def lines_of_loss(standing: Standing, loss: Loss) -> Iterator[Line]:
    """One loss in full."""
    them = called_all(loss.lost, standing.lab)
    one = len(loss.lost) == 1
    yield Line(
        f"destroy {them}, with all that is in {'it' if one else 'them'}: {ends_said(loss)}", style="head"
    )
    if loss.fallen:
        yield Line(f"Until then {listed(loss.fallen, 10)} {'is' if len(loss.fallen) == 1 else 'are'} down.")
    yield Line()
    for those in _alike(loss.fates):
        first, last = those[0], max(those, key=lambda fate: fate.back_s)
        more = f" (and so {listed([each.thing for each in those[1:]], 8)})" if len(those) > 1 else ""
        yield labelled(
            first.way.value,
            f"{called(first.thing, first.word)}{more}: {why_said(first)}{_figures(last)}",
            style=STYLE[first.way],
            width=WIDTH,
        )
        yield from _mend(first)
    yield from _objectives(loss.objectives)
    yield from _works(loss.works)
    if loss.assumed:
        yield Line()
        yield Line(f"Assumed: {'; '.join(loss.assumed)}.", style="quiet")
    yield Line()
    yield Line(f"{DATA_CAUTION} {POWER_CAUTION}", style="quiet")


def _made(standing: Standing, slowest: Sequence[Loss]) -> Iterator[Line]:
    for loss in slowest[:MOST_MADE]:
        yield labelled(Way.MADE.value, short(standing, loss), style=STYLE[Way.MADE], width=WIDTH)
    rest = slowest[MOST_MADE:]
    if rest:
        count = sum(1 + len(loss.alike) for loss in rest)
        yield labelled(
            Way.MADE.value,
            f"{counted(count, 'thing')} more, the slowest {over_said(rest[0])}",
            style=STYLE[Way.MADE],
            width=WIDTH,
        )


def _mend(fate: Fate) -> Iterator[Line]:
    """What would bring back what does not come."""
    if fate.mend:
        yield labelled("", f"mend: {fate.mend}", style="quiet", indent=2, width=WIDTH)


def _figures(fate: Fate) -> str:
    said = []
    if fate.way is not Way.ONLY_HERE and fate.size is not None and fate.loses_s is None:
        said.append("how much is lost nobody says")
    elif fate.loses_s and fate.way is not Way.ONLY_HERE:
        said.append(f"loses {format_time(fate.loses_s)} at most")
    if 0 < fate.back_s < math.inf:
        said.append(f"back after {format_time(fate.back_s)}")
    return f" ({', '.join(said)})" if said else ""


def _objectives(objectives: Sequence[Objective]) -> Iterator[Line]:
    if not objectives:
        return
    yield Line()
    yield Line("What you allow, and what comes of it:", style="head")
    for each in objectives:
        said = []
        if each.may_lose_s is not None:
            loses = (
                "nobody says how much is lost"
                if each.loses_s is None
                else "loses all of it"
                if math.isinf(each.loses_s)
                else f"loses {format_time(each.loses_s)} at most"
                if each.loses_s
                else "loses nothing"
            )
            said.append(f"{loses}, {format_time(each.may_lose_s)} is allowed")
        if each.back_within_s is not None:
            back = (
                "never comes back" if math.isinf(each.back_s) else f"is back after {format_time(each.back_s)}"
            )
            said.append(f"{back}, {format_time(each.back_within_s)} is allowed")
        style = "met" if each.met else "broken"
        yield labelled("met" if each.met else "BROKEN", f"{each.data} {'; '.join(said)}", style=style)


def _works(works: Sequence[Work]) -> Iterator[Line]:
    if not works:
        return
    yield Line()
    yield Line("In this order it can be done, by one pair of hands:", style="head")
    rows = [
        (
            str(each.number),
            format_time(each.begins_s),
            format_time(each.ends_s - each.begins_s),
            format_time(each.hands_s) if each.hands_s else "",
            f"{each.says}{f' (after {listed(map(str, each.after), 6)})' if each.after else ''}",
        )
        for each in works
    ]
    yield from table(("no", "begins after", "takes", "work", "what"), rows, right=(0, 1, 2, 3))


def _teardown(standing: Standing, found: Teardown) -> Iterator[Line]:
    yield Line("The whole lab torn down, wiped, and made again", style="head")
    yield labelled("left", listed(found.remains, 10), indent=2)
    if found.saves:
        how_much = f", {_size(found.size)}, {format_time(found.takes_s)} of copying" if found.size else ""
        proved = "no shorter list does" if found.proven else "a shorter list may exist"
        yield labelled(
            "save",
            f"{counted(len(found.saves), 'thing')} first{how_much}; {proved}:",
            indent=2,
        )
        kinds: dict[str, list[str]] = {}
        for save in found.saves:
            kinds.setdefault(save.to, []).append(save.thing)
            yield labelled("", _save(save), indent=4, width=2)
            if save.where is not None:
                yield labelled("", f"at {save.where}", style="quiet", indent=6, width=2)
        for to, things in kinds.items():
            yield labelled("to", f"{listed(things, 8)}: {to.removeprefix('to ')}", indent=2)
    else:
        yield labelled("save", "nothing: all of it can be made again or read from outside", indent=2)
    restored = [fate for fate in found.saved.fates if fate.source is not None]
    for fate in restored:
        assert fate.source is not None
        lost = "" if fate.loses_s is None else f", {format_time(fate.loses_s)} old at most: make a last one"
        yield labelled(
            "backup",
            f"{fate.thing} from {listed(fate.source.to)}, {proved_said(fate.source)}{lost}",
            indent=2,
        )
    circles = dict.fromkeys(
        fate.circle for fate in found.saved.fates if fate.way is Way.STAND_IN and fate.circle
    )
    shortest = sorted(circles, key=len)[:1]
    if found.saved.stand_ins:
        why = f", since {' -> '.join(shortest[0])} wait for each other" if shortest else ""
        yield labelled("lend", f"{joined(found.saved.stand_ins)}{why}", indent=2)
    if found.gone:
        yield labelled("gone", f"{listed(found.gone, 8)} can't be got back even so", style="lost", indent=2)
        yield from _gone([found.saved.of(name) for name in found.gone])
    for each in found.saved.broken:
        yield from list(_objectives((each,)))[2:]
    yield labelled(
        "takes",
        f"{ends_said(found.saved)}; the order is in the runbook (--runbook FILE) and in --json",
        indent=2,
    )


def _gone(fates: Sequence[Fate]) -> Iterator[Line]:
    """Why each does not come, and what would change it; those with the same answer are told once."""
    for those in _alike(fates):
        them = listed([each.thing for each in those], 8)
        yield labelled("", f"{them}: {why_said(those[0])}", indent=4, width=2)
        yield labelled("", f"mend: {those[0].mend}", style="quiet", indent=6, width=2)


def _alike(fates: Sequence[Fate]) -> Iterator[list[Fate]]:
    """The fates, those of things together that wait in the same circle, and for the same help."""
    same: dict[object, list[Fate]] = {}
    for fate in fates:
        # Data that are restored have figures of their own to tell.
        waits = fate.way is Way.STAND_IN and fate.circle and (fate.mend or fate.size is None)
        key = (frozenset(fate.circle), fate.stand_ins, fate.mend) if waits else fate.thing
        same.setdefault(key, []).append(fate)
    yield from same.values()


def _save(save: Save) -> str:
    more = [each for each in save.brings if each != save.thing]
    brings = f"; brings back {listed(more, 4)} too" if more else ""
    size = f", {_size(save.size)} in {format_time(save.takes_s)} ({save.slowest})" if save.size else ""
    return f"{save.word} {save.thing}{size}{brings}: {'; '.join(save.why)}"


def _size(value: float) -> str:
    return units.format(value, Dimension.DATA)
