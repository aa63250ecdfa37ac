"""Changes as they are told, made in the text of a small lab."""

from __future__ import annotations

import re
from typing import Any

import yaml

from falsework import units
from falsework.units import Dimension


def mended(text: str, says: tuple[str, ...]) -> str:
    """The text of a lab with all these changes made in it."""
    data = yaml.safe_load(text)
    for each in says:
        for pattern, make in MAKE.items():
            told = re.fullmatch(pattern, each)
            if told:
                make(data, *told.groups())
                break
        else:
            raise AssertionError(f"nobody can do this: {each}")
    return str(yaml.safe_dump(data, sort_keys=False))


def _shed(data: dict[str, Any], service: str) -> None:
    data["services"][service]["sheds"] = "yes"


def _smaller(data: dict[str, Any], service: str, size: str) -> None:
    takes = re.sub(r"[\d.]+ GiB", size, data["services"][service]["takes"])
    data["services"][service]["takes"] = takes


def _nearer(data: dict[str, Any], service: str, level: str) -> None:
    data["services"][service]["apart"] = level


def _larger(data: dict[str, Any]) -> None:
    for machine in (*data["machines"].values(), data["kinds"]["sled"]):
        if "memory" in machine:
            more = units.parse(machine["memory"], Dimension.DATA) * 1.5
            machine["memory"] = units.format(more, Dimension.DATA)


def _machine(data: dict[str, Any], host: str) -> dict[str, Any]:
    """The machine that is fed: the host, or the enclosure that it is in."""
    machine: dict[str, Any] = data["machines"][host.partition(".")[0]]
    return machine


def _cord(data: dict[str, Any], host: str, _: str) -> None:
    _machine(data, host)["fed by"] = ["S1", "S2"]


def _port(data: dict[str, Any], host: str, switch: str) -> None:
    other = {"sw-1": "sw-2", "sw-2": "sw-1"}[switch]
    data["wire"]["cables"].append(f"{host} -- {other}")


def _another(data: dict[str, Any], host: str, _: str | None) -> None:
    """A host like another, alone on a strip and a switch of its own, wherever that other may be used."""
    like = dict(data["kinds"]["sled"] if "." in host else data["machines"][host])
    like["is"] = "node"
    if "power" in data:
        data["power"]["S9"] = {"is": "strip", "fed by": "mains"}
        like["fed by"] = "S9"
    data["machines"]["extra"] = like
    if "wire" in data:
        data["machines"]["sw-9"] = {"is": "switch"}
        data["wire"]["cables"] += ["sw-9 -- sw-1", "sw-9 -- sw-2", "extra -- sw-9"]
    for place in (data["pools"]["herd"], *data["services"].values()):
        for key in ("hosts", "on"):
            if isinstance(place.get(key), list) and host in place[key]:
                place[key].append("extra")


MAKE = {
    r"let (\S+) be left out when room is short \(`sheds: yes`\)": _shed,
    r"(\S+) with (.+) instead of .+": _smaller,
    r"keep copies of (\S+) apart by (\S+) only .*": _nearer,
    r"half as much memory again in every host, .*": _larger,
    r"a second cord for (\S+), so that it stays without (\S+)": _cord,
    r"a second port for (\S+), so that it stays without (\S+)": _port,
    r"one more host like ([^,]+), in an enclosure of its own(, that does not go with .*)?": _another,
}
