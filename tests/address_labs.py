"""Invented labs with networks, ranges and addresses, for the tests of addresses."""

from __future__ import annotations

from hypothesis import strategies as st
from tests.strategies import lab_of

NAMES = ("desk-1", "desk-2", "box 3", "twin.a", "twin-a", "Öre", "keep", "attic", "gate", "cliff-4")
"""Of machines; two would get the same label, and some are no labels."""


def lab_text(
    machines, networks, *, ranges="[10.20.0.0/16, fd4a:9c1e:20::/48]", services=(), book="", more=""
):
    """The text of a lab.

    Args:
        machines: names, each on every network.
        networks: by name what stands between the braces.
        ranges: as written; empty for none.
        services: lines.
        book: what stands under addresses.
        more: further keys of the section wire.
    """
    lines = ["falsework: 1", "lab: x", "machines:", "  sw: {is: switch, ports: 90 x 1 Gb/s}"]
    lines += [f"  {name}: {{is: node, ports: 1 x 1 Gb/s}}" for name in machines]
    lines += ["wire:"]
    lines += [f"  ranges: {ranges}"] if ranges else []
    lines += [f"  {more}"] if more else []
    lines += ["  cables:", *(f"    - {name} -- sw" for name in machines)] if machines else []
    lines += ["  networks:", *(f"    {name}: {{{keys}}}" for name, keys in networks.items())]
    lines += ["services:", *(f"  {line}" for line in services)] if services else []
    lines += ["addresses:", *(f"  {line}" for line in book.splitlines())] if book else []
    return "\n".join((*lines, ""))


@st.composite
def address_labs(draw):
    """The text of a small lab: some networks said, some to be cut; services that float or are reached somewhere."""
    machines = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=8, unique=True))
    networks = {}
    for number, name in enumerate(
        draw(st.lists(st.sampled_from(("house", "care", "lab a", "outer")), min_size=1, unique=True))
    ):
        keys = []
        if draw(st.booleans()):
            keys.append(f"vlan: {draw(st.integers(1, 60)) * 8 + number}")
        if draw(st.booleans()):
            keys.append(f"subnet: 10.20.{100 + number}.0/24")
            keys += [
                draw(st.sampled_from(("fixed: .10-.90", "pool: .1-.60", "reserved: .1-.3", "pool for: 30")))
            ]
        else:
            keys += [draw(st.sampled_from(("grows: 50 %", "room for: 90", "pool for: 40", "grows: 0 %")))]
        if draw(st.booleans()):
            keys.append(f"subnet6: fd4a:9c1e:20:{200 + number}::/64")
        if draw(st.booleans()):
            keys.append(f"way out: {draw(st.sampled_from(machines))}")
        networks[name] = ", ".join(keys)
    services = []
    # An address of a service must lie in a subnet, if any is said.
    octets = [100 + number for number, keys in enumerate(networks.values()) if "subnet:" in keys] or [200]
    if draw(st.booleans()):
        services.append(
            f"names: {{on: [{machines[0]}], reached at: 10.20.{draw(st.sampled_from(octets))}.77}}"
        )
        services.append(f"files: {{on: [{machines[-1]}], named: files from names}}")
    if draw(st.booleans()):
        services.append(
            f"door: {{on: [{machines[0]}], floats: 10.20.{draw(st.sampled_from(octets))}.78 in 4 s}}"
        )
    ranges = draw(
        st.sampled_from(
            ("[10.20.0.0/16, fd4a:9c1e:20::/48]", "[10.20.0.0/16]", "[10.20.0.0/16, fd4a:9c1e:20:c0::/58]")
        )
    )
    return lab_text(
        machines,
        networks,
        ranges=ranges,
        services=services,
        more=draw(st.sampled_from(("", "domain: rock.home.arpa"))),
    )


def lab(text):
    """The lab in a text."""
    return lab_of(text)
