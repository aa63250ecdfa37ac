"""How many sets are there, in all and of each size, and in how many is each variable?

Counted on the diagram, without listing; Python's integers never overflow.
The numbers by size are a polynomial, in which the coefficient of z^k counts the sets of k variables. It is kept as
one integer, its value at z = 2^b with b big enough that no coefficient spills over (L. Kronecker's substitution):
adding, multiplying and putting in one more variable are then single operations.
"""

from __future__ import annotations

from falsework.engines.diagrams.sets import UNIT, Sets


def count(sets: Sets) -> int:
    """Count all sets."""
    return _values(sets, 1)[sets.root]


def count_by_order(sets: Sets) -> dict[int, int]:
    """Count the sets of each size; sizes that do not occur are left out."""
    bits = count(sets).bit_length() + 1
    value = _values(sets, 1 << bits)[sets.root]
    found = {}
    order, mask = 0, (1 << bits) - 1
    while value:
        if value & mask:
            found[order] = value & mask
        value >>= bits
        order += 1
    return found


def occurrences(sets: Sets) -> dict[int, int]:
    """Count for each variable the sets it is in; variables in no set, and those that stand for others, are left out.

    One pass up counts the sets below each node, one down the ways from the root to it.
    """
    below = _values(sets, 1)
    ways = [0] * sets.n_nodes
    ways[sets.root] = 1
    found: dict[int, int] = {}
    # By level, not by number: a family inside another lies lower, but may have been made earlier or later.
    for node in sorted(range(UNIT + 1, sets.n_nodes), key=sets.level.__getitem__):
        here = ways[node]
        if not here:
            continue
        level, low, high = sets.level[node], sets.low[node], sets.high[node]
        inside = sets.inside[level]
        ways[low] += here
        ways[high] += here * (below[inside] if inside >= 0 else 1)
        if inside >= 0:
            ways[inside] += here * below[high]
        else:
            variable = int(sets.variable[level])
            found[variable] = found.get(variable, 0) + here * below[high]
    return found


def _values(sets: Sets, z: int) -> list[int]:
    """The polynomial of each node at z."""
    shift = z.bit_length() - 1  # z is a power of two
    value = [0, 1]
    level, inside = sets.level, sets.inside
    for node in range(UNIT + 1, sets.n_nodes):
        high = value[sets.high[node]]
        family = inside[level[node]]
        value.append(value[sets.low[node]] + (high << shift if family < 0 else high * value[family]))
    return value
