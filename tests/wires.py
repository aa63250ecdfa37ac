"""Random small wires with traffic on them, as text that a person could have written."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import strategies as st
from tests.strategies import text_of

SPEEDS = ("100 Mb/s", "1 Gb/s", "10 Gb/s")
RATES = ("30 Mb/s", "80 Mb/s", "700 Mb/s", "3 Gb/s")


def plain(data: Any) -> str:
    """Plain data as a lab file in which nothing stands for what is written elsewhere."""
    return text_of(json.loads(json.dumps(data)))


@st.composite
def wires(draw: st.DrawFn) -> str:
    """Up to four switches, up to four nodes with one or two plugs, one or two networks, services that send."""
    switches = [f"sw-{number}" for number in range(1, draw(st.integers(1, 4)) + 1)]
    nodes = [f"n-{number}" for number in range(1, draw(st.integers(2, 4)) + 1)]
    machines: dict[str, Any] = {}
    for switch in switches:
        machines[switch] = {"is": "switch", "ports": {"1..20": draw(st.sampled_from(SPEEDS))}}
        if draw(st.integers(0, 3)) == 0:
            machines[switch]["forwards"] = draw(st.sampled_from(SPEEDS))
    for node in nodes:
        machines[node] = {"is": "node", "ports": {"a..b": draw(st.sampled_from(SPEEDS))}}
        if draw(st.booleans()):
            machines[node]["cards"] = {"left": ["a"], "right": ["b"]}
    cables: list[Any] = []
    for number, switch in enumerate(switches[1:], 1):
        cables.append(f"{switch} -- {draw(st.sampled_from(switches[:number]))}")
    for number in range(draw(st.integers(0, 3)) if len(switches) > 1 else 0):
        one, other = draw(st.lists(st.sampled_from(switches), min_size=2, max_size=2, unique=True))
        cables.append(
            {"run": f"{one} -- {other}", "group": f"g{number % 2}"}
            if draw(st.booleans())
            else f"{one} -- {other}"
        )
    for node in nodes:
        cables.append(f"{node}.a -- {draw(st.sampled_from(switches))}")
        if draw(st.booleans()):
            cables.append(f"{node}.b -- {draw(st.sampled_from(switches))}")
    networks: dict[str, Any] = {"house": {"over": switches}}
    if draw(st.booleans()):
        networks["house"]["users at"] = draw(st.lists(st.sampled_from(switches), min_size=1, unique=True))
    two = draw(st.integers(0, 2)) == 0
    if two:
        networks["care"] = {"over": switches, "ports": [f"{nodes[-1]}.a", f"{nodes[0]}.b"]}
    services: dict[str, Any] = {}
    pooled = draw(st.booleans())
    for number in range(1, draw(st.integers(1, 3)) + 1):
        hosts = draw(st.lists(st.sampled_from(nodes), min_size=1, max_size=3, unique=True))
        service: dict[str, Any] = {"on": hosts}
        if pooled and number == 1:
            service = {"on": "pool", "copies": 1, "takes": "4 GiB"}
        elif draw(st.booleans()):
            service["takes over"] = "5 s"
        goals = st.sampled_from(["house", *nodes, *(f"s-{each}" for each in range(1, number))])
        service["sends"] = [
            f"{draw(st.sampled_from(RATES))} to {goal}"
            for goal in draw(st.lists(goals, min_size=1, max_size=2, unique=True))
        ]
        services[f"s-{number}"] = service
    if two:
        services["router"] = {"on": [nodes[0]], "joins": ["house", "care"]}
    data: dict[str, Any] = {
        "falsework": 1,
        "lab": "Wires",
        "machines": machines,
        "wire": {"cables": cables, "networks": networks},
        "services": services,
    }
    if pooled:
        data["pools"] = {"pool": {"hosts": nodes}}
    return plain(data)
