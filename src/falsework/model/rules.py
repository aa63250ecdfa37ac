"""How many copies does a service need, and how many drives may a layout lose?"""

from __future__ import annotations

import re
from dataclasses import dataclass


def majority_of(serves: str, copies: int) -> int:
    """How many of `copies` must serve: 1 for any, floor(n/2)+1 for majority, n for all, k for at least k.

    Raises:
        ValueError: `serves` is none of these.

    Source:
        Majority: Ongaro and Ousterhout, In Search of an Understandable Consensus Algorithm (extended
        version), section 5.1: a cluster of five tolerates two failures.
    """
    if serves == "any":
        return 1
    if serves == "majority":
        return copies // 2 + 1
    if serves == "all":
        return copies
    match = re.fullmatch(r"at least (\d{1,5})", serves)
    if not match or int(match.group(1)) < 1:
        raise ValueError(f"{serves!r} does not say how many copies must serve")
    return int(match.group(1))


@dataclass(frozen=True, slots=True)
class Layout:
    """How data lies on drives.

    Attributes:
        drives: how many drives (without waiting spares).
        least: how few drives the layout can be made of.
        survives: how many drives may be gone, at least, whichever they are.
        group: drives are taken in groups of this many, each with its own `survives`; 0 for one group.
        usable: share of the raw space that holds data.
    """

    drives: int
    least: int
    survives: int
    group: int
    usable: float


def layout(text: str, drives: int) -> Layout:
    """Read a layout.

    Args:
        text: single, mirror, parity, double parity, triple parity, `3 copies`, `4+2 pieces`.
        drives: how many drives it has; a mirror of more than two pairs them in order.

    Raises:
        ValueError: the words are not known, or a mirror has an odd number of drives.
    """
    if text == "single":
        return Layout(drives, 1, 0, 0, 1.0)
    if text == "mirror":
        if drives % 2:
            raise ValueError(f"a mirror of {drives} drives can't be paired")
        return Layout(drives, 2, 1, 2 if drives > 2 else 0, 0.5)
    for words, lost in (("parity", 1), ("double parity", 2), ("triple parity", 3)):
        if text == words:
            return Layout(drives, lost + 2, lost, 0, max(drives - lost, 0) / max(drives, 1))
    copies = re.fullmatch(r"([2-9]) copies", text)
    if copies:
        count = int(copies.group(1))
        return Layout(drives, count, count - 1, 0, 1 / count)
    pieces = re.fullmatch(r"(\d{1,2})\+(\d{1,2}) pieces", text)
    if pieces and int(pieces.group(1)) > 0:
        data, check = int(pieces.group(1)), int(pieces.group(2))
        return Layout(drives, data + check, check, 0, data / (data + check))
    raise ValueError(f"{text!r} is no layout")
