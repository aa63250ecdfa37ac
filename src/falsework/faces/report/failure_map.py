"""Which loss hurts which service? One row a loss, one column a service, sorted so that blocks show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.verdicts import Singles, Verdict
from falsework.faces.report.ink import hatch, sheet
from falsework.faces.report.svg import (
    Svg,
    box,
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

MOST_ROWS = 70
MOST_COLUMNS = 60
"""What still reads on one sheet; the rest is counted."""
_WEIGHT = {Verdict.STANDS: 0, Verdict.THIN: 1, Verdict.BLINKS: 40, Verdict.FALLS: 2000, Verdict.LOST: 4000}
_SAID = ("room", "rack", "circuit", "strip")
"""Words without which a short name tells little."""
_SAYS = {
    Verdict.LOST: ("loses its data", "lose their data"),
    Verdict.FALLS: ("falls", "fall"),
    Verdict.BLINKS: ("blinks", "blink"),
    Verdict.THIN: ("thin", "thin"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Losses that do the same.

    Attributes:
        parts: ids; one of them is the loss.
        verdicts: for each column of the map.
    """

    parts: tuple[str, ...]
    verdicts: tuple[Verdict, ...]

    @property
    def worst(self) -> Verdict:
        """The worst in the row."""
        return max(self.verdicts, default=Verdict.STANDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Map:
    """The failure map, sorted.

    Attributes:
        columns: ids of services that meet the same in every row, loudest first.
        rows: loudest first.
        quiet: how many losses interrupt nothing and leave everything its spare.
        left_out: how many rows, and how many columns, are not shown for want of room.
    """

    columns: tuple[tuple[str, ...], ...]
    rows: tuple[Row, ...]
    quiet: int
    left_out: tuple[int, int]


def sorted_map(singles: Singles) -> Map:
    """The rows and columns of the map: equal ones together, the loudest first."""
    table = [[Verdict(int(value)) for value in column] for column in singles.verdicts.T]
    groups: dict[tuple[Verdict, ...], list[str]] = {}
    quiet = 0
    for part, verdicts in zip(singles.parts, table, strict=True):
        if any(verdicts):
            groups.setdefault(tuple(verdicts), []).append(part)
        else:
            quiet += 1
    ranked = sorted(groups, key=lambda verdicts: (-max(verdicts), -_loud(verdicts), groups[verdicts][0]))
    columns: dict[tuple[Verdict, ...], list[int]] = {}
    for at in range(len(singles.services)):
        columns.setdefault(tuple(row[at] for row in ranked), []).append(at)
    order = sorted(
        columns, key=lambda verdicts: (-_loud(verdicts), [-each for each in verdicts], columns[verdicts][0])
    )
    # With the columns settled, rows of one weight sort by where their marks lie: that makes the blocks.
    shown = [columns[key][0] for key in order]
    ranked.sort(key=lambda verdicts: (-max(verdicts), -_loud(verdicts), [-verdicts[at] for at in shown]))
    return Map(
        columns=tuple(tuple(singles.services[at] for at in columns[key]) for key in order[:MOST_COLUMNS]),
        rows=tuple(
            Row(parts=tuple(groups[key]), verdicts=tuple(key[at] for at in shown[:MOST_COLUMNS]))
            for key in ranked[:MOST_ROWS]
        ),
        quiet=quiet,
        left_out=(max(len(ranked) - MOST_ROWS, 0), max(len(order) - MOST_COLUMNS, 0)),
    )


def _loud(verdicts: Sequence[Verdict]) -> int:
    return sum(_WEIGHT[each] for each in verdicts)


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
    heads = [column[0] if len(column) == 1 else f"{len(column)} like {column[0]}" for column in found.columns]
    left = 20 + min(max([width_of(name, 11.5) for name in names] + [80.0]), 300.0) + 10
    counts = [_counted(row, found.columns) for row in found.rows]
    tail = min(max([width_of(text, 10.5) for text in counts] + [40.0]), 250.0) + 14
    cell = min(max((width - left - tail - 14) / max(len(heads), 1), 10.0), 30.0)
    right = left + cell * len(heads)
    sheet_wide = min(float(width), max(right + tail + 14, 640.0))
    top = 96 + min(max([width_of(head, 11) for head in heads] + [30.0]), 150.0)
    pitch = 17.0
    bottom = top + pitch * len(found.rows)
    parts = [*_head(singles, found, sheet_wide)]
    for position, (head, column) in enumerate(zip(heads, found.columns, strict=True)):
        x = left + cell * (position + 0.5)
        name = label(x + 4, top - 8, head, size=min(11.0, cell + 1), room=150.0, turned=True, told=False)
        parts.append(thing(" ".join(column), name, says=", ".join(column), word="service", state="stands"))
        parts.append(line(x, top - 4, x, bottom, stroke="hair", stroke_width=0.5, stroke_dasharray="1 4"))
    for position, row in enumerate(found.rows):
        y = top + pitch * position
        parts.append(
            _row(
                prefix,
                row,
                found.columns,
                names[position],
                counts[position],
                left,
                right,
                y,
                cell,
                pitch,
                words,
                sheet_wide,
            )
        )
    foot, y = _foot(prefix, found, bottom + 26, sheet_wide)
    parts.extend(foot)
    says = f"Failure map: {len(singles.parts)} single losses by {len(singles.services)} services; {found.quiet} of them change nothing"
    return sheet(prefix, sheet_wide, y + 18, escape(says), join(parts))


def _named(parts: Sequence[str], words: Mapping[str, str]) -> str:
    word = words.get(parts[0], "part")
    if len(parts) == 1:
        return f"{word} {parts[0]}" if word in _SAID and word not in parts[0] else parts[0]
    if len(parts) == 2 and word != "cable":
        return " or ".join(parts)
    if len({words.get(part, "part") for part in parts}) > 1:
        return f"{parts[0]} or {len(parts) - 1} more"
    many = (
        f"{word[:-1]}ies" if word.endswith("y") else f"{word}es" if word.endswith(("s", "h")) else f"{word}s"
    )
    return f"{len(parts)} {many} like {parts[0]}"


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
    hurting = sum(len(row.parts) for row in found.rows if row.worst >= Verdict.FALLS)
    blinking = sum(len(row.parts) for row in found.rows if row.worst is Verdict.BLINKS)
    first = f"{len(singles.parts)} single losses: {hurting} bring something down, {blinking} interrupt something for a while"
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
    prefix: str,
    row: Row,
    columns: Sequence[Sequence[str]],
    name: str,
    count: str,
    left: float,
    right: float,
    y: float,
    cell: float,
    pitch: float,
    words: Mapping[str, str],
    wide: float,
) -> Svg:
    loud = row.worst >= Verdict.FALLS
    parts = [
        line(left, y + pitch, right, y + pitch, stroke="hair", stroke_width=0.5),
        label(
            left - 10,
            y + 12.5,
            name,
            size=11.5,
            fill="brick" if loud else "ink",
            anchor="end",
            bold=False,
            room=left - 30,
            told=False,
        ),
        label(
            right + 12,
            y + 12.5,
            count,
            size=10.5,
            fill="faint",
            italic=True,
            room=wide - right - 20,
            told=False,
        ),
    ]
    start = 0
    for end in range(1, len(row.verdicts) + 1):
        if end < len(row.verdicts) and row.verdicts[end] is row.verdicts[start]:
            continue
        verdict = row.verdicts[start]
        if verdict:
            services = ", ".join(name for column in columns[start:end] for name in column)
            said = f"{name}: {services}: {verdict.word}"
            parts.append(
                tag(
                    "g",
                    title(said),
                    _mark(prefix, verdict, left + cell * start, y, cell * (end - start), pitch),
                )
            )
        start = end
    first = words.get(row.parts[0], "part")
    return thing(
        " ".join(row.parts),
        *parts,
        says=f"{name}: {count}" + (f" ({', '.join(row.parts[:20])})" if len(row.parts) > 1 else ""),
        word=first,
        state=row.worst.word,
    )


def _mark(prefix: str, verdict: Verdict, x: float, y: float, wide: float, pitch: float) -> Svg:
    """The sign of a verdict: height, hatching and outline differ as well as shade."""
    if verdict is Verdict.THIN:
        return box(x + 1, y + pitch - 6, wide - 2, 4, fill=hatch(prefix, "thin"))
    if verdict is Verdict.BLINKS:
        return box(x + 1, y + pitch - 11, wide - 2, 9, fill=hatch(prefix, "blinks"))
    if verdict is Verdict.FALLS:
        return box(
            x + 0.5,
            y + 1.5,
            wide - 1,
            pitch - 3,
            fill=hatch(prefix, "falls"),
            stroke="brick",
            stroke_width=0.9,
        )
    return box(
        x + 1, y + 1.5, wide - 2, pitch - 3, fill=hatch(prefix, "lost"), stroke="brick", stroke_width=2.2
    )


def _foot(prefix: str, found: Map, y: float, wide: float) -> tuple[list[Svg], float]:
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
                _mark(prefix, verdict, 0, -13, 27, 17),
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
