"""How is a drawing put together from plain strings, so that nothing in it goes unescaped?

An `Svg` is finished markup. Text becomes one only through `tag`'s attributes, `words` and `title`, and all
three escape it. Colours are named by role, never by value: each becomes a presentation attribute, which every
reader of SVG knows, and a class by which a style sheet may restate it for the dark.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from typing import NewType

Svg = NewType("Svg", str)

COLOURS = {
    "ink": "#1d2b3a",
    "paper": "#f6f1e4",
    "stone": "#e6dcc3",
    "faint": "#5f6873",
    "hair": "#b4b1a6",
    "brick": "#a93a22",
}
"""The palette by role: `brick` is the one accent, for what is lost."""

DARK = {
    "ink": "#e8e1d1",
    "paper": "#161c23",
    "stone": "#2b333c",
    "faint": "#a3abb3",
    "hair": "#56606a",
    "brick": "#ee8468",
}

FONT = "'Iowan Old Style', 'Palatino Linotype', Palatino, Georgia, 'DejaVu Serif', serif"
"""Serif faces found on most machines; the last named is the widest, and widths below are its own."""

_FORBIDDEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff\ufffe\uffff]"
)
_UNSAFE = re.compile(_FORBIDDEN.pattern[:-1] + "&<>\"']")
"""What text is looked through for first: most of it has none, and a drawing has thousands of texts."""
# Advance widths of U+0020 to U+007E in hundredths of the type size.
_WIDTHS = (
    "32 40 46 84 64 95 89 27 39 39 50 84 32 34 32 34 64 64 64 64 64 64 64 64 64 64 34 34 84 84 84 54 100 72 73 "
    "77 80 73 69 80 87 40 40 75 66 102 88 82 67 82 75 69 67 84 72 103 71 66 69 39 34 39 84 50 50 60 64 56 64 59 "
    "37 64 64 32 31 61 32 95 64 60 64 64 48 51 40 64 56 86 56 56 53 64 34 64 84"
)
_WIDTH = {chr(32 + number): int(width) / 100 for number, width in enumerate(_WIDTHS.split())}
_BOLD = 1.09


def clean(text: str) -> str:
    """Text that can be shown: signs that XML forbids, or that turn or hide what stands beside them, made visible."""
    return _FORBIDDEN.sub("\ufffd", text)


def escape(text: str) -> str:
    """Cleaned text, safe between tags and inside a double-quoted attribute."""
    if _UNSAFE.search(text) is None:
        return text
    return (
        clean(text)
        .replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace('"', "&quot;")
        .replace("'", "&#39;")
    )


def number(value: float) -> str:
    """A length to a tenth, without needless zeros."""
    text = f"{value:.1f}"
    if not text.endswith(".0"):
        return text
    return "0" if text == "-0.0" else text[:-2]


def slug(name: str) -> str:
    """A name as part of an XML id; different names give different slugs."""
    return re.sub("[^A-Za-z0-9.-]", lambda sign: f"_{ord(sign.group()):x}_", name)


def tag(name: str, *children: Svg, **attributes: str | float | None) -> Svg:
    """An element.

    Args:
        name: of the element.
        children: what is inside.
        attributes: `_` stands for `-`, a trailing one is dropped; None leaves the attribute out. `fill` and
            `stroke` take a role of `COLOURS`, `none`, or a `url(#...)`.
    """
    given = attributes.pop("class_", None)
    classes = [str(given)] if given else []
    said = []
    for key, value in attributes.items():
        if value is None:
            continue
        if isinstance(value, str):
            if key in ("fill", "stroke") and value in COLOURS:
                classes.append(f"{key[0]}-{value}")
                said.append(f' {key}="{COLOURS[value]}"')
                continue
            text = escape(value)
        else:
            text = number(value)
        said.append(f' {_attribute(key)}="{text}"')
    if classes:
        said.insert(0, f' class="{escape(" ".join(classes))}"')
    inside = "".join(children)
    return Svg(f"<{name}{''.join(said)}>{inside}</{name}>" if inside else f"<{name}{''.join(said)}/>")


@cache
def _attribute(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def join(parts: Iterable[Svg]) -> Svg:
    """Several elements as one, a line each."""
    return Svg("\n".join(part for part in parts if part))


def words(text: str) -> Svg:
    """Text as content."""
    return Svg(escape(text))


def title(text: str) -> Svg:
    """The words that a pointer at rest shows and a screen reader reads."""
    return tag("title", words(text))


def thing(
    name: str,
    *children: Svg,
    says: str,
    word: str,
    state: str,
    prefix: str = "",
    class_: str = "",
    group: str = "",
) -> Svg:
    """A group for one thing of the lab, so that a page can find it.

    Args:
        name: the thing's id; becomes `data-id`, and with `prefix` the element's own id.
        children: its drawing.
        says: its title.
        word: what it is.
        state: how it is; becomes `data-state`.
        prefix: of the drawing; without one the group gets no id, for a thing that is drawn more than once.
        class_: further classes.
        group: what opens it, where it stands for several things; becomes `data-group`.
    """
    return tag(
        "g",
        title(says),
        *children,
        class_=f"thing {class_}".strip(),
        id=f"{prefix}-{slug(name)}" if prefix else None,
        data_id=name,
        data_word=word,
        data_state=state,
        data_group=group or None,
    )


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide text is at most, in the widest of the faces."""
    total = 0.0
    for sign in text:
        if sign in _WIDTH:
            total += _WIDTH[sign]
        elif unicodedata.combining(sign):
            continue
        else:
            total += 1.0 if unicodedata.east_asian_width(sign) in "WF" else 0.8
    return total * size * (_BOLD if bold else 1.0)


def shortened(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """Text that fits into `room`, its middle left out where it must be: the end of a name tells as much as its start."""
    text = clean(text)
    if width_of(text, size, bold=bold) <= room:
        return text
    for keep in range(min(len(text) - 1, int(room / (size * 0.2)) + 1), 0, -1):
        head = (keep * 2 + 2) // 3
        tail = keep - head
        short = f"{text[:head].rstrip()}…{text[len(text) - tail :].lstrip() if tail else ''}"
        if width_of(short, size, bold=bold) <= room:
            return short
    return "…"


def label(
    x: float,
    y: float,
    text: str,
    *,
    size: float = 13,
    fill: str = "ink",
    anchor: str = "start",
    bold: bool = False,
    italic: bool = False,
    room: float | None = None,
    turned: bool = False,
    told: bool = True,
) -> Svg:
    """A line of text, shortened to `room` with the whole of it in a title.

    Args:
        x: where it is anchored.
        y: its base line.
        text: what it says.
        size: of the type.
        fill: role of its colour.
        anchor: `start`, `middle` or `end`.
        bold: heavier.
        italic: slanted.
        room: the width it may take.
        turned: written upwards.
        told: whether to add the title where it is shortened; not where the group around it has one.
    """
    if not text:
        return Svg("")
    short = clean(text) if room is None else shortened(text, size, room, bold=bold)
    more = (title(text),) if told and short != clean(text) else ()
    return tag(
        "text",
        *more,
        words(short),
        x=x,
        y=y,
        font_size=size,
        fill=fill,
        text_anchor=None if anchor == "start" else anchor,
        font_weight="bold" if bold else None,
        font_style="italic" if italic else None,
        transform=f"rotate(-90 {number(x)} {number(y)})" if turned else None,
    )


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float | None) -> Svg:
    """A straight line."""
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def path(d: str, **attributes: str | float | None) -> Svg:
    """A path; `d` is made by us."""
    return tag("path", d=d, **attributes)
