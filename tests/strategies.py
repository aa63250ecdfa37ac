"""Random small labs, as text that a person could have written."""

from __future__ import annotations

from typing import Any

import yaml
from hypothesis import assume
from hypothesis import strategies as st

from falsework.errors import LabError
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.lab import Lab

MOST_PARTS = 14
TIMES = ("0 s", "10 s", "30 s", "60 s")
THEMES = ("plain", "power", "wire", "storage", "pool")


def lab_of(text: str) -> Lab:
    """The lab in a text."""
    return build(read_text(text, "lab.yaml"))


def text_of(data: Any) -> str:
    """Plain data as a lab file."""
    return yaml.safe_dump(data, sort_keys=False)


class _Lab:
    """A lab being invented; it spends parts until none are left."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.left = MOST_PARTS
        self.outside: dict[str, Any] = {}
        self.power: dict[str, Any] = {}
        self.machines: dict[str, Any] = {}
        self.cables: list[str] = []
        self.networks: dict[str, Any] = {}
        self.stores: dict[str, Any] = {}
        self.pools: dict[str, Any] = {}
        self.services: dict[str, Any] = {}
        self.data: dict[str, Any] = {}
        self.nodes: list[str] = []

    def pick(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def maybe(self) -> bool:
        return self.draw(st.booleans())

    def rarely(self) -> bool:
        return self.pick(False, False, False, True)

    def some(self, choices: list[str], most: int = 3) -> list[str]:
        return self.draw(st.lists(st.sampled_from(choices), min_size=1, max_size=most, unique=True))

    def spend(self, parts: int) -> bool:
        if parts > self.left:
            return False
        self.left -= parts
        return True

    def data_of(self) -> dict[str, Any]:
        whole = {
            "falsework": 1,
            "lab": "An invented lab",
            "kinds": {"disk": {"is": "drive"}, "sled": {"is": "node"}},
            "outside": self.outside,
            "power": self.power,
            "machines": self.machines,
            "wire": {"cables": self.cables, "networks": self.networks},
            "stores": self.stores,
            "pools": self.pools,
            "services": self.services,
            "data": self.data,
        }
        if not self.networks:
            del whole["wire"]["networks"]
        if not self.cables:
            del whole["wire"]
        return {name: value for name, value in whole.items() if value}

    # -- what stands in the rooms -----------------------------------------------------------------------

    def build_machines(self, most: int) -> None:
        if self.rarely():
            self.spend(3)
            self.machines["box"] = {"is": "enclosure", "holds": {"a..b": "sled"}}
            self.nodes += ["box.a", "box.b"]
        for number in range(self.draw(st.integers(0 if self.nodes else 1, most))):
            if self.spend(1):
                self.machines[f"n{number + 1}"] = {"is": "node"}
                self.nodes.append(f"n{number + 1}")

    def build_power(self) -> None:
        names = ["A", "B"] if self.maybe() and self.spend(2) else ["A"] if self.spend(1) else []
        if not names:
            return
        source = None
        if self.maybe() and self.spend(1):
            self.outside["mains"] = "the wall"
            source = "mains"
        for name in names:
            self.power[name] = {"is": "strip"} | ({"fed by": source} if source else {})
        if source and self.rarely() and self.spend(1):
            self.power["cell"] = {"is": "ups", "fed by": source}
            self.power[names[0]]["fed by"] = "cell"
        if self.maybe():
            self.power[names[-1]]["breaker"] = self.pick("1 A", "2 A")
        for machine in self.machines.values():
            feeds = self.some(names, 2)
            if "in" not in machine and self.spend(len(feeds)):
                machine["fed by"] = feeds
                if len(feeds) == 2 and self.rarely():
                    machine["enough"] = 2
                machine["draws"] = self.pick("100 W", "200 W", "300 W")

    def build_wire(self) -> None:
        count = self.pick(1, 2, 2, 3)
        switches = [f"sw-{number + 1}" for number in range(count)]
        links = {1: [], 2: [(0, 1)], 3: [(0, 1), (1, 2), (2, 0)]}[count]
        if not self.spend(count + len(links) + len(self.nodes)):  # a cable for each node at least
            return
        for name in switches:
            self.machines[name] = {"is": "switch"}
            if self.power and self.rarely() and self.spend(1):
                self.machines[name]["fed by"] = self.pick(*self.power)
        if count > 1 and self.rarely():
            links = links[1:]  # perhaps two islands
        self.cables += [f"{switches[a]} -- {switches[b]}" for a, b in links]
        apart = count > 1 and self.pick(False, False, True)
        for node in self.nodes:
            ends = self.some(switches, 2)
            if not self.spend(len(ends) - 1):
                ends = ends[:1]
            card = len(ends) == 2 and node in self.machines and self.rarely() and self.spend(1)
            if card:
                self.machines[node] |= {"ports": 2, "cards": {"card": ["1", "2"]}}
            self.cables += [f"{node} -- {switch}" for switch in ends]
        if apart:
            self.networks = {"front": {"over": switches[:1]}, "rear": {"over": switches[1:]}}
        elif self.maybe():
            self.networks = {"front": {"users at": self.some(switches, 1)}}

    def build_stores(self) -> None:
        owners = [node for node in self.nodes if node in self.machines]
        if not owners:
            return
        layout = self.pick("single", "mirror", "parity", "2 copies", "3 copies")
        count = {"single": 1, "mirror": 2, "parity": 3, "2 copies": self.pick(2, 3), "3 copies": 3}[layout]
        spread = [self.pick(*owners) for _ in range(count)]
        if not self.spend(count):
            return
        for node in owners:
            if node in spread:
                self.machines[node]["drives"] = f"{spread.count(node)} disk"
        drives = [f"{node}.d*" for node in dict.fromkeys(spread)]
        self.stores["shelf"] = {"drives": drives, "layout": layout}
        if "copies" in layout and self.maybe():
            self.stores["shelf"]["apart"] = "node"
        if self.rarely():
            self.stores["shelf"]["through"] = self.some(owners, 2)

    def build_pool(self) -> None:
        hosts = self.some(self.nodes, 4)
        self.pools["herd"] = {"hosts": hosts, "restarts in": self.pick(*TIMES), "keeps free": "0 GiB"}
        if self.stores and self.maybe():
            self.pools["herd"]["store"] = "shelf"
        for host in hosts:
            if host in self.machines:
                self.machines[host]["memory"] = self.pick("4 GiB", "6 GiB", "8 GiB")

    # -- what runs --------------------------------------------------------------------------------------

    def build_services(self) -> None:
        count = self.draw(st.integers(1, 4))
        names = [f"s{number + 1}" for number in range(count)]
        for number, name in enumerate(names):
            self.services[name] = self._service(number)
        for name in names:
            needs = [self._need(name, names) for _ in range(self.pick(0, 0, 1, 1, 2))]
            needs = [need for need in needs if need]
            if needs:
                way = self.pick("both", "both", "to run", "to start", "to take over")
                self.services[name]["needs"] = needs if way == "both" else {way: needs}
        for node in self.nodes:
            if node in self.machines and self.pick(*[False] * 7, True):
                hold = self.pick("", " for 30 s", " for 5 min")
                self.machines[node]["needs"] = [f"{self.pick(*names)}{hold}"]
        if len(self.networks) == 2 and self.maybe():
            self.services[names[0]]["joins"] = ["front", "rear"]
        if self.rarely():
            self.data["files"] = {"of": names[0], "in": self.pick(*self.nodes, *self.stores, names[0])}
            if self.maybe():
                self.data["files"]["backed up"] = [
                    {"to": self.pick(*self.nodes, *self.stores), "every": "1 day"}
                ]

    def _service(self, number: int) -> dict[str, Any]:
        made: dict[str, Any] = {"restarts in": self.pick(*TIMES)}
        if self.pools and self.maybe():
            made |= {"on": "herd", "copies": self.pick(1, 1, 2, 3)}
            if self.maybe():
                made["takes"] = self.pick("1 GiB", "2 GiB", "3 GiB", "4 GiB")
                if self.rarely():
                    made["sheds"] = "yes"
            if self.rarely():
                made["apart"] = self.pick("not", "enclosure")
            copies = made["copies"]
        else:
            made["on"] = self.some(self.nodes)
            copies = len(made["on"])
        made["serves"] = self.pick("any", "any", "majority", "all")
        if made["serves"] == "any" and self.maybe():
            made["takes over"] = self.pick(*TIMES)
        if self.rarely():
            made["floats"] = f"10.0.{number}.200 in {self.pick(*TIMES)}"
        if self.rarely():
            made["reached at"] = [f"10.0.{number}.{copy + 1}" for copy in range(copies)]
        if self.stores and self.rarely():
            made["state in"] = "shelf"
        if self.rarely():
            made["tries"] = "once"
        return made

    def _need(self, name: str, names: list[str]) -> Any:
        others = [each for each in names if each != name]
        if not others:
            return None
        of = self.some(others, 2)
        need: dict[str, Any] = {"of": of}
        if len(of) == 2 and self.maybe():
            need["enough"] = 2
        if self.rarely():
            need["for"] = self.pick("20 s", "60 s", "100 s", "10 min")
        addresses = self.services[of[0]].get("reached at", [])
        if len(of) == 1 and addresses and self.maybe():
            need["at"] = self.pick(*addresses)
        return need


@st.composite
def lab_data(draw: st.DrawFn, *, most_nodes: int = 4, theme: str = "") -> dict[str, Any]:
    """A lab as plain data, of at most `MOST_PARTS` parts; mostly about one theme."""
    made = _Lab(draw)
    theme = theme or made.pick(*THEMES)
    made.build_machines(most_nodes)
    if theme == "power" or made.rarely():
        made.build_power()
    if theme == "wire" or made.rarely():
        made.build_wire()
    if theme == "storage" or made.rarely():
        made.build_stores()
    if theme == "pool" or made.rarely():
        made.build_pool()
    made.build_services()
    return made.data_of()


@st.composite
def texts(draw: st.DrawFn, *, most_nodes: int = 4, theme: str = "") -> str:
    """The text of a lab that the language takes."""
    text = text_of(draw(lab_data(most_nodes=most_nodes, theme=theme)))
    try:
        lab_of(text)
    except LabError:
        assume(False)
    return text
