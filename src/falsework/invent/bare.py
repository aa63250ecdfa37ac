"""What would such a lab look like before any of it stands: what builds it runs in it, and stand-ins break the rings?

The same lab as `sized.invent` gives for the same size and seed, and more: rings of needs to build, stand-ins of
which several would do for each ring, state that moves home, addresses that stay or go, and how long work takes.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable

from falsework.errors import QuestionError
from falsework.invent.sized import MOST, InventedLab, Service

LEAST_BARE = 6
"""Smaller labs have no installer."""


def invent_bare(nodes: int, seed: int = 0) -> str:
    """The text of an invented lab of which only the racks stand.

    Args:
        nodes: how many computers it has, 6 to 10,000.
        seed: another seed, another lab.

    Returns:
        A lab file that loads without a fault and can be made from nothing with the stand-ins that it names; not
        without them.

    Raises:
        QuestionError: `nodes` is out of bounds.
    """
    if not LEAST_BARE <= nodes <= MOST:
        raise QuestionError(
            what=f"a bare lab of {nodes:,} nodes can't be invented",
            mend=f"ask for {LEAST_BARE} to {MOST:,} nodes",
        )
    return "\n".join(_BareLab(nodes, seed).lines()) + "\n"


class _BareLab(InventedLab):
    def __init__(self, nodes: int, seed: int) -> None:
        self.crates = random.Random(f"{nodes} nodes, seed {seed}, in crates")
        self.lent: list[str] = []
        super().__init__(nodes, seed)

    # -- rings ---------------------------------------------------------------------------------------

    def _invent_services(self) -> None:
        super()._invent_services()
        by_name = {service.name: service for service in self.services}
        _also(by_name["sign-in"], "state in: state")
        _also(by_name["state"], "to build: [installer, sign-in]")
        self._lend("laptop", "[installer, images]", 2, "gathers: 40 GiB")
        self._lend("lent names", "names", 1, "address: 10.10.0.5, gathers: 20 MiB")
        self._lend("old router", "[names, clock]", 3)
        self._lend("first book", "sign-in", 1, "gathers: 200 MiB")
        if self.boxes >= LEAST_BARE:
            _also(by_name["images"], "state in: wall-1")
        self._add("certs", f"{{copies: 1, on: {self.pools[0].name}, takes: 2 GiB, needs: [secrets]}}")
        self._lend("paper seal", "certs", 2, "gathers: 1 MiB")
        for number, pool in enumerate(self.pools, start=1):
            apart = f", apart: {'enclosure' if pool.twins else 'node'}"
            self._add(f"roost-{number}", f"{{copies: 2, on: {pool.name}{apart}, takes: 1 core 2 GiB}}")
            self._lend(f"lent roost-{number}", f"roost-{number}", self.crates.randint(1, 3))
        for first in range(1, len(self.pools), 2):
            self._lend(f"lorry-{first}", f"[roost-{first}, roost-{first + 1}]", self.crates.randint(2, 5))
        self._ring_ledgers(by_name)

    def _ring_ledgers(self, by_name: dict[str, Service]) -> None:
        """Some ledgers are filled by an app that does not start without them."""
        leaning = {each.name: re.findall(r"ledger-\d+", each.text)[:1] for each in self.services if each.pool}
        apps = [name for name, ledgers in leaning.items() if ledgers]
        ringed: list[str] = []
        for app in self.crates.sample(apps, min(len(apps), max(1, len(self.services) // 20))):
            ledger = leaning[app][0]
            if ledger in ringed:
                continue
            ringed.append(ledger)
            _also(by_name[app], f"to start: [{ledger}]")
            _also(by_name[ledger], f"to build: [{app}]")
            own = f"10.10.{200 + len(ringed) // 200}.{1 + len(ringed) % 200}"
            _also(by_name[ledger], f"floats: {own} in 5 s")
            learnt = self.crates.choice((own, own.replace("10.10.", "10.10.1"), ""))
            address = f", address: {learnt}" if learnt else ""
            self._lend(
                f"lent {ledger}",
                ledger,
                self.crates.randint(1, 6),
                f"gathers: {self.crates.randint(1, 9)} GiB{address}",
            )
            self._lend(f"lent {app}", app, self.crates.randint(1, 6))
        for number, pair in enumerate(zip(ringed[::2], ringed[1::2], strict=False), start=1):
            self._lend(f"borrowed box-{number}", f"[{', '.join(pair)}]", self.crates.randint(2, 8))

    def _lend(self, name: str, targets: str, hours: int, more: str = "") -> None:
        self.lent.append(f"{name}: {{for: {targets}, costs: {hours} h{', ' + more if more else ''}}}")

    # -- the text --------------------------------------------------------------------------------------

    def _kinds(self) -> Iterable[str]:
        for line in super()._kinds():
            line = line.replace("{to build: [installer]}", "{to build: [installer, names]}")
            if line.startswith("twin:"):
                line = line[:-1] + ", raising: {takes: 20..30..60 min, hands: 20 min}}"
            yield line

    def _stores(self) -> Iterable[str]:
        for line in super()._stores():
            yield line[:-1] + ", needs: {to build: [images]}}" if line.startswith("wall-") else line

    def _pool_lines(self) -> Iterable[str]:
        for number, line in enumerate(super()._pool_lines(), start=1):
            yield f"{line[:-1]}, needs: {{to build: [certs, roost-{number}]}}}}"

    def _stand_ins(self) -> Iterable[str]:
        return self.lent

    def _today(self) -> Iterable[str]:
        yield self._all("built: [hall, rack-@]")


def _also(service: Service, said: str) -> None:
    """Say one more thing of a service: a key, or a need if it begins with `to`."""
    if not said.startswith("to "):
        service.text = f"{service.text[:-1]}, {said}}}"
    elif said.startswith("to start") and "to start: [" in service.text:
        service.text = service.text.replace("to start: [", f"to start: [{said[11:-1]}, ")
    elif "needs: {" in service.text:
        service.text = service.text.replace("needs: {", f"needs: {{{said}, ")
    elif "needs: [" in service.text:
        service.text = re.sub(r"needs: (\[[^]]*\])", rf"needs: {{run and start: \1, {said}}}", service.text)
    else:
        service.text = f"{service.text[:-1]}, needs: {{{said}}}}}"
