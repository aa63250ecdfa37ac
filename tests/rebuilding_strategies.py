"""Random small labs with data, backups and keys, as plain data that a person could have written."""

from __future__ import annotations

from typing import Any

from hypothesis import assume
from hypothesis import strategies as st
from tests.strategies import lab_of, text_of

from falsework.errors import LabError

SIZES = ("1 GB", "2 GB", "3 GB", "5 GB")
MOST = 8
"""Data and keys together."""


class _Chest:
    """A lab of chests being invented: machines, perhaps a store, services, and what would be missed."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.nodes = [f"n{number}" for number in range(1, self.between(1, 3) + 1)]
        self.services = [f"s{number}" for number in range(1, self.between(1, 3) + 1)]
        self.books = [f"b{number}" for number in range(1, self.between(1, 5) + 1)]
        self.locks = [f"k{number}" for number in range(1, self.between(0, MOST - len(self.books)) + 1)][:4]
        self.store = self.pick("", "single", "mirror") if len(self.nodes) > 1 else self.pick("", "single")

    def between(self, least: int, most: int) -> int:
        return self.draw(st.integers(least, most))

    def pick(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def some(self, choices: list[str], most: int = 2) -> list[str]:
        return self.draw(st.lists(st.sampled_from(choices), min_size=1, max_size=most, unique=True))

    def data_of(self) -> dict[str, Any]:
        machines: dict[str, Any] = {name: {"is": "node"} for name in self.nodes}
        made: dict[str, Any] = {
            "lab": "Chests",
            "outside": {"far": "two shelves", "slip": "a sealed one"},
            "machines": machines,
        }
        if self.store:
            over = self.nodes[:2] if self.store == "mirror" else self.nodes[:1]
            for name in over:
                machines[name]["drives"] = {"d1": {"is": "drive"}}
            made["stores"] = {"shelf": {"drives": [f"{name}.d1" for name in over], "layout": self.store}}
        made["services"] = {name: self._service(number) for number, name in enumerate(self.services)}
        made["data"] = {name: self._book(number) for number, name in enumerate(self.books, start=1)}
        if self.locks:
            made["keys"] = {name: self._lock() for name in self.locks}
        return made

    def _service(self, number: int) -> dict[str, Any]:
        made: dict[str, Any] = {"on": self.some(self.nodes)}
        if self.pick(True, False):
            homes = self.services[:number] + (["shelf"] if self.store else [])  # never in a circle
            if homes:
                made["state in"] = self.pick(*homes)
        needs = {
            kind: self._locks()
            for kind in ("to start", "to restore")
            if self.locks and self.between(0, 3) == 0
        }
        if needs:
            made["needs"] = needs
        return made

    def _locks(self) -> list[Any]:
        of = self.some(self.locks)
        return [of[0] if len(of) == 1 else {"of": of, "enough": self.between(1, 2)}]

    def _book(self, number: int) -> dict[str, Any]:
        places = [*self.nodes, *self.services, *(["shelf"] if self.store else [])]
        made: dict[str, Any] = {
            "of": self.pick(*self.services),
            "in": self.some(places),
            "size": self.pick(*SIZES),
        }
        backups = [
            self._backup(["far", *places], self.books[number:]) for _ in range(self.pick(0, 0, 1, 1, 2))
        ]
        if backups:
            made["backed up"] = backups
        return made

    def _backup(self, places: list[str], later: list[str]) -> dict[str, Any]:
        made: dict[str, Any] = {"to": self.pick("far", *places)}
        needs = later + self.locks  # of data never in a circle
        if needs and self.pick(True, False):
            made["needs"] = self.some(needs)
        return made

    def _lock(self) -> dict[str, Any]:
        kept = self.some(["far", "slip", *self.nodes, *self.services, *self.services], 3)
        made: dict[str, Any] = {"kept in": kept, "enough": self.between(1, len(kept))}
        if self.between(0, 5) == 0:
            made["renewed by"] = "far"
        return made


@st.composite
def chests(draw: st.DrawFn) -> dict[str, Any]:
    """A lab of up to three machines, three services and eight data sets and keys, as plain data."""
    data = _Chest(draw).data_of()
    try:
        lab_of(text_of(data))
    except LabError:
        assume(False)
    return data
