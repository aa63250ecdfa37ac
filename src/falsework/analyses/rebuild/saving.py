"""What is the least that must be saved so that all data and keys can be read again?

The same question as which stand-ins it takes: a copy saved beforehand stands in for what would have to be read, at
the cost of its bytes. So the same search answers it, with the same proof.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from falsework.analyses.rebuild.choosing import fewest
from falsework.analyses.rebuild.knowing import Ask, Wants, readable
from falsework.engines.founded.system import Clause, System


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortest:
    """The shortest list.

    Attributes:
        of: data and keys to save, in the order of `wants`.
        proven: whether no list has fewer bytes, or as many bytes and fewer things.
    """

    of: tuple[str, ...]
    proven: bool


def shortest(wants: Wants, goals: Collection[str], sizes: Mapping[str, float]) -> Shortest:
    """The data and keys to save: fewest bytes, then fewest things.

    Args:
        wants: how each may be got at, nothing saved.
        goals: what must be read in the end; other names of `wants` may be saved if that helps.
        sizes: bytes by name; what is not in it takes none.
    """
    there = readable(wants)
    names = tuple(wants.ways)
    left = [name for name in names if name not in there]
    system, item, copy = _system(wants, left)
    weights = {at: sizes.get(name, 0.0) for name, at in copy.items()}
    offers, proven = fewest(system, [item[name] for name in goals], weights)
    return Shortest(of=tuple(name for name in left if copy[name] in offers), proven=proven)


def _system(wants: Wants, left: Collection[str]) -> tuple[System, Mapping[str, int], Mapping[str, int]]:
    """Reading as things that begin: with the item of each data set and key, and of each copy that may be saved.

    Each is there once enough of its ways are open, or once its copy is there; a way is open once all is there that
    it asks for.
    """
    names = tuple(wants.ways)
    item = {name: at for at, name in enumerate(names)}
    begin: list[tuple[Clause, ...]] = [()] * len(names)
    copy: dict[str, int] = {}

    def add(clauses: tuple[Clause, ...]) -> int:
        begin.append(clauses)
        return len(begin) - 1

    def begun(of: Collection[int], enough: int) -> Clause:
        return Clause(of=tuple(of), enough=enough, begun=True)

    def held(ask: Ask) -> Clause:
        return begun([item[each] for each in ask.of if each in item], ask.enough)

    for name in names:
        ways = [add(tuple(held(ask) for ask in asks)) for _, asks in wants.ways[name]]
        read = begun(ways, wants.enough[name])
        if name in left:
            copy[name] = add(())
            read = begun((add((read,)), copy[name]), 1)
        begin[item[name]] = (read,)
    return (
        System(names=("",) * len(begin), begin=tuple(begin), serve=((),) * len(begin)),
        item,
        copy,
    )
