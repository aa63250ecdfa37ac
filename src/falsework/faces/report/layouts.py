"""How does room trade against the chance of losing data, layout by layout, and which one is recommended?

Room grows to the right, safety upwards: equal steps up make a loss ten times rarer. A sign says what is survived: a
round one any drive, a square one any two, a roof any three; hollow where a lost node puts the data out of reach, black
where it does not, crossed with a bar where any enclosure may go too. The line joins those with which nothing is both
roomier and safer. The recommended one is ringed, with its whisker from the low to the high end of what is disputed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor, log10

from falsework.analyses.drives.naming import chance_says, plan_says, survives_says
from falsework.analyses.drives.result import Drives, HeapLayouts, Layout
from falsework.analyses.drives.telling import headline, heap_says, layout, nothing_says, shown, wanted_says
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, number, path, tag, thing
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab
from falsework.units import Dimension
from falsework.units import format as said

SMALL = 10.5
HIGH = 330.0
"""Of the field in which layouts lie."""
LEAST, MOST = 1e-12, 1.0
"""Chances beyond these lie at the edges."""
R = 6.0


def layouts_panel(lab: Lab, heap: HeapLayouts, *, width: float = 1000) -> Panel:
    """The layouts of one heap.

    Args:
        lab: the lab.
        heap: with its layouts.
        width: of the sheet.
    """
    chosen = layout(heap, heap.recommended)
    second = (
        f"recommended: {plan_says(chosen.plan)}"
        if chosen is not None
        else (f"none gives {wanted_says(heap.wanted)}" if heap.layouts else nothing_says(heap))
    )
    parts = [head(lab.name, f"how {heap.heap} can be laid out", second, width)]
    ahead = [each for each in heap.layouts if each.front]
    y = 100.0
    if ahead:
        field = _Field(ahead, heap, width, y)
        parts.extend(field.drawn())
        y = field.bottom + 62
        signs, y = key(tuple(_samples(heap, ahead)), y, width)
        parts.append(signs)
    for says in (f"{heap_says(heap)}.", DATA_CAUTION):
        y += 20
        parts.append(label(20, y, says, size=SMALL, fill="faint", room=width - 40))
    return Panel(svg=join(parts), height=y + 6, says=f"{lab.name}, layouts of {heap.heap}: {second}")


def layouts_sheet(lab: Lab, found: Drives, *, width: float = 1000, prefix: str = "layouts") -> str:
    """All heaps on a drawing of their own, one below the other."""
    panels = [layouts_panel(lab, heap, width=width) for heap in found.heaps]
    if not panels:
        says = "no heap of drives waits to be laid out"
        svg = join(
            (head(lab.name, "how drives can be laid out", headline(found), width), label(20, 100, says))
        )
        panels = [Panel(svg=svg, height=110, says=says)]
    return stacked(prefix, width, panels)


class _Field:
    """Where layouts lie."""

    def __init__(self, ahead: Sequence[Layout], heap: HeapLayouts, width: float, top: float) -> None:
        self.ahead, self.heap = ahead, heap
        self.left, self.right = 92.0, width - 40
        self.top, self.bottom = top, top + HIGH
        wanted = heap.wanted.room_bytes or 0.0
        self.most = max(*(each.usable_bytes for each in ahead), wanted) * 1.06
        told = [min(max(each.usual.lost, LEAST), MOST) for each in ahead]
        chosen = layout(heap, heap.recommended)
        if chosen is not None:
            told += [min(max(each, LEAST), MOST) for each in (chosen.low.lost, chosen.high.lost)]
        self.safe, self.unsafe = floor(log10(min(told))) - 0.3, min(ceil(log10(max(told))) + 0.2, 0.2)

    def x(self, room: float) -> float:
        """Where room lies."""
        return self.left + (self.right - self.left) * room / self.most

    def y(self, chance: float) -> float:
        """Where a chance lies; rarer is higher."""
        at = log10(min(max(chance, LEAST), MOST))
        return self.top + (self.bottom - self.top) * (at - self.safe) / (self.unsafe - self.safe)

    def drawn(self) -> Iterator[Svg]:
        """Rules, line, signs, and words."""
        yield self._ruled()
        wanted = self.heap.wanted.room_bytes
        if wanted is not None:
            x = self.x(wanted)
            yield line(
                x, self.top - 6, x, self.bottom, stroke="brick", stroke_width=1.4, stroke_dasharray="6 3"
            )
            yield label(x, self.top - 10, f"wanted: {said(wanted, Dimension.DATA)}", size=SMALL, fill="brick", anchor="middle")  # fmt: skip
        yield self._edge()
        chosen = layout(self.heap, self.heap.recommended)
        ranked = shown(self.heap)
        # What survives more lies on top of what survives less, and the recommended one on all.
        for each in sorted(
            self.ahead, key=lambda one: (one is chosen, one.survives.nodes, one.survives.drives)
        ):
            yield self._mark(each, ringed=each is chosen)
        yield from self._named(ranked, chosen)

    def _ruled(self) -> Svg:
        parts = [
            line(self.left, self.bottom, self.right, self.bottom, stroke="ink", stroke_width=2.2),
            line(self.left, self.top, self.left, self.bottom, stroke="ink", stroke_width=1.2),
        ]
        steps = range(ceil(self.safe), floor(self.unsafe) + 1)
        every = max(1, -(-len(steps) // 9))
        for power in steps:
            y = self.y(10.0**power)
            parts.append(line(self.left, y, self.right, y, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4"))  # fmt: skip
            if power % every == 0:
                words = f"1 in {10.0**-power:,.0f}" if power > -6 else f"1 in 1e{-power}"
                parts.append(label(self.left - 8, y + 4, words if power else "certain", size=SMALL, fill="faint", anchor="end", room=self.left - 24))  # fmt: skip
        step = _step(self.most)
        for index in range(1, int(self.most / step) + 1):
            x = self.x(index * step)
            parts.append(line(x, self.bottom, x, self.bottom + 5, stroke="ink", stroke_width=1))
            parts.append(label(x, self.bottom + 18, said(index * step, Dimension.DATA), size=SMALL, fill="faint", anchor="middle"))  # fmt: skip
        parts.append(
            label(self.right, self.bottom + 36, "room for data", size=SMALL, italic=True, anchor="end")
        )
        parts.append(
            label(20, self.top - 10, "loss of data in a year, rarer upwards", size=SMALL, italic=True)
        )
        return join(parts)

    def _edge(self) -> Svg:
        """The line through those with which nothing is both roomier and safer, as stairs."""
        edge: list[Layout] = []
        for each in sorted(self.ahead, key=lambda one: (-one.usable_bytes, one.usual.lost)):
            if not edge or each.usual.lost < edge[-1].usual.lost:
                edge.append(each)
        d = ""
        for index, each in enumerate(edge):
            x, y = number(self.x(each.usable_bytes)), number(self.y(each.usual.lost))
            d += f"M{x} {number(self.bottom)}V{y}" if not index else f"H{x}V{y}"
        d += f"H{number(self.left)}" if edge else ""
        return path(d, fill="none", stroke="ink", stroke_width=1.1) if d else Svg("")

    def _mark(self, each: Layout, *, ringed: bool) -> Svg:
        x, y = self.x(each.usable_bytes), self.y(each.usual.lost)
        parts = []
        if ringed:
            low, high = self.y(each.low.lost), self.y(each.high.lost)
            parts.append(line(x, low, x, high, stroke="brick", stroke_width=1.2))
            parts.extend(
                line(x - 5, end, x + 5, end, stroke="brick", stroke_width=1.2) for end in (low, high)
            )
            parts.append(tag("circle", cx=x, cy=y, r=R + 6, fill="paper", stroke="brick", stroke_width=2.2))
        parts.append(_sign(each, x, y))
        says = (
            f"No {each.number}: {plan_says(each.plan)}: "
            f"{said(each.usable_bytes, Dimension.DATA)}, survives {survives_says(each.survives)}, "
            f"loses data with a chance of {chance_says(each.usual.lost)} a year"
        )
        return thing(f"no {each.number}", *parts, says=says, word="layout", state="stands")

    def _named(self, ranked: Sequence[Layout], chosen: Layout | None) -> Iterator[Svg]:
        """Numbers and schemes of those that the table shows, where they do not cover each other."""
        taken: list[tuple[float, float, float]] = []
        for each in ranked:
            x, y = self.x(each.usable_bytes), self.y(each.usual.lost)
            words = f"{each.number}: {each.plan.scheme}"
            wide = len(words) * SMALL * 0.62
            left = x + R + (9 if each is chosen else 4)
            end = left + wide > self.right
            start = x - R - 5 - wide if end else left
            if any(
                abs(y - other) < 13 and start < stop and start + wide > begin for other, begin, stop in taken
            ):
                continue
            taken.append((y, start, start + wide))
            yield label(
                start + wide if end else start,
                y - (7 if each is not chosen else 10),
                words,
                size=SMALL,
                bold=each is chosen,
                fill="brick" if each is chosen else "ink",
                anchor="end" if end else "start",
            )


def _sign(each: Layout, x: float, y: float) -> Svg:
    """The sign of what a layout survives."""
    may = each.survives
    mark = _bare_sign(may.drives, x, y, "ink" if may.nodes else "paper")
    if not may.enclosures:
        return mark
    return Svg(mark + _bar(x, y))


def _bar(x: float, y: float) -> Svg:
    return line(x - R - 2, y + R + 2, x + R + 2, y + R + 2, stroke="ink", stroke_width=1.6)


def _step(most: float) -> float:
    """Room between two marks."""
    base: float = 10.0 ** floor(log10(most / 8))
    return next(base * factor for factor in (1, 2, 5, 10) if most / (base * factor) <= 10)


def _samples(heap: HeapLayouts, ahead: Sequence[Layout]) -> Iterator[tuple[Svg, str]]:
    x, y = 14.0, -5.0
    words = {1: "survives any drive", 2: "survives any 2 drives", 3: "survives any 3 drives"}
    for drives in sorted({min(each.survives.drives, 3) for each in ahead if each.survives.drives}):
        yield _bare_sign(drives, x, y, "paper"), words[drives]
    if any(each.survives.nodes for each in ahead):
        yield _bare_sign(1, x, y, "ink"), "black: and any node"
    if any(each.survives.enclosures for each in ahead):
        yield _bar(x, y), "bar: and any enclosure"
    if heap.recommended is not None:
        ring = tag("circle", cx=x, cy=y, r=R + 3, fill="paper", stroke="brick", stroke_width=2.2)
        yield ring, "recommended; its whisker: what is disputed"
    yield line(2, y, 27, y, stroke="ink", stroke_width=1.1), "beyond it nothing is both roomier and safer"


def _bare_sign(drives: int, x: float, y: float, fill: str) -> Svg:
    look: dict[str, str | float | None] = {"fill": fill, "stroke": "ink", "stroke_width": 1.4}
    if drives <= 1:
        return tag("circle", cx=x, cy=y, r=R - 1 if drives else 2.5, **look)
    if drives == 2:
        return tag("rect", x=x - R + 1, y=y - R + 1, width=2 * R - 2, height=2 * R - 2, **look)
    roof = f"M{number(x - R)} {number(y + R - 1)}L{number(x)} {number(y - R)}L{number(x + R)} {number(y + R - 1)}z"
    return path(roof, **look)
