"""Random small labs that need each other to be made, as text that a person could have written."""

from __future__ import annotations

from typing import Any

from hypothesis import assume
from hypothesis import strategies as st
from tests.strategies import lab_of, text_of

from falsework.errors import LabError

WAYS = ("to build", "to build", "to start", "to run", "both")
COSTS = ("1 h", "2 h", "3 h", "5 h", "8 h")


class _Bare:
    """A lab of crates being invented."""

    def __init__(self, draw: st.DrawFn, *, most_stand_ins: int) -> None:
        self.draw = draw
        self.nodes = [f"n{number}" for number in range(1, self.between(1, 4) + 1)]
        self.services = [f"s{number}" for number in range(1, self.between(2, 5) + 1)]
        self.stand_ins = [f"lent {number}" for number in range(1, self.between(0, most_stand_ins) + 1)]
        self.store = self.rarely()
        self.pool = self.rarely()

    def between(self, least: int, most: int) -> int:
        return self.draw(st.integers(least, most))

    def pick(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def rarely(self) -> bool:
        return self.pick(False, False, False, True)

    def some(self, choices: list[str], most: int = 2) -> list[str]:
        return self.draw(st.lists(st.sampled_from(choices), min_size=1, max_size=most, unique=True))

    def data_of(self) -> dict[str, Any]:
        machines: dict[str, Any] = {name: self._node() for name in self.nodes}
        made: dict[str, Any] = {"lab": "Crates", "outside": {"stick": "in my coat"}, "machines": machines}
        if self.pick(True, False):
            machines["sw-1"] = {"is": "switch"}
            made["wire"] = {"cables": [f"{name} -- sw-1" for name in self.nodes]}
            if self.rarely():
                machines["sw-2"] = {"is": "switch"}
                made["wire"]["cables"] += ["sw-1 -- sw-2", *(f"{name} -- sw-2" for name in self.nodes[1:])]
        if self.rarely():
            made["power"] = {"strip": {"is": "strip"}}
            for machine in machines.values():
                machine["fed by"] = "strip"
        if self.store:
            for name in self.nodes:
                machines[name]["drives"] = {"d1": {"is": "drive"}, "d2": {"is": "drive"}}
            made["stores"] = {"shelf": {"drives": [f"{self.nodes[0]}.d*"], "layout": "mirror"}}
            if self.rarely():
                made["stores"]["shelf"]["needs"] = self._needs(2)
        if self.pool:
            made["pools"] = {"herd": {"hosts": self.some(self.nodes, 3)}}
            if self.rarely():
                made["pools"]["herd"]["needs"] = {"to build": self.some(self.services)}
        made["services"] = {name: self._service(number) for number, name in enumerate(self.services, start=1)}
        kept = [name for name in self.services if self.rarely()]
        if kept:
            made["data"] = {f"book of {name}": self._data(name, made["services"][name]) for name in kept}
        if self.stand_ins:
            made["stand-ins"] = {name: self._stand_in() for name in self.stand_ins}
        return made

    def _node(self) -> dict[str, Any]:
        made: dict[str, Any] = {"is": "node"}
        if self.pick(True, False, False):
            made["needs"] = {"to build": self._listed(self.services, 2)}
        return made

    def _listed(self, others: list[str], most: int) -> list[Any]:
        found: list[Any] = []
        for _ in range(self.between(1, most)):
            of = self.some(others)
            if len(of) == 1:
                found.append(of[0])
            else:
                found.append({"of": of, "enough": self.pick(1, 2)})
        return found

    def _needs(self, most: int, of: list[str] | None = None) -> dict[str, Any] | list[Any]:
        listed = self._listed(of or self.services, most)
        way = self.pick(*WAYS)
        return listed if way == "both" else {way: listed}

    def _service(self, number: int) -> dict[str, Any]:
        mine, others = f"s{number}", [name for name in self.services if name != f"s{number}"]
        made: dict[str, Any] = {"on": self.some(self.nodes)}
        if self.pool and self.rarely():
            made = {"on": "herd", "copies": 1}
        if self.pick(True, True, False):
            made["needs"] = self._needs(2, others)
        way = self.pick("", "", "reached at", "floats", "named")
        if way == "reached at":
            copies = made.get("copies", len(made["on"]))
            made["reached at"] = [f"10.1.{number}.{copy}" for copy in range(1, copies + 1)]
        elif way == "floats":
            made["floats"] = f"10.1.{number}.200"
        elif way == "named":
            made["named"] = f"{mine}.lab from {self.pick('stick', *others)}"
        if made["on"] != "herd" and len(made["on"]) == 2:
            made["serves"] = self.pick("any", "any", "all")
        if self.rarely():
            homes = [f"s{lower}" for lower in range(1, number)]  # never in a circle
            homes += ["shelf"] if self.store else []
            if homes:
                made["state in"] = self.pick(*homes)
        return made

    def _data(self, name: str, service: dict[str, Any]) -> dict[str, Any]:
        where = service.get("state in", self.pick(*self.nodes))
        return {
            "of": name,
            "in": where,
            "size": self.pick("1 GiB", "40 GiB"),
            "moves": self.pick("frozen", "in use"),
        }

    def _stand_in(self) -> dict[str, Any]:
        targets = self.some(self.services, 3)
        made: dict[str, Any] = {"for": targets, "costs": self.pick(*COSTS)}
        number = int(targets[0][1:])
        address = self.pick("", "", f"10.9.9.{number}", f"10.1.{number}.1", f"10.1.{number}.200")
        if address:
            made["address"] = address
        if self.rarely():
            made["on"] = self.pick(*self.nodes)
        others = [name for name in self.services if name not in targets]
        if others and self.rarely():
            made["needs"] = self._needs(1, others)
        if self.rarely():
            made["gathers"] = self.pick("20 MiB", "3 GiB")
        if self.rarely():
            made["until"] = self.some(self.services)
        return made


@st.composite
def bare_texts(draw: st.DrawFn, *, most_stand_ins: int = 5) -> str:
    """The text of a lab of 5 to 15 things that the language takes, with stand-ins, to be made from nothing."""
    text = text_of(_Bare(draw, most_stand_ins=most_stand_ins).data_of())
    try:
        lab_of(text)
    except LabError:
        assume(False)
    return text
