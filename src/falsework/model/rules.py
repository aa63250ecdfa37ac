"""How many copies does a service need, how many drives may a layout lose, which addresses are in a range?"""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass

from falsework.errors import shortened

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


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
        raise ValueError(f"{shortened(serves)!r} does not say how many copies must serve")
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
    raise ValueError(f"{shortened(text)!r} is no layout")


def address_range(text: str, subnet: str) -> tuple[Address, Address]:
    """The first and the last address of a range in a subnet.

    Args:
        text: `.100-.199`, or both ends in full; an end that begins with a dot stands for the last pieces of
            the subnet's own address.
        subnet: in prefix notation.

    Raises:
        ValueError: there is no subnet, an end is no address of it, or the range runs backwards.
    """
    if not subnet:
        raise ValueError(f"the range {text!r} has no subnet to lie in")
    network = ipaddress.ip_network(subnet)
    ends = []
    for end in text.split("-"):
        written = end.strip()
        if written.startswith(".") and network.version == 4:
            own = str(network.network_address).split(".")
            tail = written[1:].split(".")
            written = ".".join((*own[: len(own) - len(tail)], *tail))
        try:
            address = ipaddress.ip_address(written)
        except ValueError:
            raise ValueError(f"{end.strip()!r} in {text!r} is no address") from None
        if address not in network:
            raise ValueError(f"{written} lies outside {subnet}")
        ends.append(address)
    if len(ends) != 2:
        raise ValueError(f"{text!r} does not have two ends")
    if int(ends[0]) > int(ends[1]):
        raise ValueError(f"the range {text!r} runs backwards")
    return ends[0], ends[1]
