"""How do wire, power, the ground and what is outside lie below the machines?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.faces.report import footing
from falsework.faces.report.bars import GROUND, Bar, Plan, Tie, power, wire
from falsework.faces.report.columns import Columns
from falsework.faces.report.frame import Frame
from falsework.faces.report.keeping import kept
from falsework.faces.report.laying import laid, tied
from falsework.faces.report.states import time
from falsework.faces.report.svg import Svg, label, line
from falsework.model.parts import Ups
from falsework.support.graph import Role
from falsework.support.standing import Standing


def below(frame: Frame, y: float) -> tuple[list[Svg], float]:
    """Wire, power, ground and what is outside, and the y below them."""
    standing = frame.states.standing
    cables, feeds, pairs_at, posts_at = kept(
        standing, "ground", (frame.left, frame.right, frame.open), lambda: _laid(frame)
    )
    above = {name: bar for name, bar in feeds.bars.items() if bar.level != GROUND}
    outside = {name: bar for name, bar in feeds.bars.items() if bar.level == GROUND}
    parts: list[Svg] = []
    tops: dict[str, float] = {}
    first = y
    for title, bars, pitch in (("wire", cables.bars, footing.WIRE), ("power", above, footing.POWER)):
        if not bars:
            continue
        y += 8
        rows = max(bar.row for bar in bars.values()) + 1
        tops.update({name: y + bar.row * pitch for name, bar in bars.items()})
        parts.append(frame.course_title(title, y - 4, y + rows * pitch - 4))
        room = frame.width - frame.serves - 14
        parts.append(label(frame.serves, y + 10, _many(bars), size=10.5, fill="faint", room=room))
        y += rows * pitch + 2
    soil = y + 3
    y = soil + 16
    if outside:
        base = min(bar.row for bar in outside.values())
        tops.update({name: y + (bar.row - base) * footing.OUTSIDE for name, bar in outside.items()})
        rows = max(bar.row for bar in outside.values()) - base + 1
        parts.append(frame.course_title("outside", y - 2, y + rows * footing.OUTSIDE - 4))
        y += rows * footing.OUTSIDE
    bars = {**cables.bars, **feeds.bars}
    middles = [column.x for column in frame.columns.columns]
    plumb = [
        line(x, first - 2, x, soil, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4") for x in middles
    ]
    posts = [footing.tie(frame, each, bars, tops, cable=False) for each in posts_at]
    pairs = [footing.tie(frame, each, bars, tops, cable=True) for each in pairs_at]
    drawn = [footing.bar(frame, bar, tops[name]) for name, bar in bars.items()]
    return [
        *plumb,
        *posts,
        *pairs,
        footing.ground(frame.left - 10, frame.right + 10, soil),
        *parts,
        *drawn,
    ], y


def _laid(frame: Frame) -> tuple[Plan, Plan, tuple[Tie, ...], tuple[Tie, ...]]:
    """Bars of wire and of power, and the ties of both: they hang on the lab and the edges, not on what is lost."""
    standing = frame.states.standing
    runtimes: dict[str, str] = {
        ups.id: time(hold)
        for ups in standing.lab.of(Ups)
        if 0 < (hold := _hold(standing, ups.id)) < float("inf")
    }
    cables = laid(wire(standing.lab, frame.columns), frame.columns, left=frame.left, right=frame.right)
    feeds = laid(
        power(standing.lab, frame.columns, runtimes),
        frame.columns,
        left=frame.left,
        right=frame.right,
        above=cables.bars,
    )
    bars = {**cables.bars, **feeds.bars}
    middles = [column.x for column in frame.columns.columns]
    return (
        cables,
        feeds,
        tied(_bundled(cables, frame.columns), bars, middles, from_right=True),
        tied(feeds.ties, bars, middles, from_right=False),
    )


def _bundled(cables: Plan, columns: Columns) -> list[Tie]:
    """The ties of the wire; those of a switch that only folded machines meet are one, down to the lowest."""
    found: list[Tie] = []
    bundles: dict[str, list[Tie]] = {}
    for tie in cables.ties:
        joints = cables.bars[tie.upper].joints
        if joints and all(len(columns.columns[joint.column].nodes) > 1 for joint in joints):
            bundles.setdefault(tie.upper, []).append(tie)
        else:
            found.append(tie)
    for upper, ties in bundles.items():
        lowest = max(ties, key=lambda tie: cables.bars[tie.lower].row)
        found.append(
            Tie(upper=upper, lower=lowest.lower, parts=tuple(part for tie in ties for part in tie.parts))
        )
    return found


def _many(bars: Mapping[str, Bar]) -> str:
    """How many bars of each word: "2 strips · 1 battery"."""
    ones = {"ups": "battery", "switch": "switch"}
    manies = {"ups": "batteries", "switch": "switches"}
    counts: dict[str, int] = {}
    for bar in bars.values():
        counts[bar.word] = counts.get(bar.word, 0) + 1
    return " · ".join(
        f"{count} {ones.get(word, word) if count == 1 else manies.get(word, word + 's')}"
        for word, count in counts.items()
    )


def _hold(standing: Standing, ups: str) -> float:
    """How long a battery carries what it usually does, seconds."""
    return max(
        (lean.hold_s for lean in standing.support.things[ups].leans if lean.role is Role.POWER), default=0.0
    )
