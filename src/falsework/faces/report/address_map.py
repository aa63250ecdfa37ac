"""Where do the addresses of each network lie, and how much is left?

A ruled strip a network, as long as its subnet of version 4 is wide, to scale: the first address at the left, a tick
every sixteenth with the address that begins there. Fixed addresses are a solid ground, those that somebody has are
inked bars on it; what is given out on request is hatched, what is kept free is hatched the other way, what is in no
block stays blank. The address that leads out stands over the strip with a foot of its own. Version 6 has no scale:
its subnet stands beside the name.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator, Sequence

from falsework.analyses.addresses import Addresses, Block, Net, Subnet
from falsework.analyses.addresses.telling import headline, kept_says, vlan_says
from falsework.errors import counted
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, number, path, thing, width_of
from falsework.model.lab import Lab

HIGH = 30.0
"""Of a strip."""
SIXTEENTHS = 16
SMALL = 10.5
NARROWEST = 1.2
"""Of the bar of one address; in a wide subnet addresses beside each other share one."""
MOST = 24
"""Strips on one sheet."""


def address_map(lab: Lab, plan: Addresses, *, width: float = 1400) -> Panel:
    """A strip for each network, one below the other."""
    says = f"{headline(plan)}; {kept_says(plan)[:1].lower()}{kept_says(plan)[1:]}"
    parts = [head(lab.name, "where the addresses lie", says, width)]
    y = 96.0
    used = _used(plan)
    for net in plan.nets[:MOST]:
        drawn, high = _strip(net, used.get(net.name, ()), y, width)
        parts.append(drawn)
        y += high
    if len(plan.nets) > MOST:
        parts.append(label(20, y, f"and {counted(len(plan.nets) - MOST, 'more network')}", size=12.5))
        y += 24
    signs, y = key(tuple(_samples()), y + 6, width)
    parts.append(signs)
    return Panel(svg=join(parts), height=y + 6, says=f"{lab.name}, where the addresses lie: {headline(plan)}")


def address_sheet(lab: Lab, plan: Addresses, *, width: float = 1400, prefix: str = "addresses") -> str:
    """The same as a drawing of its own."""
    return stacked(prefix, width, [address_map(lab, plan, width=width)])


def _used(plan: Addresses) -> dict[str, tuple[int, ...]]:
    """The addresses of version 4 that somebody has, by network, in order."""
    found: dict[str, set[int]] = {}
    for each in plan.given:
        if each.version == 4:
            found.setdefault(each.network, set()).add(int(ipaddress.IPv4Address(each.address)))
    return {name: tuple(sorted(those)) for name, those in found.items()}


class _Scale:
    """From an address to a place on the sheet."""

    def __init__(self, subnet: Subnet, width: float) -> None:
        self.first, self.size = int(subnet.prefix.network_address), subnet.size
        self.left, self.long = 20.0, width - 40.0
        self.one = self.long / self.size

    def x(self, address: int) -> float:
        """The left edge of an address."""
        return self.left + (address - self.first) * self.one


def _strip(net: Net, used: Sequence[int], y: float, width: float) -> tuple[Svg, float]:
    """One network and how high it is drawn."""
    vlan = f"VLAN {vlan_says(net)}" if net.vlan is not None else ""
    six = str(net.six.prefix) if net.six is not None else ""
    four = str(net.four.prefix) if net.four is not None else ""
    parts = [label(20, y, net.name, size=15, bold=True, room=width / 3)]
    start = 20 + min(width_of(net.name, 15, bold=True), width / 3) + 14
    parts.append(label(start, y, "  ·  ".join(each for each in (vlan, four, six) if each), size=12.5, room=width - start - 20))  # fmt: skip
    says = f"{net.name}: {', '.join(each for each in (vlan, four, six) if each) or 'no subnet'}"
    if net.four is None:
        return thing(net.name, *parts, says=says, word="network", state="stands"), 34.0
    scale, top = _Scale(net.four, width), y + 24
    parts.append(box(scale.left, top, scale.long, HIGH, fill="paper", stroke="hair", stroke_width=0.9))
    parts.extend(_ground(block, scale, top) for block in net.blocks if block.kind != "way out")
    parts.extend(_bars(used, scale, top))
    parts.append(box(scale.left, top, scale.long, HIGH, fill="none", stroke="ink", stroke_width=1.3))
    parts.extend(_way_out(net, scale, top))
    parts.extend(_ruling(net.four, scale, top + HIGH))
    parts.extend(_words(net, scale, top + HIGH + 34))
    return thing(net.name, *parts, says=says, word="network", state="stands"), 24 + HIGH + 66


def _ground(block: Block, scale: _Scale, top: float) -> Svg:
    fill = {"fixed": "stone", "pool": hatch("rises"), "reserved": hatch("out")}[block.kind]
    return box(
        scale.x(block.first),
        top,
        block.size * scale.one,
        HIGH,
        fill=fill,
        stroke="ink" if block.said else "faint",
        stroke_width=0.9,
    )


def _bars(used: Sequence[int], scale: _Scale, top: float) -> Iterator[Svg]:
    """A bar for each address that somebody has, in one path; neighbours that are too narrow to tell apart share one."""
    gap = min(0.18 * scale.one, 6.0) if scale.one >= 3 else 0.0
    shape: list[str] = []
    end = float("-inf")
    for address in used:
        x = scale.x(address) + gap / 2
        wide = max(scale.one - gap, NARROWEST)
        if x < end:
            continue  # the bar before covers it
        shape.append(f"M{number(x)} {number(top + 6)}h{number(wide)}v{number(HIGH - 12)}h-{number(wide)}z")
        end = x + wide * (0.999 if gap == 0 else 0.5)
    if shape:
        yield path("".join(shape), fill="ink")


def _way_out(net: Net, scale: _Scale, top: float) -> Iterator[Svg]:
    """A foot over the address that leads out; open where it is only kept for one."""
    for block in net.blocks:
        if block.kind == "way out":
            x = scale.x(block.first) + scale.one / 2
            foot = f"M{number(x)} {number(top - 1)}l-5 -8h10z"
            yield path(foot, fill="ink" if block.used else "paper", stroke="ink", stroke_width=1.1)


def _ruling(subnet: Subnet, scale: _Scale, y: float) -> Iterator[Svg]:
    """A tick every sixteenth, or at every address of a small subnet, with what begins there."""
    steps = min(SIXTEENTHS, subnet.size)
    pieces = 1 if subnet.prefix.prefixlen >= 24 else 2 if subnet.prefix.prefixlen >= 16 else 3
    for step in range(steps + 1):
        address = scale.first + subnet.size * step // steps
        x = scale.x(address)
        yield line(x, y, x, y + (7 if step % 4 == 0 else 4), stroke="ink", stroke_width=0.9)
        if step < steps:
            said = "." + ".".join(str(ipaddress.IPv4Address(address)).split(".")[-pieces:])
            yield label(x + 2, y + 15, said, size=9.5, fill="faint", room=scale.long / steps - 4)


def _words(net: Net, scale: _Scale, y: float) -> Iterator[Svg]:
    """What each block is, under its middle; pushed right where two would lie on each other."""
    end = scale.left
    for block in net.blocks:
        if block.kind == "way out":
            continue
        says = f"{block.kind}, {block.used:,} of {block.size:,}" if block.kind == "fixed" else f"{block.kind}, {block.size:,}"  # fmt: skip
        wide = width_of(says, SMALL)
        middle = scale.x(block.first) + block.size * scale.one / 2
        x = max(end, min(middle - wide / 2, scale.left + scale.long - wide))
        if x + wide > scale.left + scale.long + 1:
            return
        yield label(x, y, says, size=SMALL, italic=True)
        end = x + wide + 14


def _samples() -> Iterator[tuple[Svg, str]]:
    fixed = box(0, -12, 27, 15, fill="stone", stroke="faint", stroke_width=0.9)
    yield fixed, "fixed, free"
    bars = path("M3 -9h5v9h-5zM10 -9h5v9h-5zM17 -9h5v9h-5z", fill="ink")
    yield Svg(fixed + bars), "fixed, and somebody has it"
    yield (
        box(0, -12, 27, 15, fill=hatch("rises"), stroke="ink", stroke_width=0.9),
        "given out on request (pool)",
    )
    yield box(0, -12, 27, 15, fill=hatch("out"), stroke="ink", stroke_width=0.9), "kept free (reserved)"
    yield box(0, -12, 27, 15, fill="paper", stroke="hair", stroke_width=0.9), "in no block"
    yield path("M13 0l-5 -8h10z", fill="ink", stroke="ink", stroke_width=1.1), "leads out"
    yield path("M13 0l-5 -8h10z", fill="paper", stroke="ink", stroke_width=1.1), "kept for what leads out"
