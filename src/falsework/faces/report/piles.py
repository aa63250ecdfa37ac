"""How do copies lie on each other to scale, with every name that has room?

Copies that are too flat for a name lie on top, as flat as they are, and share one line of names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.faces.report.svg import Svg, join, label, shortened, tag, width_of

LEAST = 11.4
"""Of a box in which a name can be read."""
ALIKE = 18.0
"""Of each copy where nobody said what any of them takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How high a copy is drawn.

    Attributes:
        per_byte: pixels a byte of memory; 0 where nobody said what copies take: then all are alike.
        size: memory by copy, in byte.
    """

    per_byte: float
    size: Mapping[str, float]

    def of(self, name: str) -> float:
        """The height of a copy."""
        return self.per_byte * self.size.get(name, 0.0) if self.per_byte else ALIKE

    def high(self, names: Sequence[str]) -> float:
        """The height of some on each other."""
        return sum(self.of(name) for name in names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """Copies on each other; heights are above the ground.

    Attributes:
        slices: each copy with its lower edge and its height, from below.
        boxes: lower edge and height of what is drawn as one: a copy, or all the flat ones.
        labels: names with the middle of the line that they stand in.
        high: of the whole.
    """

    slices: tuple[tuple[str, float, float], ...]
    boxes: tuple[tuple[float, float], ...]
    labels: tuple[tuple[tuple[str, ...], float], ...]
    high: float


def piled(names: Sequence[str], scale: Scale, most: float | None) -> Pile:
    """The largest below, and of equals the first; flat ones on top, stretched to one line of names if there is room.

    Args:
        names: of the copies.
        scale: of the drawing.
        most: how high the pile may be stretched; None for as high as it takes. It is never squeezed.
    """
    order = sorted(names, key=lambda name: -scale.of(name))
    tall = [name for name in order if scale.of(name) >= LEAST]
    flat = order[len(tall) :]
    slices: list[tuple[str, float, float]] = []
    labels: list[tuple[tuple[str, ...], float]] = []
    at = 0.0
    for name in tall:
        high = scale.of(name)
        slices.append((name, at, high))
        labels.append(((name,), at + high / 2))
        at += high
    boxes = [(low, high) for _, low, high in slices]
    true = scale.high(flat)
    if flat:
        whole = LEAST if true < LEAST and (most is None or at + LEAST <= most) else true
        boxes.append((at, whole))
        labels.extend(_lines(flat, at, whole))
        for name in flat:
            high = scale.of(name) * whole / true if true else whole / len(flat)
            slices.append((name, at, high))
            at += high
    return Pile(slices=tuple(slices), boxes=tuple(boxes), labels=tuple(labels), high=at)


def _lines(flat: Sequence[str], at: float, whole: float) -> Iterator[tuple[tuple[str, ...], float]]:
    """As many lines of names as have room in a box, the first names below."""
    count = min(int(whole / LEAST), len(flat))
    for number in range(count):
        first, end = number * len(flat) // count, (number + 1) * len(flat) // count
        yield tuple(flat[first:end]), at + whole * (number + 0.5) / count


def lettering(
    names: Sequence[str],
    x: float,
    middle: float,
    room: float,
    *,
    size: float,
    backed: bool = False,
    ghost: bool = False,
) -> Svg:
    """A line of names whose middle is at a height; where not all have room the rest are counted.

    Args:
        names: what it says.
        x: where it begins.
        middle: its height.
        room: how wide it may be.
        size: of the type.
        backed: lies on a slip of paper, for what is behind is hatched.
        ghost: in slanted, pale type.
    """
    shown, left = ", ".join(names), list(names)
    # Whole names as far as they go tell more than bits of all of them.
    while len(left) > 1 and width_of(shown, size) > room:
        left.pop()
        shown = f"{', '.join(left)} +{len(names) - len(left)}"
    if len(left) == 1 and len(names) > 1:
        count = f" +{len(names) - 1}"
        shown = shortened(left[0], size, room - width_of(count, size)) + count
    parts = []
    if backed:
        wide = min(room, width_of(shortened(shown, size, room), size)) + 6
        parts.append(tag("rect", x=x - 3, y=middle - 5.5, width=wide, height=11, fill="paper"))
    fill = "faint" if ghost else "ink"
    parts.append(label(x, middle + 3.7, shown, size=size, italic=ghost, fill=fill, room=room))
    return join(parts)
