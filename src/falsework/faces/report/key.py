"""What does each sign of an elevation mean?"""

from __future__ import annotations

from falsework.faces.report import beams
from falsework.faces.report.frame import Frame
from falsework.faces.report.hatching import box, hatch, prop
from falsework.faces.report.svg import Svg, label, line, number, path, tag, width_of
from falsework.model.services import Copy

SIZE = 10.5


def key(frame: Frame, y: float, *, arches: bool, props: bool) -> tuple[Svg, float]:
    """A line of samples with their words, and the y below it.

    Args:
        frame: the sheet.
        y: its upper edge.
        arches: whether circles are drawn.
        props: whether stand-ins are drawn.
    """
    rolls = any(copy.pool for copy in frame.states.standing.lab.of(Copy))
    samples: list[tuple[Svg, float, str]] = []
    if frame.states.loss is not None:
        for state, says in (
            ("stands", "stands"),
            ("thin", "stands, none to spare"),
            ("blinks", "blinks: interrupted, returns by itself"),
            ("falls", "falls until someone mends it"),
            ("lost", "data lost"),
        ):
            samples.append((beams.bar_of(state, 0, -9, 30, 9), 38, says))
        samples.append(
            (
                box(0, -11, 14, 13, fill=hatch("lost"), stroke="brick", stroke_width=1),
                21,
                "what was lost",
            )
        )
    samples.append(
        (
            Svg(
                line(4, -11, 4, 0, stroke="ink", stroke_width=4)
                + line(0, 0, 8, 0, stroke="ink", stroke_width=1)
            ),
            14,
            "a copy on its machine",
        )
    )
    if rolls:
        roller = line(4, -11, 4, -3, stroke="ink", stroke_width=4) + tag(
            "circle", cx=4, cy=-1, r=2.6, fill="paper", stroke="ink", stroke_width=1
        )
        samples.append((Svg(roller), 14, "a copy that its pool may move"))
    if arches:
        arch = "".join(
            path("M16 -11C4 -11 4 1 16 1", fill="none", stroke=colour, stroke_width=wide)
            for colour, wide in (("ink", 4.2), ("paper", 2.0))
        )
        samples.append((Svg(arch), 22, "need each other to start"))
    if props:
        samples.append((prop(0, -11, 12), 24, "stand-in"))
    parts: list[Svg] = []
    x = start = frame.course - 5
    for sample, wide, says in samples:
        step = wide + width_of(says, SIZE) + 18
        if x + step > frame.width - 10 and x > start:
            x, y = start, y + 20
        parts.append(
            tag(
                "g",
                sample,
                label(wide, 0, says, size=SIZE, fill="faint"),
                transform=f"translate({number(x)} {number(y)})",
            )
        )
        x += step
    return Svg("\n".join(parts)), y
