"""Which labels stand for names that are no labels, no two alike?

A label has letters without case, digits and hyphens, the latter not at its ends, and at most 63 octets; a name has
at most 255, counted as on the wire (RFC 1035, sections 2.3.1 and 2.3.4; RFC 1123, section 2.1).
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable, Mapping

LONGEST_LABEL = 63
"""Octets (RFC 1035, section 2.3.4)."""
LONGEST_NAME = 253
"""Characters of a name as written without its last dot: 255 octets with the lengths of its labels and of the root."""

_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?\Z")
_MARK = 6


def is_label(text: str) -> bool:
    """Whether a text is a label that every host takes."""
    return len(text) <= LONGEST_LABEL and _LABEL.match(text) is not None


def is_name(text: str) -> bool:
    """Whether a text is a whole name, without its last dot."""
    return 0 < len(text) <= LONGEST_NAME and all(is_label(each) for each in text.lower().split("."))


def plain_label(name: str) -> str:
    """The name of a thing as a label: dots, blanks and all other signs become hyphens, letters lose case and accents.

    What is left of other alphabets is written in the letters that the name system has for them (RFC 3492).
    """
    bare = "".join(
        sign for sign in unicodedata.normalize("NFKD", name.lower()) if not unicodedata.combining(sign)
    )
    text = re.sub(r"-+", "-", "".join(sign if sign.isalnum() else "-" for sign in bare)).strip("-")
    if not text.isascii():
        text = f"xn--{text.encode('punycode').decode('ascii')}"
    return text if is_label(text) else _cut(text, name)


def labels(names: Iterable[str], first: Iterable[str] = ()) -> Mapping[str, str]:
    """A label for each name, no two alike.

    Args:
        names: of things, in an order that stays.
        first: those that keep their label if another one would have the same, such as those that are known already.

    Returns:
        By name. Whose name is a label keeps it; then comes who is in `first`; then the order decides. Who comes too
        late gets a few digits that are made of the name alone, so they stay the same whatever else there is.
    """
    every = list(dict.fromkeys(names))
    known = set(every)
    order = (
        *(name for name in every if is_label(name)),
        *(name for name in dict.fromkeys(first) if name in known),
        *every,
    )
    found: dict[str, str] = {}
    used: set[str] = set()
    for name in order:
        if name in found:
            continue
        label = plain_label(name)
        if label in used:
            label = _cut(label, name)
        found[name] = label
        used.add(label)
    return {name: found[name] for name in every}


def _cut(label: str, name: str) -> str:
    """A label with digits made of the whole name at its end."""
    mark = hashlib.sha256(name.encode()).hexdigest()[:_MARK]
    text = label if label.isascii() else "x"
    return f"{text[: LONGEST_LABEL - _MARK - 1].strip('-') or 'x'}-{mark}"
