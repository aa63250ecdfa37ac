"""Which loss hurts which service? One row a loss, one column a service, sorted so that blocks show."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.analyses.verdicts import Singles, Verdict
from falsework.faces.report.blocks import Map, Row, sorted_map
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.ink import sheet
from falsework.faces.report.svg import (
    Svg,
    escape,
    join,
    label,
    line,
    number,
    tag,
    thing,
    title,
    width_of,
)

MOST_NAME = 290.0
"""The width that the name of a row may take."""
_SAID = ("room", "rack", "circuit", "strip")
"""Words without which a short name tells little."""
_SAYS = {
    Verdict.LOST: ("loses its data", "lose their data"),
    Verdict.FALLS: ("falls", "fall"),
    Verdict.BLINKS: ("blinks", "blink"),
    Verdict.THIN: ("thin", "thin"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """Where the cells lie: left edge of the first, its top, width and number of them, the sheet's width, height of a row."""

    left: float
    top: float
    cell: float
    count: int
    wide: float
    pitch: float

    @property
    def right(self) -> float:
        """Right edge of the last cell."""
        return self.left + self.cell * self.count


PITCH = 17.0
"""Height of a row."""
TOUCH = 24.0
"""The same where it is to be touched."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """Where a touch of a map leads, for a page.

    Attributes:
        row: of what several losses do alike.
        cell: of what one of them does to a service.
        column: of the services of a column.
    """

    row: Callable[[Sequence[str]], str]
    cell: Callable[[Sequence[str], Sequence[str]], str]
    column: Callable[[Sequence[str]], str]


def failure_map(singles: Singles, words: Mapping[str, str], *, width: int = 1400, prefix: str = "map") -> str:
    """The failure map as SVG.

    Args:
        singles: what losing each part by itself does.
        words: what each part is: `node`, `cable`, `room`, ...
        width: of the sheet at most, in px.
        prefix: of the ids in the drawing.

    Returns:
        One `<svg>` element; each row is a group with `data-id` (ids joined by spaces where several are alike).
    """
    found = sorted_map(singles)
    says = (
        f"Failure map: {len(singles.parts)} single losses by {len(singles.services)} services; "
        f"{found.quiet} of them change nothing"
    )
    return map_sheet(found, words, says=says, losses=len(singles.parts), width=width, prefix=prefix)


def map_sheet(
    found: Map,
    words: Mapping[str, str],
    *,
    says: str,
    losses: int = 0,
    width: int = 1400,
    prefix: str = "map",
    links: Links | None = None,
    notes: Mapping[str, str] | None = None,
) -> str:
    """A sorted map as SVG.

    Args:
        found: the map.
        words: what each loss is.
        says: what it shows, for those who cannot see it.
        losses: how many there are; 0 leaves the head out, as a page says it beside the drawing.
        width: of the sheet at most, in px; a page scrolls instead, and its cells stay large enough to touch.
        prefix: of the ids in the drawing.
        links: for a page: where a touch leads. Colours and style are then the page's.
        notes: what is said of single losses behind the counts of their row.
    """
    names = [_named(row.parts, words) for row in found.rows]
    counts = [_counted(row, found.columns, notes or {}) for row in found.rows]
    heads = [column[0] if len(column) == 1 else f"{len(column)} like {column[0]}" for column in found.columns]
    left = 30 + min(max([width_of(name, 11.5) for name in names] + [80.0]), MOST_NAME)
    tail = min(max([width_of(text, 10.5) for text in counts] + [40.0]), 250.0) + 14
    cell = min(max((width - left - tail - 14) / max(len(heads), 1), 10.0 if links is None else 20.0), 30.0)
    grid = _Grid(
        left=left,
        top=(96 if losses else 22) + min(max([width_of(head, 11) for head in heads] + [30.0]), 150.0),
        cell=cell,
        count=len(heads),
        wide=max(left + cell * len(heads) + tail + 14, 780.0),
        pitch=PITCH if links is None else TOUCH,
    )
    if links is None:
        grid = replace(grid, wide=min(float(width), grid.wide))
    bottom = grid.top + grid.pitch * len(found.rows)
    parts = _head(losses, found, grid.wide) if losses else []
    for position, (head, column) in enumerate(zip(heads, found.columns, strict=True)):
        parts.append(_heading(grid, position, head, column, links))
        x = left + cell * (position + 0.5)
        parts.append(
            line(x, grid.top - 4, x, bottom, stroke="hair", stroke_width=0.5, stroke_dasharray="1 4")
        )
    for position, (row, name_, count) in enumerate(zip(found.rows, names, counts, strict=True)):
        word = words.get(row.parts[0], "part")
        y = grid.top + grid.pitch * position
        parts.append(_row(grid, row, found.columns, name_, count, word, y, links))
    foot, y = _foot(found, bottom + 26, grid.wide)
    parts.extend(foot)
    live = links is not None
    return sheet(
        prefix,
        grid.wide,
        y + 18,
        escape(says),
        join(parts),
        styled=not live,
        role="group" if live else "img",
    )


def _heading(grid: _Grid, position: int, head: str, column: Sequence[str], links: Links | None) -> Svg:
    """The name of a column, turned."""
    x = grid.left + grid.cell * (position + 0.5)
    size = min(11.0, grid.cell + 1)
    name = label(x + 4, grid.top - 8, head, size=size, room=150.0, turned=True, told=False)
    says = ", ".join(column)
    if links is not None:
        long = min(width_of(head, size), 150.0) + 12
        reach = _reach(x - grid.cell / 2, grid.top - long, grid.cell, long - 3)
        name = _link(links.column(column), f"what hurts {says}", reach, name)
    return thing(" ".join(column), name, says=says, word="service", state="stands")


def _reach(x: float, y: float, wide: float, high: float) -> Svg:
    return tag("rect", x=x, y=y, width=wide, height=high, fill="none", pointer_events="all")


def _link(href: str, says: str, *shapes: Svg, passed: bool = False) -> Svg:
    """Shapes that lead somewhere; `passed` by the keyboard where the same is reached in another way."""
    return tag(
        "a",
        *shapes,
        class_="cell" if passed else "touch",
        href=href,
        aria_label=says,
        tabindex="-1" if passed else None,
    )


def _named(parts: Sequence[str], words: Mapping[str, str]) -> str:
    """What a row is called: its parts while they fit, else how many there are."""
    word = words.get(parts[0], "part")
    if len(parts) == 1:
        return f"{word} {parts[0]}" if word in _SAID and word not in parts[0] else parts[0]
    if len({words.get(part, "part") for part in parts}) > 1 or len(parts) < 4:
        for shown in range(len(parts), 0, -1):
            names = [*parts[:shown], *([f"{len(parts) - shown} more"] if shown < len(parts) else [])]
            said = f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else names[0]
            if width_of(said, 11.5) <= MOST_NAME:
                return said
    end = {"y": "ies", "s": "ses", "h": "hes"}.get(word[-1], f"{word[-1]}s")
    return f"{len(parts)} {word[:-1]}{end} like {parts[0]}"


def _counted(row: Row, columns: Sequence[Sequence[str]], notes: Mapping[str, str]) -> str:
    counts = {
        each: sum(
            len(column) for column, verdict in zip(columns, row.verdicts, strict=True) if verdict is each
        )
        for each in _SAYS
    }
    said = [f"{counts[each]} {says[counts[each] != 1]}" for each, says in _SAYS.items() if counts[each]]
    said.extend(dict.fromkeys(notes[part] for part in row.parts if part in notes))
    return " · ".join(said)


def _head(losses: int, found: Map, wide: float) -> list[Svg]:
    first = (
        f"{losses} single losses: {found.hurting} bring something down, {found.blinking} interrupt something"
    )
    second = f"{found.quiet} change nothing and have no row"
    return [
        label(20, 42, "Failure map", size=25, bold=True),
        label(
            20 + width_of("Failure map", 25, bold=True) + 18,
            42,
            "what falls, blinks or thins when one thing is lost",
            size=16,
            fill="faint",
            italic=True,
            room=wide - 240,
        ),
        label(20, 66, f"{first} · {second}", size=13, room=wide - 40),
    ]


def _row(
    grid: _Grid,
    row: Row,
    columns: Sequence[Sequence[str]],
    name: str,
    count: str,
    word: str,
    y: float,
    links: Links | None,
) -> Svg:
    """One row: its name, a mark for each run of cells alike, and how many of each."""
    shade = "brick" if row.worst >= Verdict.FALLS else "ink"
    room = grid.left - 30
    base = y + grid.pitch / 2 + 4
    more = f" ({', '.join(row.parts[:20])})" if len(row.parts) > 1 else ""
    says = f"{name}: {count}{more}"
    named = label(grid.left - 10, base, name, size=11.5, fill=shade, anchor="end", room=room, told=False)
    if links is not None:
        named = _link(links.row(row.parts), f"lose {says}", _reach(20, y, grid.left - 26, grid.pitch), named)
    parts = [
        line(grid.left, y + grid.pitch, grid.right, y + grid.pitch, stroke="hair", stroke_width=0.5),
        named,
        label(
            grid.right + 12,
            base,
            count,
            size=10.5,
            fill="faint",
            italic=True,
            room=grid.wide - grid.right - 20,
            told=False,
        ),
    ]
    start = 0
    for end in range(1, len(row.verdicts) + 1):
        if end < len(row.verdicts) and row.verdicts[end] is row.verdicts[start]:
            continue
        verdict = row.verdicts[start]
        if verdict:
            services = ", ".join(service for column in columns[start:end] for service in column)
            mark = _mark(verdict, grid.left + grid.cell * start, y, grid.cell * (end - start), grid.pitch)
            parts.append(tag("g", title(f"{name}: {services}: {verdict.word}"), mark))
            if links is not None and verdict >= Verdict.BLINKS:
                parts.extend(
                    _cell(grid, row, columns[at], at, f"{name}: {columns[at][0]}: {verdict.word}", y, links)
                    for at in range(start, end)
                )
        start = end
    return thing(" ".join(row.parts), *parts, says=says, word=word, state=row.worst.word)


def _cell(grid: _Grid, row: Row, column: Sequence[str], at: int, says: str, y: float, links: Links) -> Svg:
    """What is touched over a mark; the keyboard comes here by way of the row."""
    reach = _reach(grid.left + grid.cell * at, y, grid.cell, grid.pitch)
    return _link(links.cell(row.parts, column), says, title(says), reach, passed=True)


def _mark(verdict: Verdict, x: float, y: float, wide: float, pitch: float) -> Svg:
    """The sign of a verdict: height, hatching and outline differ as well as shade."""
    if verdict is Verdict.THIN:
        return box(x + 1, y + pitch - 6, wide - 2, 4, fill=hatch("thin"))
    if verdict is Verdict.BLINKS:
        return box(x + 1, y + pitch - 11, wide - 2, 9, fill=hatch("blinks"))
    if verdict is Verdict.FALLS:
        return box(
            x + 0.5,
            y + 1.5,
            wide - 1,
            pitch - 3,
            fill=hatch("falls"),
            stroke="brick",
            stroke_width=0.9,
        )
    return box(x + 1, y + 1.5, wide - 2, pitch - 3, fill=hatch("lost"), stroke="brick", stroke_width=2.2)


def _foot(found: Map, y: float, wide: float) -> tuple[list[Svg], float]:
    samples = (
        (Verdict.LOST, "data lost"),
        (Verdict.FALLS, "falls until someone mends it"),
        (Verdict.BLINKS, "blinks: interrupted, returns by itself"),
        (Verdict.THIN, "thin: stands, none to spare"),
    )
    parts: list[Svg] = []
    x = 20.0
    for verdict, says in samples:
        step = 34 + width_of(says, 10.5) + 20
        if x + step > wide and x > 20:
            x, y = 20.0, y + 20
        parts.append(
            tag(
                "g",
                _mark(verdict, 0, -13, 27, 17),
                label(34, 0, says, size=10.5, fill="faint"),
                transform=f"translate({number(x)} {number(y)})",
            )
        )
        x += step
    rows, columns = found.left_out
    if rows or columns:
        y += 20
        parts.append(
            label(
                20,
                y,
                f"left out for want of room: {rows} rows and {columns} columns, all quieter than those shown",
                size=10.5,
                italic=True,
                room=wide - 40,
            )
        )
    return parts, y
