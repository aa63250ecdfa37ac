"""What does one way to stop a service look like, in an elevation as small as a stamp?

The service is a beam on its legs, each leg above the machine that carries it; below lie the wire and the power
that it stands on. What the cut set takes out is struck through.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from falsework.analyses.odds.result import CutSet
from falsework.faces.report.beams import bar_of
from falsework.faces.report.columns import machines
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.svg import Svg, join, label, line, number, path, width_of
from falsework.faces.report.whereabouts import Place, places
from falsework.model.parts import Circuit, Node, Strip, Switch, ThingId, Ups
from falsework.model.services import Copy
from falsework.support.graph import Role
from falsework.support.standing import Standing

HIGH = 136.0
"""Height of a small elevation, its words not counted."""
MOST_COLUMNS = 7
"""Machines that stand side by side; the others are left out, those that are struck last."""
MOST_HELD = 4
"""Machines in a thing that is out, for all of them to be shown although the service runs on others."""
_BEAM, _BOX, _WIRE, _POWER, _GROUND = 8.0, 44.0, 86.0, 102.0, 124.0
"""Where the beam, the machines, the wire, the power and the ground begin, from the top."""


def small(standing: Standing, service: str, cut: CutSet, *, width: float) -> Svg:
    """One way to stop a service, drawn from the origin.

    Args:
        standing: the lab.
        service: its id.
        cut: the set that stops it.
        width: of the drawing.
    """
    lab = standing.lab
    hosts = hosts_of(standing, service)
    out = places(lab, [each.name for each in cut.out])
    struck_nodes = {place.node for place in out if place.node}
    # An enclosure that is out is shown around its machines, whichever they are; a rack or room would be too wide.
    struck_nodes.update(node for place in out if len(place.around) <= MOST_HELD for node in place.around)
    wanted = [each.name for each in machines(lab) if each.name in hosts or each.name in struck_nodes]
    nodes = _fitting(wanted, struck_nodes)
    columns = {node: _x(place, len(nodes), width) for place, node in enumerate(nodes)}
    # What holds none of the machines shown (a room with the switch in it) stops the service by its power or wire.
    frames = [place.around for place in out if any(node in columns for node in place.around)]
    unseen = sum(1 for place in out if place == Place() or (place.around and place.around not in frames))
    power = unseen + sum(1 for place in out if place.power)
    parts = [
        *_boxes(columns, out, standing.out, width),
        *_around(columns, frames, width),
        *_course(_WIRE, width, len(lab.of(Switch)), sum(1 for place in out if place.wire)),
        *_course(_POWER, width, sum(len(lab.of(kind)) for kind in (Strip, Ups, Circuit)), power),
        *_ground(width, sum(1 for place in out if place.ground)),
        *_legs(columns, hosts, out, frames, standing.out),
    ]
    xs = [columns[node] for node in nodes if node in hosts] or [width / 2]
    over = max(min(_pitch(len(nodes), width) * 0.36, 20.0), 30.0 if len(xs) == 1 else 0.0)
    beam = bar_of("falls", min(xs) - over, _BEAM, max(xs) - min(xs) + 2 * over, 9)
    return join([*parts, beam])


def hosts_of(standing: Standing, service: str) -> frozenset[str]:
    """The machines that carry a service now; for an alarm, those of what it leans on."""
    things = standing.support.things
    leans = things[service].leans
    copies = [lean for lean in leans if lean.role is Role.COPIES] or list(leans)
    found = set()
    for name in (each for lean in copies for each in lean.on):
        thing = standing.lab.things.get(ThingId(name))
        if isinstance(thing, Copy):
            found.add(str(thing.host))
        elif isinstance(thing, Node):
            found.add(name)
    return frozenset(found)


def _fitting(wanted: Sequence[str], struck_nodes: Collection[str]) -> tuple[str, ...]:
    """As many machines as have room, in their order: the struck ones first."""
    kept = sorted(wanted, key=lambda node: node not in struck_nodes)[:MOST_COLUMNS]
    return tuple(node for node in wanted if node in kept)


def _pitch(count: int, width: float) -> float:
    return min((width - 16) / max(count, 1), 64.0)


def _x(number_: int, count: int, width: float) -> float:
    pitch = _pitch(count, width)
    return width / 2 + (number_ - (count - 1) / 2) * pitch


def _boxes(
    columns: Mapping[str, float], out: Sequence[Place], before: Collection[str], width: float
) -> list[Svg]:
    """The machines, struck where they are out; what is out inside one is a small box in it.

    Those in `before` are out beforehand, and hatched as such.
    """
    half = _half(len(columns), width)
    found = []
    for node, x in columns.items():
        here = [place for place in out if place.node == node]
        whole = any(not place.inside for place in here)
        fill, stroke = (hatch("lost"), "brick") if whole else ("stone", "ink")
        if node in before and not whole:
            fill, stroke = hatch("out"), "faint"
        found.append(box(x - half, _BOX, half * 2, 26, fill=fill, stroke=stroke, stroke_width=1.1))
        if whole:
            found.append(struck(x - half - 3, _BOX - 3, half * 2 + 6, 32))
            continue
        name = node.rsplit(".", 1)[-1] if half < 20 else node
        if node not in before:
            found.append(
                label(x, _BOX + 11, name, size=8.5, fill="faint", anchor="middle", room=half * 2 - 4)
            )
        for number_ in range(min(len(here), max(int((half * 2 - 4) / 13), 1))):
            left = x - half + 4 + number_ * 13
            found.append(box(left, _BOX + 14, 10, 9, fill=hatch("lost"), stroke="brick", stroke_width=1))
            found.append(struck(left - 2, _BOX + 12, 14, 13))
    if not columns:
        says = "no machine of its own"
        found.append(label(width / 2, _BOX + 16, says, size=9, fill="faint", anchor="middle", italic=True))
    return found


def _half(count: int, width: float) -> float:
    return min(_pitch(count, width) * 0.42, 26.0)


def _around(columns: Mapping[str, float], frames: Sequence[Sequence[str]], width: float) -> list[Svg]:
    """What holds machines and is out: a frame around those of them that are shown."""
    half = _half(len(columns), width) + 4
    found = []
    for nodes in frames:
        xs = [columns[node] for node in nodes if node in columns]
        left, wide = min(xs) - half, max(xs) - min(xs) + 2 * half
        found.append(
            box(
                left,
                _BOX - 4,
                wide,
                34,
                fill="none",
                stroke="brick",
                stroke_width=1.6,
                stroke_dasharray="4 2.5",
            )
        )
        found.append(struck(left - 2, _BOX - 6, wide + 4, 38))
    return found


def _course(y: float, width: float, count: int, out: int) -> list[Svg]:
    """Thin bars side by side, three at the most unless more are out, the last ones struck."""
    bars = max(min(count, 3), out, 1)
    gap = 6.0
    wide = (width - 16 - gap * (bars - 1)) / bars
    found = []
    for place in range(bars):
        x = 8 + (wide + gap) * place
        if place < bars - out:
            found.append(box(x, y, wide, 7, fill="stone", stroke="ink", stroke_width=0.8))
            continue
        found.append(box(x, y, wide, 7, fill=hatch("falls"), stroke="brick", stroke_width=1))
        found.append(struck(x + wide / 2 - 9, y - 4, 18, 15))
    return found


def _ground(width: float, out: int) -> list[Svg]:
    """What everything stands on; where something outside is out, it is broken."""
    shade = "brick" if out else "ink"
    d = "".join(f"M{number(x)} {number(_GROUND)}l-5 6" for x in range(14, int(width) - 4, 9))
    found = [
        line(
            6,
            _GROUND,
            width - 6,
            _GROUND,
            stroke=shade,
            stroke_width=1.6,
            stroke_dasharray="5 3" if out else None,
        ),
        path(d, fill="none", stroke=shade, stroke_width=0.7),
    ]
    found.extend(struck(width * (place + 1) / (out + 1) - 10, _GROUND - 6, 20, 17) for place in range(out))
    return found


def _legs(
    columns: Mapping[str, float],
    hosts: Collection[str],
    out: Sequence[Place],
    frames: Sequence[Sequence[str]],
    before: Collection[str],
) -> list[Svg]:
    """A leg above each machine that carries it; broken where the machine is out, faint where it was before."""
    lost = {place.node for place in out if place.node and not place.inside}
    lost.update(node for nodes in frames for node in nodes)
    return [
        line(
            x,
            _BEAM + 9,
            x,
            _BOX - 3,
            stroke="brick" if node in lost else "faint" if node in before else "ink",
            stroke_width=3,
            stroke_dasharray="2 2" if node in lost or node in before else None,
        )
        for node, x in columns.items()
        if node in hosts
    ]


def struck(x: float, y: float, wide: float, high: float) -> Svg:
    """Struck through from corner to corner, on a halo of paper."""
    d = f"M{number(x)} {number(y + high)}L{number(x + wide)} {number(y)}"
    return Svg(
        path(d, fill="none", stroke="paper", stroke_width=4.4)
        + path(d, fill="none", stroke="brick", stroke_width=2)
    )


def lines_of(text: str, size: float, room: float, most: int) -> list[str]:
    """Words folded to a width, at most so many lines; what has no room ends in an ellipsis."""
    found: list[str] = []
    for word in text.split():
        if found and width_of(f"{found[-1]} {word}", size) <= room:
            found[-1] = f"{found[-1]} {word}"
        else:
            found.append(word)
    return found if len(found) <= most else [*found[: most - 1], f"{found[most - 1]} …"]
