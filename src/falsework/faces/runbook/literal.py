"""How does a text of the owner's get onto paper as it is, whatever signs are in it?"""

from __future__ import annotations

import re
from bisect import bisect_right

_HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\ufffe\uffff\U000e0000-\U000e0fff]"
)
"""Signs that show nothing, or turn or hide what stands beside them: on paper nobody would know."""

_DRAWN = (
    *((0x20, 0x7E), (0xA0, 0xAC), (0xAE, 0x34E), (0x374, 0x377), (0x37A, 0x37F), (0x384, 0x3CE)),
    *((0x3D0, 0x3E1), (0x3F0, 0x477), (0x48C, 0x4C4), (0x4CF, 0x4F9), (0x531, 0x556), (0x559, 0x55F)),
    *((0x561, 0x587), (0x5B0, 0x5C3), (0x5D0, 0x5EA), (0x621, 0x63A), (0x640, 0x655), (0x660, 0x66D)),
    *((0x6F0, 0x6F9), (0x10D0, 0x10FC), (0x1E00, 0x1F15), (0x2010, 0x2027), (0x202F, 0x2037)),
    *((0x2039, 0x203A), (0x203C, 0x203D), (0x2070, 0x2071), (0x2074, 0x208E), (0x20A0, 0x20B5)),
    *((0x2116, 0x2117), (0x2122, 0x2122), (0x2126, 0x2126), (0x2153, 0x2184), (0x2190, 0x222E)),
    *((0x2234, 0x223D), (0x2241, 0x226B), (0x2300, 0x2300), (0x2308, 0x2315), (0x2500, 0x262F)),
    *((0x2638, 0x268B), (0x270C, 0x2727), (0x2729, 0x274B), (0xFFFD, 0xFFFD)),
)
"""Ranges of signs that the faces carried by the typesetting library draw: Latin, Greek, Cyrillic, Armenian,
Hebrew, Arabic, Georgian, and signs. Read off the character maps of its serif and its fixed-width face."""
_FIRST = tuple(first for first, _ in _DRAWN)


def line(text: str) -> str:
    """Text as one line: hidden signs made visible, every run of blanks one blank."""
    return " ".join(_HIDDEN.sub("\ufffd", re.sub("[\t\r\n]+", " ", text)).split(" ")).strip()


def lines(text: str) -> str:
    """Text with its own line ends and blanks, as a command has them: hidden signs made visible."""
    return _HIDDEN.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n").expandtabs(4)).rstrip("\n")


def drawn(text: str) -> str:
    """Text in signs that every machine's paper shows; any other is named by its number, such as `[U+4E2D]`."""
    return (
        text if text.isascii() else "".join(sign if _has(sign) else f"[U+{ord(sign):04X}]" for sign in text)
    )


def _has(sign: str) -> bool:
    if sign == "\n":
        return True
    at = bisect_right(_FIRST, ord(sign)) - 1
    return at >= 0 and ord(sign) <= _DRAWN[at][1]
