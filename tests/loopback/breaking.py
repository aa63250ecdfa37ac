"""A lab whose parts are really there, one of them broken at random, and what is made of what the stopwatch shows."""

import contextlib
import random
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.loopback.pulse import now_s
from tests.loopback.watching import Watch, watched
from tests.loopback.yard import Yard, yard

from falsework.analyses.diagnosis import Diagnosis, diagnose
from falsework.analyses.diagnosis.whole import scene_of
from falsework.model.build import load
from falsework.record.keeping import live
from falsework.record.seen import Told
from falsework.support.probing import questions
from falsework.support.standing import Standing

SETTLED_S = 1.3
"""After so long every probe has been given up once, and every server has found out that what it needs is away."""
NODES = {"n1": "sw-1", "n2": "sw-1", "n3": "sw-1", "n4": "sw-2", "n5": "sw-2", "n6": "sw-2"}
STRIPS = {"P": ("n1", "n4", "n5"), "Q": ("n2", "n3", "n6")}  # Q feeds sw-2 as well
SERVED = {
    "names": ("n1", "dns", 53, ()),
    "store": ("n6", "tcp", 5000, ()),
    "pages.1": ("n2", "http", 80, ()),
    "pages.2": ("n5", "http", 80, ()),
    "front": ("n3", "http", 80, (("pages.1", "pages.2"),)),
    "files": ("n4", "http", 80, (("store",),)),
    "mail": ("n2", "http", 81, (("files",),)),
}
PROBES = {
    "names": "dns a.rock at 10.9.0.11",
    "store": "tcp 10.9.0.16 port 5000",
    "front": "http://10.9.0.13/",
    "files": "http://10.9.0.14/",
    "mail": "http://10.9.0.12:81/",
    "n2": "ping 10.9.0.12",
    "n4": "ping 10.9.0.14",
    "n5": "ping 10.9.0.15",
}
LAB = """\
lab: Yard
outside: {mains: the wall}
power:
  P: {is: strip, fed by: mains}
  Q: {is: strip, fed by: mains}
machines:
  desk: {is: node, ports: 1, fed by: mains}
  sw-1: {is: switch, fed by: mains}
  sw-2: {is: switch, fed by: Q}
  n1: {is: node, ports: 1, fed by: P}
  n2: {is: node, ports: 1, fed by: Q}
  n3: {is: node, ports: 1, fed by: Q}
  n4: {is: node, ports: 1, fed by: P}
  n5: {is: node, ports: 1, fed by: P}
  n6: {is: node, ports: 1, fed by: Q}
wire:
  cables: [desk -- sw-1, n1 -- sw-1, n2 -- sw-1, n3 -- sw-1, sw-1 -- sw-2, n4 -- sw-2, n5 -- sw-2, n6 -- sw-2]
  networks: {house: {subnet: 10.9.0.0/24}}
services:
  names: {on: n1}
  store: {on: n6}
  pages: {on: [n2, n5]}
  front: {on: n3, needs: pages}
  files: {on: n4, needs: store}
  mail:  {on: n2, needs: files}
probes:
"""
EXPECTS = {"tcp": ", expects: ready", "http": ", expects: status 200"}
BETWEEN = "sw-1.5 -- sw-2.1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One part that was broken, and what was made of it."""

    broken: str
    failing: tuple[str, ...]
    diagnosis: Diagnosis

    @property
    def found(self) -> bool:
        """Whether the true cause is ranked first, alone or with those that nothing asked could tell it from."""
        first = self.diagnosis.causes[0] if self.diagnosis.causes else None
        return first is not None and len(first.parts) == 1 and self.broken in first.parts[0]


class Breaking:
    """The lab in the yard."""

    def __init__(self, made: Yard, watch: Watch, lab: Path) -> None:
        self._yard, self._watch = made, watch
        self._standing = Standing(load(lab))
        self._probes = [each.name for each in questions(self._standing.lab)]

    def alike(self) -> Mapping[frozenset[str], tuple[str, ...]]:
        """Parts that can be broken here, by the probes that fail with them as foretold; none that nothing shows."""
        scene, _ = scene_of(self._standing)
        parts = [*NODES, *STRIPS, "sw-2", BETWEEN, *(name for name in SERVED if name in scene.programs)]
        found: dict[frozenset[str], list[str]] = defaultdict(list)
        for part, view in zip(parts, scene.views([(part,) for part in parts]), strict=True):
            failing = frozenset(name for name in self._probes if not view.back(name))
            if failing:
                found[failing].append(part)
        return {failing: tuple(each) for failing, each in found.items()}

    def drawn(self, random: random.Random) -> str:
        """A part to break: first one of the effects that differ, then one of the parts that have it."""
        classes = sorted(self.alike().values())
        return random.choice(random.choice(classes))

    def trial(self, part: str) -> Trial:
        """Break a part, wait until all has settled, ask what it was, and mend it."""
        self._break(part)
        try:
            settled_s = now_s() + SETTLED_S - self._watch.zero_s
            self._watch.until(lambda probes: all(each.asked_s > settled_s for each in probes))
            seen = live(self._watch.record)
            assert seen is not None
            told = dict(zip(self._probes, (each.told for each in seen.probes), strict=True))
        finally:
            self._mend(part)
        failing = tuple(name for name in self._probes if told[name] in (Told.NO, Told.SILENT))
        answered = tuple(name for name in self._probes if told[name] is Told.YES)
        found = diagnose(self._standing, failing, answered)
        self._watch.until_all(Told.YES)
        return Trial(broken=part, failing=failing, diagnosis=found)

    def _break(self, part: str) -> None:
        if part in SERVED:
            self._yard.do("kill", part)
        elif part in NODES:
            self._yard.do("cut", part)
        elif part == BETWEEN:
            self._yard.do("pull", part)
        else:
            for node in STRIPS.get(part, ()):
                self._yard.do("cut", node)
            if part != "P":
                self._yard.do("down", "sw-2")

    def _mend(self, part: str) -> None:
        if part in SERVED:
            self._yard.do("restart", part)
        elif part in NODES:
            self._yard.do("join", part, switch=NODES[part])
        elif part == BETWEEN:
            self._yard.do("plug", part)
        else:
            for node in STRIPS.get(part, ()):
                self._yard.do("join", node, switch=NODES[node])
            if part != "P":
                self._yard.do("up", "sw-2")


@contextlib.contextmanager
def breaking(folder: Path) -> Iterator[Breaking]:
    """The lab, really there and watched; its file and the record are in the folder."""
    with yard(walled=True) as made:
        for switch in ("sw-1", "sw-2"):
            made.do("switch", switch)
        made.do("here", "sw-1", address="10.9.0.1/24")
        made.do("cable", BETWEEN, one="sw-1", other="sw-2")
        address = {node: f"10.9.0.1{node[1:]}" for node in NODES}
        for node, switch in NODES.items():
            made.do("machine", node, switch=switch, address=f"{address[node]}/24")
        at = {name: (address[node], port) for name, (node, _, port, _) in SERVED.items()}
        for name, (node, kind, port, needs) in SERVED.items():
            groups = [[at[each] for each in group] for group in needs]
            known = {"known": "a.rock", "answer": "10.9.0.7"} if kind == "dns" else {}
            made.do(
                "start", name, machine=node, kind=kind, address="0.0.0.0", port=port, needs=groups, **known
            )
        lab = folder / "yard.yaml"
        lab.write_text(LAB + "".join(_probe(name, ask) for name, ask in PROBES.items()))
        with watched(made, lab) as watch:
            watch.until_all(Told.YES)
            yield Breaking(made, watch, lab)


def _probe(name: str, ask: str) -> str:
    expects = next((said for sort, said in EXPECTS.items() if ask.startswith(sort)), "")
    return f"  look {name}: {{asks: '{ask}', sees: {name}{expects}, from: desk, patience: 600 ms}}\n"
