"""What can be read after a loss, worked out slowly from the plain data of a small lab, sharing nothing with the product?

It knows labs of `tests/rebuilding_strategies.py` only: machines without drives of their own, at most one store, services
that lie on machines or in each other, data, backups and keys.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import combinations
from typing import Any

ALL = "everything"


class Judge:
    """A lab after one loss.

    Args:
        data: the lab.
        lost: names of what is lost, or `ALL`: everything but what is outside is wiped.
        saved: data and keys that were copied out before.
    """

    def __init__(
        self, data: dict[str, Any], lost: Collection[str] | str, saved: Collection[str] = ()
    ) -> None:
        self.nodes, self.services = data["machines"], data["services"]
        self.stores = data.get("stores", {})
        self.books, self.locks = data["data"], data.get("keys", {})
        self.outside = data["outside"]
        self.wiped = lost == ALL
        self.lost, self.saved = set(() if self.wiped else lost), set(saved)

    # -- what is left --------------------------------------------------------------------------------

    def whole(self, place: str) -> bool:
        """Whether what lies in a place is still there, if perhaps out of reach."""
        if place in self.outside:
            return place not in self.lost
        if self.wiped:
            return False
        if place in self.nodes:
            return place not in self.lost
        if place in self.stores:
            if place in self.lost:
                return False
            left = [self.whole(drive.split(".")[0]) for drive in self.stores[place]["drives"]]
            return any(left) if self.stores[place]["layout"] == "mirror" else all(left)
        service = self.services[place]
        if "state in" in service:
            return self.whole(service["state in"])
        return place not in self.lost and any(self.whole(node) for node in service["on"])

    def stands(self, place: str) -> bool:
        """Whether it never stopped: without drives of their own, machines and stores stand while they are whole."""
        if place not in self.services:
            return self.whole(place)
        service = self.services[place]
        under = service.get("state in")
        return (
            place not in self.lost
            and any(self.whole(node) for node in service["on"])
            and (under is None or self.stands(under))
        )

    # -- what can be read ----------------------------------------------------------------------------

    def readable(self) -> set[str]:
        """Data and keys that can be had again: what is read opens more, until nothing comes any more."""
        there = set(self.saved)
        while True:
            more = {
                name
                for name in (*self.books, *self.locks)
                if name not in there
                and (self._book(name, there) if name in self.books else self._lock(name, there))
            }
            if not more:
                return there
            there |= more

    def _book(self, name: str, there: set[str]) -> bool:
        return self.in_place(name, there) or any(
            self.from_backup(name, number, there) for number in range(len(self._backups(name)))
        )

    def in_place(self, name: str, there: set[str]) -> bool:
        """Whether a place where it lies is whole and opens."""
        return name not in self.lost and any(
            self._opens(place, there) for place in _list(self.books[name]["in"])
        )

    def from_backup(self, name: str, number: int, there: set[str]) -> bool:
        """Whether one of its backups is whole, opens and can be read."""
        backup = self._backups(name)[number]
        return (
            self._opens(backup["to"], there)
            and set(backup.get("needs", ())) <= there
            and _met(self.services[self.books[name]["of"]].get("needs", {}).get("to restore", ()), there)
        )

    def _backups(self, name: str) -> list[dict[str, Any]]:
        return self.books[name].get("backed up", [])

    def _lock(self, name: str, there: set[str]) -> bool:
        lock = self.locks[name]
        return (
            name not in self.lost
            and sum(self._gives(each, there) for each in lock["kept in"]) >= lock["enough"]
        )

    def _gives(self, place: str, there: set[str]) -> bool:
        """Whether a key, or its share, can be had from what holds it."""
        if place in self.books:
            return place in there
        if place in self.services:
            inside = {
                name for name, book in self.books.items() if book["of"] == place or place in _list(book["in"])
            }
            if inside and not self.stands(place):
                return self._starts(place, there) and inside <= there
        return self._opens(place, there)

    def _opens(self, place: str, there: set[str]) -> bool:
        """Whether what lies in a place is whole and can be got at: what stands is open, what stopped wants its keys."""
        if not self.whole(place):
            return False
        while place in self.services and not self.stands(place):
            if not self._starts(place, there):
                return False
            place = self.services[place].get("state in", self.services[place]["on"][0])
            if place not in self.services:
                break
        return True

    def _starts(self, place: str, there: set[str]) -> bool:
        return _met(self.services[place].get("needs", {}).get("to start", ()), there)

    # -- what to save --------------------------------------------------------------------------------


def fewest(data: dict[str, Any], goals: Iterable[str], sizes: dict[str, float]) -> tuple[float, int]:
    """Bytes and number of the shortest list with which all goals can be read after all is wiped: by trying every list."""
    names = [*data["data"], *data.get("keys", {})]
    wanted = set(goals)
    return min(
        (sum(sizes.get(each, 0.0) for each in some), count)
        for count in range(len(names) + 1)
        for some in combinations(names, count)
        if wanted <= Judge(data, ALL, some).readable()
    )


def _met(needs: Iterable[Any], there: set[str]) -> bool:
    return all(
        need in there
        if isinstance(need, str)
        else sum(each in there for each in need["of"]) >= need.get("enough", 1)
        for need in needs
    )


def _list(value: Any) -> list[str]:
    return value if isinstance(value, list) else [value]
