"""Which loss hurts which service? One row a loss, one column a service, sorted so that blocks show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    """Where the cells lie: left edge of the first, its top, the size of each, and the sheet's width."""

    left: float
    top: float
    cell: float
    count: int
    wide: float

    @property
    def right(self) -> float:
        """Right edge of the last cell."""
        return self.left + self.cell * self.count


PITCH = 17.0
"""Height of a row."""


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
    names = [_named(row.parts, words) for row in found.rows]
    counts = [_counted(row, found.columns) for row in found.rows]
    heads = [column[0] if len(column) == 1 else f"{len(column)} like {column[0]}" for column in found.columns]
    left = 30 + min(max([width_of(name, 11.5) for name in names] + [80.0]), MOST_NAME)
    tail = min(max([width_of(text, 10.5) for text in counts] + [40.0]), 250.0) + 14
    cell = min(max((width - left - tail - 14) / max(len(heads), 1), 10.0), 30.0)
    grid = _Grid(
        left=left,
        top=96 + min(max([width_of(head, 11) for head in heads] + [30.0]), 150.0),
        cell=cell,
        count=len(heads),
        wide=min(float(width), max(left + cell * len(heads) + tail + 14, 780.0)),
    )
    bottom = grid.top + PITCH * len(found.rows)
    parts = _head(singles, found, grid.wide)
    for position, (head, column) in enumerate(zip(heads, found.columns, strict=True)):
        x = left + cell * (position + 0.5)
        size = min(11.0, cell + 1)
        name = label(x + 4, grid.top - 8, head, size=size, room=150.0, turned=True, told=False)
        parts.append(thing(" ".join(column), name, says=", ".join(column), word="service", state="stands"))
        parts.append(
            line(x, grid.top - 4, x, bottom, stroke="hair", stroke_width=0.5, stroke_dasharray="1 4")
        )
    for position, (row, name_, count) in enumerate(zip(found.rows, names, counts, strict=True)):
        word = words.get(row.parts[0], "part")
        parts.append(_row(grid, row, found.columns, name_, count, word, grid.top + PITCH * position))
    foot, y = _foot(found, bottom + 26, grid.wide)
    parts.extend(foot)
    says = (
        f"Failure map: {len(singles.parts)} single losses by {len(singles.services)} services; "
        f"{found.quiet} of them change nothing"
    )
    return sheet(prefix, grid.wide, y + 18, escape(says), join(parts))


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


def _counted(row: Row, columns: Sequence[Sequence[str]]) -> str:
    counts = {
        each: sum(
            len(column) for column, verdict in zip(columns, row.verdicts, strict=True) if verdict is each
        )
        for each in _SAYS
    }
    return " · ".join(
        f"{counts[each]} {says[counts[each] != 1]}" for each, says in _SAYS.items() if counts[each]
    )


def _head(singles: Singles, found: Map, wide: float) -> list[Svg]:
    first = (
        f"{len(singles.parts)} single losses: {found.hurting} bring something down, "
        f"{found.blinking} interrupt something"
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
    grid: _Grid, row: Row, columns: Sequence[Sequence[str]], name: str, count: str, word: str, y: float
) -> Svg:
    """One row: its name, a mark for each run of cells alike, and how many of each."""
    shade = "brick" if row.worst >= Verdict.FALLS else "ink"
    room = grid.left - 30
    parts = [
        line(grid.left, y + PITCH, grid.right, y + PITCH, stroke="hair", stroke_width=0.5),
        label(grid.left - 10, y + 12.5, name, size=11.5, fill=shade, anchor="end", room=room, told=False),
        label(
            grid.right + 12,
            y + 12.5,
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
            mark = _mark(verdict, grid.left + grid.cell * start, y, grid.cell * (end - start), PITCH)
            parts.append(tag("g", title(f"{name}: {services}: {verdict.word}"), mark))
        start = end
    more = f" ({', '.join(row.parts[:20])})" if len(row.parts) > 1 else ""
    says = f"{name}: {count}{more}"
    return thing(" ".join(row.parts), *parts, says=says, word=word, state=row.worst.word)


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
