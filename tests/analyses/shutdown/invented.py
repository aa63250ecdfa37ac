"""Random labs on batteries, for one thing to be held against another."""

from __future__ import annotations

import yaml
from hypothesis import strategies as st
from tests.strategies import lab_of


@st.composite
def on_battery(draw, *, circles=True):
    """A lab as plain data: one to three batteries, machines with one or two cords, services that need each other."""
    pick = lambda *some: draw(st.sampled_from(some))  # noqa: E731
    batteries = [f"u{number}" for number in range(pick(1, 2, 2, 3))]
    power = {"wall": {"is": "strip", "fed by": "mains"}}
    nodes = [f"n{number}" for number in range(pick(1, 2, 3, 4, 5))]
    for name in batteries:
        power[name] = {
            "is": "ups",
            "fed by": "mains",
            "runs": {"50 W": f"{pick(8, 10, 15)} min", "200 W": f"{pick(3, 4, 6)} min", "400 W": "100 s"},
            "signals at": f"{pick(20, 60, 120, 200)} s",
        }
        if draw(st.booleans()):
            power[name]["tells"] = draw(st.lists(st.sampled_from(nodes), min_size=1, unique=True))
        if draw(st.booleans()):
            power[f"s{name}"] = {"is": "strip", "fed by": name}
    machines = {}
    for name in nodes:
        cords = draw(st.lists(st.sampled_from([*power]), min_size=1, max_size=2, unique=True))
        machines[name] = {
            "is": "node",
            "fed by": cords,
            "draws": f"{pick(30, 50, 80, 120)} W",
            "stops in": f"{pick(0, 10, 45, 90)} s",
        }
        if len(cords) == 2 and pick(False, False, True):
            machines[name]["enough"] = 2
        if pick(False, False, True):
            machines[name]["drives"] = {"d1": "disk", "d2": "disk"}
    if draw(st.booleans()):
        machines["sw"] = {"is": "switch", "fed by": pick(*power), "draws": "10 W"}
    if draw(st.booleans()):
        machines["box"] = {
            "is": "enclosure", "holds": {"a..b": "sled"}, "fed by": pick(*power), "draws": "20 W", "drives": {"d1": "disk"},
        }  # fmt: skip
        nodes += ["box.a", "box.b"]
    services = {}
    names = [f"s{number}" for number in range(pick(0, 1, 2, 3, 4))]
    for number, name in enumerate(names):
        services[name] = {"on": pick(*nodes), "stops in": f"{pick(0, 15, 30, 60)} s"}
        others = [each for each in names if each != name] if circles else names[:number]
        if others and draw(st.booleans()):
            services[name]["needs"] = draw(
                st.lists(st.sampled_from(others), min_size=1, max_size=2, unique=True)
            )
    data = {
        "falsework": 1,
        "lab": "On batteries",
        "kinds": {
            "disk": {"is": "drive", "draws": "6 W"},
            "sled": {"is": "node", "draws": "40 W", "stops in": "25 s"},
        },
        "outside": {"mains": "the wall"},
        "power": power,
        "machines": machines,
        "services": services,
    }
    return {key: value for key, value in data.items() if value}


def lab(data):
    """The lab of plain data."""
    return lab_of(yaml.safe_dump(data, sort_keys=False))


def called(name, names):
    """A thing, or a copy of it, under its new name."""
    first, dot, rest = name.partition(".")
    return names.get(name) or f"{names.get(first, first)}{dot}{rest}"


def renamed(data, names):
    """The same plain data with things under other names."""
    if isinstance(data, dict):
        return {called(key, names): renamed(value, names) for key, value in data.items()}
    if isinstance(data, list):
        return [renamed(each, names) for each in data]
    return called(data, names) if isinstance(data, str) and " " not in data else data
