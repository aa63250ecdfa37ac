"""How is a group opened and folded again: a small square with a cross or a bar, as on a folded plan?"""

from __future__ import annotations

from falsework.faces.report.columns import Span
from falsework.faces.report.frame import Frame
from falsework.faces.report.svg import Svg, label, line, tag, title

SIDE = 13.0
BRACKET = 18.0
"""Height of the row of brackets over machines that are opened."""


def sign(frame: Frame, group: str, x: float, y: float, *, opens: bool, says: str) -> Svg:
    """The square that opens a group, or folds it; nothing where nobody can touch it.

    Args:
        frame: the sheet.
        group: what `open_` calls it.
        x: its middle.
        y: its middle.
        opens: whether it opens the group.
        says: what happens, in words.
    """
    href = frame.opening(group) if frame.opening is not None else None
    if href is None:
        return Svg("")
    half, arm = SIDE / 2, SIDE / 2 - 3
    shapes = [
        tag("rect", x=x - 12, y=y - 12, width=24, height=24, fill="none", pointer_events="all"),
        tag(
            "rect",
            x=x - half,
            y=y - half,
            width=SIDE,
            height=SIDE,
            fill="paper",
            stroke="ink",
            stroke_width=1,
        ),
        line(x - arm, y, x + arm, y, stroke="ink", stroke_width=1.4),
    ]
    if opens:
        shapes.append(line(x, y - arm, x, y + arm, stroke="ink", stroke_width=1.4))
    return tag(
        "a",
        title(says),
        *shapes,
        class_="fold",
        href=href,
        role="button",
        tabindex="-1",
        aria_expanded="false" if opens else "true",
        aria_label=says,
        data_group=group,
    )


def bracket(frame: Frame, span: Span, y: float) -> Svg:
    """Over machines that are opened: how far they reach, and the square that folds them."""
    low, middle = y + BRACKET - 4, y + BRACKET / 2 - 1
    called = label(
        span.left + SIDE + 5,
        middle + 4,
        span.name,
        size=10.5,
        fill="faint",
        room=span.right - span.left - SIDE - 4,
    )
    return Svg(
        line(span.left, low, span.right, low, stroke="ink", stroke_width=0.8)
        + line(span.left, low, span.left, low + 4, stroke="ink", stroke_width=0.8)
        + line(span.right, low, span.right, low + 4, stroke="ink", stroke_width=0.8)
        + called
        + sign(
            frame,
            span.name,
            span.left + SIDE / 2,
            middle,
            opens=False,
            says=f"fold {span.name}, {span.nodes} nodes",
        )
    )
