"""How is it drawn why a thing falls, or what one that stands leans on?

A chain of reasons is a line over the drawing, from the thing down to what is lost, with a number at each step;
the sentences stand under the drawing by their numbers, so that print tells as much as a screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from falsework.analyses.explain import Reason, explain
from falsework.analyses.leaning import leans_told
from falsework.faces.report.frame import Frame
from falsework.faces.report.spots import Spot
from falsework.faces.report.svg import Svg, join, label, number, path, tag, title
from falsework.support.graph import Lean, Role, SupportGraph

LINE = 17.0
"""Height of a line of sentences."""
_RADIUS = 8.0
MOST_ENDS = 12
"""A thing that leans on more than so many of a kind gets lines to the first of them only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One sentence, and the things that it leads over.

    Attributes:
        over: the things, the one that bears the number first.
        says: the sentence.
    """

    over: tuple[str, ...]
    says: str


def reasons(frame: Frame, thing: str, y: float) -> tuple[Svg, Svg, float]:
    """Why a thing falls, or what it leans on: the sentences, the lines over the drawing, and the y below.

    Args:
        frame: the sheet, with everything drawn.
        thing: a thing of the graph.
        y: the base line of the heading.
    """
    states = frame.states
    standing = states.standing
    found = states.loss.why(thing) if states.loss is not None else explain(standing.baseline, thing)
    if found:
        said = [step.says for step in steps(found)]
        over, colour = falling(frame, found), "brick"
        heading = f"Why {thing} {_falls(frame, thing)}"
    else:
        leans = tuple(leans_told(standing, standing.support.things[thing]))
        said = [says for _, says in leans] or [f"{thing} leans on nothing in the lab"]
        over, colour = leaning(frame, thing, leans), "ink"
        heading = f"What {thing} leans on"
    told, y = sentences(frame, heading, said, y, colour)
    return told, over, y


def _falls(frame: Frame, thing: str) -> str:
    """What happens to it, in a word that follows its name."""
    if frame.states.loss is None:
        return "does not stand"
    down = frame.states.loss.down.get(thing)
    return "is interrupted" if down is not None and down.back_s < float("inf") else "falls"


def steps(reasons: Iterable[Reason]) -> tuple[Step, ...]:
    """A chain in steps: a row of things without power is one, as it is told."""
    found: list[Step] = []
    before = None
    for reason in reasons:
        if found and reason.role is before is Role.POWER:
            found[-1] = Step(over=(*found[-1].over, reason.thing), says=found[-1].says)
        else:
            found.append(Step(over=(reason.thing,), says=reason.says))
        before = reason.role
    return tuple(found)


def falling(frame: Frame, reasons: Sequence[Reason]) -> Svg:
    """The line from a thing that falls to what is lost."""
    made = steps(reasons)
    spots = [
        (at, spot)
        for at, step in enumerate(made)
        for spot in (frame.spots.of(name, frame.states.standing.support) for name in step.over)
        if spot is not None
    ]
    if not spots:
        return Svg("")
    x = _start(frame, [spot for _, spot in spots])
    points: list[tuple[float, float]] = []
    badges: dict[int, tuple[float, float]] = {}
    for at, spot in spots:
        x, y = spot.near(x)
        points.append((x, y))
        badges.setdefault(at, (x, y))
    d = f"M{_at(points[0])}" + "".join(_on(one, other) for one, other in pairwise(points))
    return _over(_line(d, "brick"), _badges(badges, "brick"), "; ".join(step.says for step in made))


def leaning(frame: Frame, thing: str, leans: Sequence[tuple[Lean, str]]) -> Svg:
    """Lines from a thing that stands to all that it leans on."""
    support = frame.states.standing.support
    home = frame.spots.of(thing, support)
    if home is None:
        return Svg("")
    d: list[str] = []
    badges: dict[int, tuple[float, float]] = {}
    for at, (lean, _) in enumerate(leans):
        names = _hosts(support, thing, lean) if lean.role is Role.HOST else lean.on[:MOST_ENDS]
        for spot in (spot for name in names if (spot := frame.spots.of(name, support)) is not None):
            start = home.near(spot.x + spot.width / 2, edge=4.0 + 3.0 * at)
            end = spot.near(start[0])
            d.append(f"M{_at(start)}{_on(start, end)}")
            badges.setdefault(at, end)
    return _over(
        _line("".join(d), "ink", thick=1.2, halo=3.2),
        _badges(badges, "ink"),
        "; ".join(says for _, says in leans),
    )


def _hosts(support: SupportGraph, thing: str, lean: Lean) -> tuple[str, ...]:
    """Where the copies are that lean so: a line to each host that they may have besides would hide the rest."""
    copies = [each for own in support.things[thing].leans for each in own.on]
    found = [
        host
        for each in (thing, *copies)
        if lean in support.things[each].leans
        for host in support.things[each].at("now")
    ]
    return tuple(dict.fromkeys(found))[:MOST_ENDS] or lean.on[:1]


def sentences(frame: Frame, heading: str, says: Sequence[str], y: float, colour: str) -> tuple[Svg, float]:
    """The sentences by their numbers, and the y below them."""
    x = frame.course - 5
    parts = [label(x, y, heading, size=12.5, fill=colour, bold=True, room=frame.width - 40)]
    for at, each in enumerate(says):
        y += LINE + 2
        parts.append(_badge(at, x + _RADIUS, y - 4, colour))
        parts.append(label(x + 2 * _RADIUS + 8, y, each, size=11.5, room=frame.width - x - 40))
    return tag("g", join(parts), class_="reasons"), y


def _start(frame: Frame, spots: Sequence[Spot]) -> float:
    """Where the line leaves the first thing: over the first narrow thing that it leads to, so that it falls plumb."""
    narrow = next((spot for spot in spots[1:] if spot.width <= 2 * frame.columns.pitch), None)
    first = spots[0]
    return first.x + first.width / 2 if narrow is None else narrow.x + narrow.width / 2


def _at(point: tuple[float, float]) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _on(one: tuple[float, float], other: tuple[float, float]) -> str:
    """Plumb first, then level, as everything on the sheet lies."""
    level = f"H{number(other[0])}" if abs(one[0] - other[0]) > 0.5 else ""
    return f"V{number(other[1])}{level}"


def _line(d: str, colour: str, *, thick: float = 2.0, halo: float = 5.5) -> Svg:
    if not d:
        return Svg("")
    join_ = {"stroke_linejoin": "round", "stroke_linecap": "round"}
    return Svg(
        path(d, fill="none", stroke="paper", stroke_width=halo, **join_)
        + path(d, fill="none", stroke=colour, stroke_width=thick, **join_)
    )


def _badges(found: dict[int, tuple[float, float]], colour: str) -> list[Svg]:
    """The numbers, each at its place or, where another is there already, beside it."""
    taken: list[tuple[float, float]] = []
    made = []
    for at, (x, y) in found.items():
        while any(abs(x - a) < 2 * _RADIUS + 1 and abs(y - b) < 2 * _RADIUS + 1 for a, b in taken):
            x += 2 * _RADIUS + 2
        taken.append((x, y))
        made.append(_badge(at, x, y, colour))
    return made


def _badge(at: int, x: float, y: float, colour: str) -> Svg:
    disc = tag("circle", cx=x, cy=y, r=_RADIUS, fill="paper", stroke=colour, stroke_width=1.5)
    return Svg(disc + label(x, y + 3.6, str(at + 1), size=10.5, fill=colour, anchor="middle", bold=True))


def _over(line: Svg, badges: Sequence[Svg], says: str) -> Svg:
    """What lies over the drawing and lets every touch through."""
    return tag("g", title(says), line, *badges, class_="chain", pointer_events="none")
