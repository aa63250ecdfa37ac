"""How is a chain of reasons set, a step each?"""

from __future__ import annotations


def steps(chain: str) -> list[str]:
    """The steps of a chain that is told in one clause, what happens first."""
    if "->" in chain:  # a circle is one step
        return [chain]
    first, _, rest = chain.partition(": ")
    found = [first, *rest.split(", since ")] if rest else chain.split(", since ")
    return [step for step in found if step]
