"""How much does each source of power carry of what it can, now and after the worst loss, from the ground up?

The ground is at the bottom, with what power comes from outside. On it stand the circuits, on them batteries and
strips, each a beam as long as what it carries, all to one scale: solid with nothing lost, hatched what the worst loss
puts on top, and a post where it can carry no more. What is above that post is in the one accent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.power.result import Carried, Feed, Feeds
from falsework.analyses.power.telling import (
    headline,
    limit_said,
    over_says,
    ranked,
    share_said,
    va_says,
    watts,
    worst_says,
)
from falsework.errors import counted, few
from falsework.faces.report.footing import ground
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, path, thing
from falsework.findings.finding import POWER_CAUTION
from falsework.model.lab import Lab

PITCH = 50.0
"""From one beam to the next."""
THICK = 17.0
STEP = 22.0
"""How far what stands on something is moved to the right of it."""
SMALL = 10.5
MOST = 40
"""Sources in one drawing; where there are more, those furthest from their limit are left out."""


def feeds_panel(lab: Lab, found: Feeds, *, width: float = 1000) -> Panel:
    """All sources, from the ground up.

    Args:
        lab: the lab.
        found: who carries how much.
        width: of the sheet.
    """
    rows, left_out = _standing(found)
    frame = _Frame(rows, width)
    parts = [head(lab.name, "what each source carries", headline(found), width)]
    y = 92.0
    places: dict[str, float] = {}
    for row in reversed(rows):  # the last on top
        places[row.name] = y
        y += PITCH if row.feed is not None else PITCH * 0.75
    parts.extend(frame.post(row, places) for row in rows if row.under)
    parts.extend(frame.beam(row, places[row.name]) for row in rows)
    parts.extend(ground(20, width - 20, places[row.name] - 15) for row in rows if row.feed is None)
    signs, y = key(tuple(_samples(found)), y + 16, width)
    parts.append(signs)
    if left_out:
        y += 20
        parts.append(
            label(
                20,
                y,
                f"{counted(left_out, 'source')} further from a limit not drawn",
                size=SMALL,
                fill="faint",
            )
        )
    y += 20
    parts.append(label(20, y, POWER_CAUTION, size=SMALL, fill="faint", room=width - 40))
    return Panel(
        svg=join(parts), height=y + 6, says=f"{lab.name}, what each source carries: {headline(found)}"
    )


def feeds_sheet(lab: Lab, found: Feeds, *, width: float = 1000, prefix: str = "feeds") -> str:
    """The same as a drawing of its own."""
    return stacked(prefix, width, [feeds_panel(lab, found, width=width)])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A source, or what power comes from outside; `under` is what it stands on."""

    name: str
    under: str
    depth: int
    feed: Feed | None


def _standing(found: Feeds) -> tuple[list[_Row], int]:
    """From the ground up, what stands on something right after it; and how many are left out."""
    shown = {feed.id: feed for feed in found.feeds}
    if len(found.feeds) > MOST:
        kept: dict[str, Feed] = {}
        for feed in ranked(found):
            chain: list[Feed] = []
            at = shown.get(feed.id)
            while at is not None and at.id not in kept and at not in chain:
                chain.append(at)
                at = shown.get(at.fed_by)
            if len(kept) + len(chain) > MOST:
                break
            kept.update((each.id, each) for each in chain)
        shown = {name: feed for name, feed in shown.items() if name in kept}
    on: dict[str, list[Feed]] = {}
    for feed in shown.values():
        on.setdefault(feed.fed_by, []).append(feed)
    rows: list[_Row] = []

    def raise_(name: str, depth: int) -> None:
        for feed in on.get(name, ()):
            rows.append(_Row(name=feed.id, under=name, depth=depth, feed=feed))
            raise_(feed.id, depth + 1)

    for name in on:
        if name not in shown:
            if name:
                rows.append(_Row(name=name, under="", depth=0, feed=None))
            raise_(name, 1)
    return rows, len(found.feeds) - len(shown)


class _Frame:
    """Where the columns of one drawing are."""

    def __init__(self, rows: Sequence[_Row], width: float) -> None:
        self.width = width
        deepest = max((row.depth for row in rows), default=0)
        self.start = min(width * 0.44, 150 + STEP * deepest + 60)
        room = width - self.start - 28
        most = max((_reach(row.feed) for row in rows if row.feed is not None), default=0.0)
        self.per_watt = room / most if most else 0.0

    def foot(self, row: _Row) -> float:
        return 30 + STEP * row.depth

    def post(self, row: _Row, places: dict[str, float]) -> Svg:
        """The post from what a source stands on up to it."""
        x = self.foot(row) - STEP + 5
        top, bottom = places[row.name] + THICK / 2, places[row.under] - (6 if row.depth > 1 else 15)
        end = self.foot(row)
        d = f"M{x:.1f} {bottom:.1f}V{top:.1f}H{end:.1f}"
        return path(d, stroke="ink", stroke_width=1.4, fill="none")

    def beam(self, row: _Row, y: float) -> Svg:
        feed = row.feed
        if feed is None:
            return label(self.foot(row), y + 10, row.name, size=12.5, bold=True, room=self.width - 60)
        x = self.foot(row)
        room = self.start - x - 12
        amount = "has no power as it is" if feed.dark else _amount(feed)
        says = over_says(feed) if feed.over else va_says(feed) if feed.over_va else worst_says(feed)
        name = f"{feed.id}: {few(feed.machines, 3) or 'nothing plugged in'}"
        fill = "brick" if feed.over else "faint"
        return thing(
            feed.id,
            label(x + 4, y + 7, feed.id, size=12.5, bold=True, room=room),
            label(x + 4, y + 20, _what(feed), size=SMALL, fill="faint", room=room),
            *self._bar(feed, y),
            label(
                self.start, y + THICK + 12, amount, size=SMALL, fill=fill, room=self.width - self.start - 20
            ),
            says=f"{name}. {says}",
            word=feed.word,
            state="falls" if feed.over else "stands",
        )

    def _bar(self, feed: Feed, y: float) -> Iterator[Svg]:
        scale, x = self.per_watt, self.start
        now, most = _length(feed, feed.busy) * scale, _length(feed, feed.most) * scale
        limit = feed.limits.watts
        end = limit * scale if limit is not None else None
        if end is not None:  # the room that it has, before what fills it
            yield box(x, y, end, THICK, fill="paper", stroke="hair", stroke_width=0.9)
        inside = now if end is None else min(now, end)
        yield box(x, y, inside, THICK, fill="stone", stroke="ink", stroke_width=1.1)
        top = most if end is None else min(most, end)
        if top > inside + 0.5:
            yield box(x + inside, y, top - inside, THICK, fill=hatch("thin"), stroke="ink", stroke_width=1.1)
        if end is not None and most > end + 0.05:
            yield box(x + end, y, most - end, THICK, fill=hatch("falls"), stroke="brick", stroke_width=1.3)
        for carried in (feed.idle, feed.usual):
            at = x + _length(feed, carried) * scale
            if at - x > 1:
                yield line(at, y + THICK - 5, at, y + THICK, stroke="ink", stroke_width=1)
        if end is not None:
            if feed.limits.lasting < 1:
                at = x + end * feed.limits.lasting
                yield line(
                    at, y - 3, at, y + THICK + 3, stroke="faint", stroke_width=1, stroke_dasharray="2 2"
                )
            yield line(x + end, y - 5, x + end, y + THICK + 5, stroke="ink", stroke_width=2.4)


def _length(feed: Feed, carried: Carried) -> float:
    """How long a beam is, in W of its limit: more than its watts where its volt-amperes are nearer to theirs."""
    if carried.share is None or feed.limits.watts is None:
        return carried.watts
    return carried.share * feed.limits.watts


def _reach(feed: Feed) -> float:
    return max(feed.limits.watts or 0.0, _length(feed, feed.most))


def _what(feed: Feed) -> str:
    word = "battery" if feed.word == "ups" else feed.word
    limit = limit_said(feed)
    return word if limit == "-" else f"{word}, {limit}"


def _amount(feed: Feed) -> str:
    """What it carries, in one line."""
    same = feed.idle.watts == feed.usual.watts == feed.busy.watts
    now = (
        f"{watts(feed.busy.watts)} at any time"
        if same
        else f"{watts(feed.idle.watts)} idle, {watts(feed.usual.watts)} on an ordinary day, {watts(feed.busy.watts)} busy"
    )
    if feed.worst is None:
        return now
    share = f", {share_said(feed.worst.carried.share)}" if feed.worst.carried.share is not None else ""
    return f"{now}; {watts(feed.worst.carried.watts)}{share} when {feed.worst.lost} is lost"


def _samples(found: Feeds) -> Iterator[tuple[Svg, str]]:
    sign = box(0, -11, 27, 13, fill="stone", stroke="ink", stroke_width=1.1)
    ticks = join(line(x, -3, x, 2, stroke="ink", stroke_width=1) for x in (9, 15))
    yield Svg(sign + ticks), "carries with nothing more lost, all busy; ticks: idle and an ordinary day"
    yield (
        box(0, -11, 27, 13, fill=hatch("thin"), stroke="ink", stroke_width=1.1),
        "what the worst loss puts on top",
    )
    if any(feed.over for feed in found.feeds):
        over = box(0, -11, 27, 13, fill=hatch("falls"), stroke="brick", stroke_width=1.3)
        yield over, "more than it carries: it trips or shuts off"
    if any(feed.limits.watts for feed in found.feeds):
        yield line(14, -14, 14, 4, stroke="ink", stroke_width=2.4), "carries no more"
    if any(feed.limits.watts and feed.limits.lasting < 1 for feed in found.feeds):
        dashed = line(14, -14, 14, 4, stroke="faint", stroke_width=1, stroke_dasharray="2 2")
        yield dashed, "the most for three hours or longer"
