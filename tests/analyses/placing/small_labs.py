"""Random small labs whose copies could run elsewhere, and what is true of every placement, by looking at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from math import prod
from random import Random
from typing import Any

import yaml

from falsework.analyses.aims import AimResult, judge_aims
from falsework.analyses.order import replay
from falsework.analyses.pairs import all_pairs, singles
from falsework.errors import LabError
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.lab import Lab
from falsework.model.parts import Node, ThingId
from falsework.model.placing import choices
from falsework.model.rehoused import rehoused
from falsework.model.services import Copy, Pool, Service
from falsework.support.standing import Standing

MOST_PLACEMENTS = 260
GIB = float(1 << 30)
HostOf = Mapping[str, str]


def lab_of(text: str) -> Lab:
    """The lab in a text."""
    return build(read_text(text, "lab.yaml"))


def invented(random: Random) -> str:
    """A lab of three to five hosts and two to five copies, at most five of them with a choice."""
    while True:
        text = yaml.safe_dump(_data(random), sort_keys=False)
        try:
            lab = lab_of(text)
        except LabError:
            continue
        count = prod(len(each) for each in may(lab).values())
        if 1 < count <= MOST_PLACEMENTS:
            return _placed(random, text) if random.random() < 0.7 else text


def _placed(random: Random, text: str) -> str:
    """The same with most services placed somewhere by hand, lawfully if that can be."""
    lab = lab_of(text)
    lawful = list(placements(lab))
    if not lawful:
        return text
    host_of = random.choice(lawful)
    data = yaml.safe_load(text)
    for name, service in data["services"].items():
        hosts = [host for copy, host in host_of.items() if copy.split(".")[0] == name]
        if hosts and random.random() < 0.8:
            service["placed"] = hosts
    return str(yaml.safe_dump(data, sort_keys=False))


def _data(random: Random) -> dict[str, Any]:
    pick, rarely = random.choice, lambda: random.random() < 0.25
    maybe = lambda: random.random() < 0.5  # noqa: E731
    data: dict[str, Any] = {"falsework": 1, "lab": "Some hosts", "kinds": {"sled": {"is": "node"}}}
    machines: dict[str, Any] = {}
    hosts: list[str] = []
    for number in range(pick((0, 1, 1, 2))):
        machines[f"box-{number + 1}"] = {"is": "enclosure", "holds": {"a..b": "sled"}}
        hosts += [f"box-{number + 1}.a", f"box-{number + 1}.b"]
    for number in range(random.randint(max(0, 3 - len(hosts)), 5 - len(hosts))):
        machines[f"n{number + 1}"] = {"is": "node"}
        hosts.append(f"n{number + 1}")
    memory = [pick(("4 GiB", "6 GiB", "8 GiB")) for _ in range(3)]
    for number, name in enumerate(machines):
        if name[0] == "n" and (maybe() or number == 0):
            machines[name]["memory"] = pick(memory)
            machines[name]["cores"] = pick((2, 4))
    if maybe():
        data["kinds"]["sled"]["memory"] = pick(memory)
    data["machines"] = machines
    if maybe():
        data["outside"] = {"mains": "the wall"}
        data["power"] = {f"S{n}": {"is": "strip", "fed by": "mains"} for n in (1, 2)}
        for machine in machines.values():
            machine["fed by"] = pick(("S1", "S2", ["S1", "S2"]))
    if rarely():
        machines |= {f"sw-{n}": {"is": "switch"} for n in (1, 2)}
        data["wire"] = {
            "cables": ["sw-1 -- sw-2", *(f"{host} -- {pick(('sw-1', 'sw-2'))}" for host in hosts)]
        }
    licensed = [name for name in machines if name[0] == "n" and maybe()]
    if rarely():
        for name in licensed:
            machines[name]["has"] = "licence"
    pool = random.sample(hosts, random.randint(2, min(4, len(hosts))))
    data["pools"] = {"herd": {"hosts": pool, "keeps free": "0 GiB", "restarts in": "60 s"}}
    if rarely():
        data["pools"]["herd"]["cores shared"] = pick((1, 2))
    data["services"] = services = _services(random, hosts, bool(licensed))
    aims: dict[str, Any] = {}
    words = [word for word in ("node", "enclosure", "strip", "switch") if _is_there(word, data)]
    for number in range(pick((1, 1, 2, 2, 3))):
        if rarely():
            aims[f"aim {number}"] = {"room without": pick((pick(hosts), random.sample(hosts, 2), hosts))}
            continue
        aim: dict[str, Any] = {"lose": pick((pick(words), words, pick(hosts)))}
        aim["at most"] = pick(("thin", "thin", "blinks", "blinks", "stands"))
        if maybe():
            aim["of"] = random.sample(list(services), random.randint(1, len(services)))
        aims[f"aim {number}"] = aim
    data["aims"] = aims
    return data


def _is_there(word: str, data: Mapping[str, Any]) -> bool:
    if word == "node":
        return True
    if word == "strip":
        return "power" in data
    return any(machine["is"] == word for machine in data["machines"].values())


def _services(random: Random, hosts: list[str], licensed: bool) -> dict[str, Any]:
    pick, rarely = random.choice, lambda: random.random() < 0.25
    names = [f"s{number + 1}" for number in range(pick((1, 2, 2, 3)))]
    services: dict[str, Any] = {}
    for name in names:
        made: dict[str, Any] = {"copies": pick((1, 1, 2, 2, 3))}
        made["serves"] = pick(("any", "any", "majority", "all"))
        if random.random() < 0.55:
            made["on"] = "herd"
            made["sheds"] = "yes" if rarely() else "no"
        else:
            among = random.sample(hosts, random.randint(min(made["copies"], len(hosts)), len(hosts)))
            made["on"] = among
            if len(among) < made["copies"]:
                continue
        if rarely():
            made["apart"] = pick(("not", "enclosure", "strip"))
        if random.random() < 0.7:
            made["takes"] = pick(("1 GiB", "2 GiB", "3 GiB", "4 GiB", "1 core 2 GiB", "2 cores 4 GiB"))
        if licensed and rarely():
            made["wants"] = "licence"
        others = [other for other in names if other != name]
        if others and rarely():
            made[pick(("beside", "away from"))] = pick((pick(others), f"{pick(others)} in node"))
        if others and rarely():
            made["needs"] = [pick(others)]
        services[name] = made
    return services


def may(lab: Lab) -> dict[str, tuple[str, ...]]:
    """The hosts that each copy may run on, of services of which some copy has a choice, and their company."""
    found = choices(lab.things)
    open_ = {service for service, slots in found.items() if any(len(each) > 1 for each in slots)}
    for service in lab.of(Service):
        for each in (*service.beside, *service.away_from, *service.near):
            open_ |= {str(service.id), *each.of.ids}
    return {str(copy.id): found[copy.service][copy.number] for copy in lab.of(Copy) if copy.service in open_}


def placements(lab: Lab) -> Iterator[dict[str, str]]:
    """Every way to put every copy that has a choice on some host that it may be on, and that keeps all rules."""
    copies, rules = may(lab), Rules(lab)
    for hosts in product(*copies.values()):
        host_of = dict(zip(copies, hosts, strict=True))
        if rules.kept(host_of):
            yield host_of


class Rules:
    """What must hold in a lab, read off it once more, by plain loops."""

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.standing = Standing(lab)
        self.services = {str(service.id): service for service in lab.of(Service)}
        self.copies = {str(copy.id): copy for copy in lab.of(Copy)}
        self.open = frozenset(may(lab))
        self.shared: dict[tuple[str, str], set[str]] = {}

    def kept(self, host_of: HostOf) -> bool:
        """Whether there is room on each host, and all keep the company that they must."""
        at = {name: host_of.get(name, copy.host) for name, copy in self.copies.items()}
        return all(self._has_room(host, at) for host in set(at.values())) and all(
            self._keeps_company(name, at) for name in self.open
        )

    def _has_room(self, host: str, at: HostOf) -> bool:
        """Room in each resource of which a copy that was placed takes some; what else is there is not our doing."""
        node = self.lab.things[ThingId(host)]
        assert isinstance(node, Node)
        pools = [pool for pool in self.lab.of(Pool) if pool.hosts and host in pool.hosts.ids]
        shared = min((pool.cores_shared or 1.0 for pool in pools), default=1.0)
        for resource, has in (("memory", node.memory), ("cores", node.cores and node.cores * shared)):
            takes = {name: self._takes(name, resource) for name, home in at.items() if home == host}
            if has and any(takes[name] for name in takes if name in self.open) and sum(takes.values()) > has:
                return False
        return True

    def _takes(self, copy: str, resource: str) -> float:
        takes = self.services[self.copies[copy].service].takes
        return float(getattr(takes, resource) or 0.0) if takes else 0.0

    def _together(self, one: str, other: str, level: str) -> bool:
        return bool(self._domains(one, level) & self._domains(other, level))

    def _domains(self, host: str, level: str) -> set[str]:
        if (host, level) not in self.shared:
            self.shared[host, level] = set(self.standing.shared(host, level)) or {host}
        return self.shared[host, level]

    def _keeps_company(self, name: str, at: HostOf) -> bool:
        service = self.services[self.copies[name].service]

        def beside(of: str, level: str) -> list[bool]:
            others = [other for other in at if other != name and self.copies[other].service == of]
            return [self._together(at[name], at[other], level) for other in others]

        if service.apart != "not" and any(beside(service.id, service.apart)):
            return False
        if any(any(beside(of, each.in_)) for each in service.away_from for of in each.of.ids):
            return False
        return all(any(beside(of, each.in_)) for each in service.beside for of in each.of.ids)


def aims(lab: Lab, host_of: HostOf) -> tuple[AimResult, ...]:
    """The real verdicts on every aim of the lab, its copies placed so."""
    standing = Standing(rehoused(lab, host_of))
    return judge_aims(
        standing, singles(standing, all_pairs(standing)), replay(standing.lab, standing=standing), None
    )


def broken(lab: Lab, host_of: HostOf) -> int:
    """How many aims are not met, the copies placed so."""
    return sum(1 for aim in aims(lab, host_of) if aim.met is False)
