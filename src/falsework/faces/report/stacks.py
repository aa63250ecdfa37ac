"""How full is each machine, today and as it would be placed, and what comes on top when one is lost?

A column a machine. Its copies lie on each other as high as the memory that they take, the largest below; the beam
above says how much there is. On the left, narrow and pale, is how they lie today, with what leaves hatched; on the
right how they would lie. Copies that come when a machine is lost lie on top, dashed; those that are left out then,
to make room, stand beside them, crossed out. Copies of which nobody says where they run today are drawn only where
they should.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.placing.result import Filled, Placing
from falsework.analyses.placing.strides import unknown
from falsework.analyses.placing.telling import headline, memory_said
from falsework.errors import few
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.piles import Pile, Scale, lettering, piled
from falsework.faces.report.svg import COLOURS, Svg, join, label, line, path, tag, thing
from falsework.model.lab import Lab

NARROWEST, WIDEST = 136.0, 180.0
"""Of a column with its frame."""
APART = 16.0
BESIDE = 0.4
"""The share of a column for what is left out, where something comes in its place."""
SMALL = 10.5
"""Of the type on copies."""
PRINTED = 16
"""Columns on one printed page; where there are more, only those are printed on which something changes."""


def stacks(lab: Lab, found: Placing, *, width: float = 1400) -> Panel:
    """All machines side by side, in as many rows as they take.

    Args:
        lab: the lab.
        found: where the copies should run.
        width: of the sheet.
    """
    rows, y = _rows(found, found.filled, 84.0, width, 230.0)
    parts = [head(lab.name, "where each copy runs", headline(found), width), rows]
    signs, y = key(tuple(_samples(found)), y + 14, width)
    parts.append(signs)
    for says in _homeless(found):
        y += 20
        parts.append(label(20, y, says, size=SMALL, fill="brick", room=width - 40))
    return Panel(svg=join(parts), height=y + 6, says=f"{lab.name}, where each copy runs: {headline(found)}")


def stack_sheet(lab: Lab, found: Placing, *, width: float = 1400, prefix: str = "stacks") -> str:
    """The same as a drawing of its own."""
    return stacked(prefix, width, [stacks(lab, found, width=width)])


def stack_print(found: Placing) -> tuple[tuple[str, str], ...]:
    """The same for paper: narrow, on white, as many drawings as it takes, each with what it shows in words."""
    shown: Sequence[Filled] = found.filled
    left_out = ""
    if len(shown) > PRINTED:
        assumed = frozenset(unknown(found))
        shown = [each for each in shown if _changes(found, each, assumed)]
        if len(shown) < len(found.filled):
            left_out = " Machines on which nothing changes are left out."
    pages = []
    for at in range(0, len(shown), PRINTED):
        rows, y = _rows(found, shown[at : at + PRINTED], 0.0, 640, 130.0)
        signs, y = key(tuple(_samples(found)), y + 14, 640)
        panel = Panel(svg=join((rows, signs)), height=y + 6, says="where each copy runs")
        drawn = stacked(f"print{at}", 640, [panel]).replace(COLOURS["paper"], "#ffffff")
        says = f"Each machine today, at the left, where that is known, and then.{left_out}"
        pages.append((drawn, " ".join((says, *(f"{each}." for each in _homeless(found))))))
    return tuple(pages)


def _changes(found: Placing, each: Filled, assumed: frozenset[str]) -> bool:
    """Whether copies come or go, in the end or when the worst is lost."""
    lost = found.worst is not None and each.host in found.worst.hosts
    return lost or bool((set(each.copies) ^ set(each.before)) - assumed) or bool(_coming(found, each))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """A machine with its piles: copies today, those that stay as placed, on them those left out and those that come."""

    host: Filled
    before: Pile
    after: Pile
    out: Pile
    ghosts: Pile
    here: frozenset[str]
    today: bool
    beam: float | None
    gone: bool

    @property
    def high(self) -> float:
        return max(self.before.high, self.after.high + max(self.out.high, self.ghosts.high), self.beam or 0.0)


def _rows(
    found: Placing, hosts: Sequence[Filled], top: float, width: float, high: float
) -> tuple[Svg, float]:
    """Rows of columns from `top` down, and where they end."""
    wide = min(WIDEST, max(NARROWEST, (width - 40 + APART) / max(len(hosts), 1) - APART))
    per_row = max(1, int((width - 40 + APART) // (wide + APART)))
    scale = _scale(found, high)
    assumed = frozenset(unknown(found))
    parts: list[Svg] = []
    y = top
    for at in range(0, len(hosts), per_row):
        row = [_column_of(found, each, scale, assumed) for each in hosts[at : at + per_row]]
        ground = y + max(each.high for each in row) + 18
        for number, each in enumerate(row):
            parts.append(_column(each, 20 + number * (wide + APART), ground, wide))
        end = 20 + len(row) * (wide + APART) - APART + 8
        parts.append(line(12, ground, end, ground, stroke="ink", stroke_width=2.2))
        y = ground + (48 if any(each.gone for each in row) else 36)
    return join(parts), y


def _scale(found: Placing, high: float) -> Scale:
    size = found.memory
    most = 0.0
    for each in found.filled:
        here = (*each.copies, *_coming(found, each))
        most = max(most, each.has.get("memory", 0.0), *(sum(size.get(name, 0.0) for name in pile) for pile in (each.before, here)))  # fmt: skip
    return Scale(per_byte=high / most if most and any(size.values()) else 0.0, size=size)


def _coming(found: Placing, each: Filled) -> tuple[str, ...]:
    homes = found.worst.homes if found.worst is not None else {}
    return tuple(copy for copy, host in homes.items() if host == each.host)


def _column_of(found: Placing, each: Filled, scale: Scale, assumed: frozenset[str]) -> _Column:
    has = each.has.get("memory")
    beam = scale.per_byte * has if has is not None and scale.per_byte else None
    gone = found.worst is not None and each.host in found.worst.hosts
    coming = _coming(found, each)
    out = () if gone or found.worst is None else set(found.worst.left_out).intersection(each.copies)
    kept = tuple(copy for copy in each.copies if copy not in out)
    left = tuple(copy for copy in each.copies if copy in out)
    on_top = max(scale.high(coming), scale.high(left))
    after = piled(kept, scale, beam - on_top if beam is not None else None)
    return _Column(
        host=each,
        before=piled([copy for copy in each.before if copy not in assumed], scale, 0.0),
        after=after,
        out=piled(left, scale, beam - after.high if beam is not None else None),
        ghosts=piled(coming, scale, beam - after.high if beam is not None else None),
        beam=beam,
        here=frozenset(each.before) | assumed,
        today=len(assumed) < len(found.host_of),
        gone=gone,
    )


def _column(each: _Column, x: float, ground: float, wide: float) -> Svg:
    """One machine: today at the left, as placed at the right, and what comes on top of it."""
    host = each.host
    old, gap = (wide * 0.14, 4.0) if each.today else (0.0, 0.0)
    start, room = x + old + gap, wide - old - gap
    parts = [
        *_today(each, x, ground, old),
        *_placed(each, start, ground, room),
        *_out(each, start, ground, room * BESIDE),
        *_ghosts(each, start, ground, room),
    ]
    if each.beam is not None:
        top = ground - each.beam
        beam = f"M{x - 4:.1f} {top:.1f}H{x + wide + 4:.1f}"
        parts.append(path(beam, stroke="ink", stroke_width=2.6, fill="none"))
        parts.extend(
            line(leg, top, leg, ground, stroke="ink", stroke_width=1) for leg in (x - 3, x + wide + 3)
        )
    has = host.has.get("memory")
    used = memory_said(host.used.get("memory", 0.0), has) if has is not None else f"{len(host.copies)} copies"
    middle, most = x + wide / 2, wide + APART - 6
    parts.append(label(middle, ground + 17, host.host, size=12.5, bold=True, anchor="middle", room=most))
    parts.append(label(middle, ground + 31, used, size=SMALL, fill="faint", anchor="middle", room=most))
    if each.gone:
        parts.append(
            label(middle, ground + 44, "is lost", size=SMALL, fill="brick", italic=True, anchor="middle")
        )
    says = f"{host.host}: {used}; {', '.join(host.copies) or 'no copy'}"
    return thing(host.host, *parts, says=says, word="node", state="falls" if each.gone else "stands")


def _today(each: _Column, x: float, ground: float, wide: float) -> Iterator[Svg]:
    stays = set(each.host.copies)
    for name, low, high in each.before.slices:
        fill = "paper" if name in stays else hatch("out")
        yield box(x, ground - low - high, wide, high, fill=fill, stroke="faint", stroke_width=0.9)


def _placed(each: _Column, x: float, ground: float, wide: float) -> Iterator[Svg]:
    """Copies; a heavy left edge on those that come from elsewhere."""
    stroke = "brick" if each.gone else "ink"
    fill = hatch("falls") if each.gone else "stone"
    for low, high in each.after.boxes:
        yield box(x, ground - low - high, wide, high, fill=fill, stroke=stroke, stroke_width=1.1)
    yield from _edges(each.after, x + wide, ground, stroke)
    for name, low, high in each.after.slices:
        if name not in each.here:
            yield tag("rect", x=x, y=ground - low - high, width=6, height=high, fill="ink")
    for names, middle in each.after.labels:
        yield lettering(names, x + 11, ground - middle, wide - 20, size=SMALL, backed=each.gone)


def _out(each: _Column, x: float, ground: float, wide: float) -> Iterator[Svg]:
    """Copies that are left out when a machine is lost."""
    ground -= each.after.high
    for name, low, high in each.out.slices:
        yield _crossed(x, ground - low - high, wide, high)
        if name not in each.here:
            yield tag("rect", x=x, y=ground - low - high, width=6, height=high, fill="ink")
    for names, middle in each.out.labels:
        yield lettering(names, x + 11, ground - middle, wide - 14, size=SMALL, backed=True)


def _crossed(x: float, y: float, wide: float, high: float) -> Svg:
    across = f"M{x:.1f} {y:.1f}l{wide:.1f} {high:.1f}M{x:.1f} {y + high:.1f}l{wide:.1f} -{high:.1f}"
    return Svg(
        box(x, y, wide, high, fill="stone", stroke="faint", stroke_width=1.1)
        + path(across, stroke="faint", stroke_width=1.1, fill="none")
    )


def _ghosts(each: _Column, x: float, ground: float, wide: float) -> Iterator[Svg]:
    """Copies that come when a machine is lost."""
    ground -= each.after.high
    if each.out.slices:
        x, wide = x + wide * BESIDE + 3, wide * (1 - BESIDE) - 3
    for low, high in each.ghosts.boxes:
        yield _dashed(x, ground - low - high, wide, high)
    yield from _edges(each.ghosts, x + wide, ground, "ink")
    for names, middle in each.ghosts.labels:
        yield lettering(names, x + 11, ground - middle, wide - 20, size=SMALL, ghost=True)


def _dashed(x: float, y: float, wide: float, high: float) -> Svg:
    return box(x, y, wide, high, fill="paper", stroke="ink", stroke_width=1.1, stroke_dasharray="4 2.5")


def _edges(pile: Pile, right: float, ground: float, stroke: str) -> Iterator[Svg]:
    """Ticks between copies that share a box."""
    edges = {low for low, _ in pile.boxes}
    for _, low, _ in pile.slices:
        if low not in edges:
            yield line(right - 6, ground - low, right, ground - low, stroke=stroke, stroke_width=0.9)


def _samples(found: Placing) -> Iterator[tuple[Svg, str]]:
    assumed = set(unknown(found))
    moved = any(set(each.copies) - set(each.before) - assumed for each in found.filled)
    left = any(set(each.before) - set(each.copies) - assumed for each in found.filled)
    if len(assumed) < len(found.host_of):
        yield box(0, -11, 27, 13, fill="paper", stroke="faint", stroke_width=0.9), "today"
    if left:
        yield box(0, -11, 27, 13, fill=hatch("out"), stroke="faint", stroke_width=0.9), "today, and leaves"
    yield box(0, -11, 27, 13, fill="stone", stroke="ink", stroke_width=1.1), "then, as high as its memory"
    if moved:
        came = tag("rect", x=0, y=-11, width=6, height=13, fill="ink")
        sign = Svg(box(0, -11, 27, 13, fill="stone", stroke="ink", stroke_width=1.1) + came)
        yield sign, "comes from elsewhere"
    if found.worst is not None:
        gone = box(0, -11, 27, 13, fill=hatch("falls"), stroke="brick", stroke_width=1.1)
        yield gone, f"is lost ({found.worst.says})"
        yield _dashed(0, -11, 27, 13), "restarts here then"
        if found.worst.left_out:
            yield _crossed(0, -11, 27, 13), "left out then, to make room"
    yield line(0, -5, 27, -5, stroke="ink", stroke_width=2.6), "memory that there is for copies"


def _homeless(found: Placing) -> Iterator[str]:
    """What the worst loss leaves without a place, in words."""
    if found.worst is not None and found.worst.homeless:
        yield f"No room then for {few(found.worst.homeless, 8)}"
    if found.worst is not None and found.worst.left_out:
        yield f"Left out then to make room: {few(found.worst.left_out, 8)}"
