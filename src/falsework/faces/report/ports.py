"""Which port of each switch is taken, by what, and which ports work as one?

A row of squares a switch, a square a port, as wide as the sheet lets them stand. A port with a machine behind it is
filled, one with another switch is dark, one with a management controller is slanted, a free one is empty. Under each
hangs the name of the port at the other end, above it its own number; cables of one group hang on a common bar. Ports of
one speed stand together under that speed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from falsework import units
from falsework.analyses.wire.result import Box, Port, Wire
from falsework.analyses.wire.telling import headline
from falsework.errors import counted
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import COLOURS, Svg, join, label, line, path, tag, thing, title, width_of
from falsework.model.lab import Lab
from falsework.units import Dimension

SIDE = 25.0
"""Of a port with the gap beside it."""
SQUARE = 20.0
NAMES = 118.0
"""Room for the name of the switch, left of its ports."""
BESIDE = 34.0
"""Between two switches in one row."""
SMALL = 9.5
HANGS = 104.0
"""Room for what hangs under a port."""
MOST = 48
"""Switches that are drawn; of more those with the most cables to others, and then the fullest."""


def ports(lab: Lab, found: Wire, *, width: float = 1400) -> Panel:
    """Every switch of a lab, or the middle of a large one, one below the other.

    Args:
        lab: the lab.
        found: what is told of its wire.
        width: of the sheet.
    """
    shown, left_out = _shown(found)
    rows, y = _rows(found, shown, 92.0, width)
    parts = [head(lab.name, "what is plugged in where", headline(found), width), rows]
    signs, y = key(tuple(_samples(found)), y + 14, width)
    parts.append(signs)
    if left_out:
        y += 20
        parts.append(label(20, y, left_out, size=10.5, fill="faint", room=width - 40))
    return Panel(
        svg=join(parts), height=y + 6, says=f"{lab.name}, what is plugged in where: {headline(found)}"
    )


def ports_sheet(lab: Lab, found: Wire, *, width: float = 1400, prefix: str = "ports") -> str:
    """The same as a drawing of its own."""
    return stacked(prefix, width, [ports(lab, found, width=width)])


def ports_print(found: Wire) -> tuple[str, str]:
    """The same for paper: narrow, on white, and what it shows in words."""
    shown, left_out = _shown(found)
    rows, y = _rows(found, shown, 0.0, 700)
    signs, y = key(tuple(_samples(found)), y + 14, 700)
    panel = Panel(svg=join((rows, signs)), height=y + 6, says="what is plugged in where")
    drawn = stacked("portsprint", 700, [panel]).replace(COLOURS["paper"], "#ffffff")
    return drawn, " ".join(
        each for each in ("Every port of every switch, and what it goes to.", left_out) if each
    )


def _shown(found: Wire) -> tuple[Sequence[Box], str]:
    """The switches that are drawn, in lab order, and what is said of the others."""
    switches = [each for each in found.layout.boxes if each.word == "switch"]
    if len(switches) <= MOST:
        return switches, ""
    names = {each.machine for each in switches}
    trunks = {each.machine: sum(1 for port in each.ports if _machine(port) in names) for each in switches}
    best = sorted(switches, key=lambda each: (-trunks[each.machine], each.free))[:MOST]
    drawn = {each.machine for each in best}
    rest = counted(len(switches) - MOST, "more switch", "more switches")
    return [each for each in switches if each.machine in drawn], f"{rest}: the list of cables has them all."


def _machine(port: Port) -> str:
    return port.far.rpartition(".")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """What is asked of each port: which machine is a switch, which port is a controller's, which group a cable is in."""

    switches: frozenset[str]
    controllers: frozenset[str]
    groups: Mapping[str, str]


def _scene(found: Wire) -> _Scene:
    return _Scene(
        switches=frozenset(each.machine for each in found.layout.boxes if each.word == "switch"),
        controllers=frozenset(
            f"{each.machine}.{port.name}"
            for each in found.layout.boxes
            for port in each.ports
            if port.controller
        ),
        groups={cable: group.group for group in found.groups if group.group for cable in group.cables},
    )


def _rows(found: Wire, shown: Sequence[Box], top: float, width: float) -> tuple[Svg, float]:
    """Switches from `top` down, several side by side where they fit, and where they end."""
    scene = _scene(found)
    parts: list[Svg] = []
    x, y, low = 20.0, top, top
    for each in shown:
        wide = NAMES + min(len(each.ports), _per_line(width)) * SIDE + 12
        if x > 20.0 and x + wide > width - 20:
            x, y = 20.0, low
        drawn, end = _switch(each, scene, x, y, width)
        parts.append(drawn)
        low = max(low, end)
        x += wide + BESIDE
    return join(parts), low


def _per_line(width: float) -> int:
    """How many ports stand in one line at the most."""
    return max(4, int((width - 52 - NAMES) // SIDE))


def _switch(each: Box, scene: _Scene, x: float, top: float, width: float) -> tuple[Svg, float]:
    """One switch with its ports, in as many lines as they take, and where it ends."""
    per_line = _per_line(width)
    lines = [each.ports[at : at + per_line] for at in range(0, len(each.ports), per_line)]
    parts: list[Svg] = []
    y = top
    used = sum(1 for port in each.ports if port.cable)
    for number, those in enumerate(lines):
        hangs = max((_hang(port) for port in those), default=0.0)
        parts.append(_line(those, scene, x + NAMES, y + 26))
        if number == 0:
            parts.append(label(x, y + 40, each.machine, size=15, bold=True, room=NAMES - 12))
            says = f"{used} of {len(each.ports)} taken"
            parts.append(label(x, y + 55, says, size=10.5, fill="faint", room=NAMES - 12))
        y += 26 + SQUARE + 22 + hangs
    says = f"{each.machine}: {used} of {counted(len(each.ports), 'port')} taken"
    return thing(each.machine, *parts, says=says, word="switch", state="stands"), y + 12


def _hang(port: Port) -> float:
    """How much room a port needs below."""
    return min(width_of(port.far, SMALL) + 6, HANGS) if port.far else 0.0


def _line(those: Sequence[Port], scene: _Scene, x: float, y: float) -> Svg:
    """One line of ports: the beam above, squares, numbers, names; bars under groups."""
    end = x + len(those) * SIDE - (SIDE - SQUARE)
    parts = [line(x - 6, y - 4, end + 6, y - 4, stroke="ink", stroke_width=2.6)]
    parts.extend(
        line(leg, y - 4, leg, y + SQUARE + 15, stroke="ink", stroke_width=1) for leg in (x - 5, end + 5)
    )
    at = x
    for speed, run in groupby(those, key=lambda port: port.speed):
        count = len(list(run))
        said = units.format(speed, Dimension.SPEED) if speed is not None else "speed unsaid"
        parts.append(label(at, y - 9, said, size=SMALL, fill="faint", italic=True, room=count * SIDE + 20))
        at += count * SIDE
    for number, port in enumerate(those):
        parts.append(_port(port, scene, x + number * SIDE, y))
    parts.extend(_bars(those, scene, x, y + SQUARE + 16))
    return join(parts)


def _port(port: Port, scene: _Scene, x: float, y: float) -> Svg:
    middle = x + SQUARE / 2
    parts = [
        box(x, y, SQUARE, SQUARE, **_look(port, scene)),
        label(
            middle,
            y + SQUARE + 11,
            port.name,
            size=8.5,
            fill="faint",
            anchor="middle",
            room=SIDE - 2,
            told=False,
        ),
    ]
    if port.far:
        parts.append(
            label(
                middle + 3.5,
                y + SQUARE + 21,
                port.far,
                size=SMALL,
                anchor="end",
                room=HANGS - 6,
                turned=True,
                told=False,
            )
        )
    says = f"{port.name}: {port.far}, label {port.label}" if port.far else f"{port.name}: free"
    return tag("g", title(says), *parts)


def _look(port: Port, scene: _Scene) -> dict[str, str | float | None]:
    if not port.far:
        return {"fill": "paper", "stroke": "faint", "stroke_width": 0.9, "stroke_dasharray": "3 2"}
    if _machine(port) in scene.switches:
        return {"fill": "ink", "stroke": "ink", "stroke_width": 1.1}
    if port.far in scene.controllers:
        return {"fill": hatch("rises"), "stroke": "ink", "stroke_width": 1.1}
    return {"fill": "stone", "stroke": "ink", "stroke_width": 1.1}


def _bars(those: Sequence[Port], scene: _Scene, x: float, y: float) -> Iterator[Svg]:
    """A bar under the ports of one group, with its name where there is room."""
    at: dict[tuple[str, str], list[int]] = {}
    for number, port in enumerate(those):
        name = scene.groups.get(port.cable)
        if name:
            at.setdefault((name, _machine(port)), []).append(number)
    for numbers in at.values():
        first, last = x + numbers[0] * SIDE, x + numbers[-1] * SIDE + SQUARE
        yield path(f"M{first:.1f} {y - 3:.1f}v3H{last:.1f}v-3", stroke="ink", stroke_width=2, fill="none")


def _samples(found: Wire) -> Iterator[tuple[Svg, str]]:
    scene = _scene(found)
    kinds = {
        "machine": Port(name="", speed=None, cable="c", far="m.p"),
        "switch": Port(name="", speed=None, cable="c", far="s.p"),
        "controller": Port(name="", speed=None, cable="c", far="h.p"),
        "free": Port(name="", speed=None),
    }
    known = _Scene(switches=frozenset(("s",)), controllers=frozenset(("h.p",)), groups={})
    says = {
        "machine": "to a machine, named below",
        "switch": "to another switch",
        "controller": "to a management controller",
        "free": "free",
    }
    for word, port in kinds.items():
        if word == "controller" and not scene.controllers:
            continue
        yield box(4, -14, 17, 17, **_look(port, known)), says[word]
    if scene.groups:
        bar = path("M2 -8v4H26v-4", stroke="ink", stroke_width=2, fill="none")
        yield bar, "work as one group"
