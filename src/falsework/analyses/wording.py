"""Which words does a broken lean get?"""

from __future__ import annotations

from falsework.support.graph import NOW, Lean, Phase, Role


def in_words(name: str, lean: Lean, fallen: str | None, standing: int) -> str:
    """One clause on why a lean of `name` is broken.

    Args:
        name: the leaning thing.
        lean: what it asks for.
        fallen: the member that the chain follows, or None where enough members stand but can't be seen.
        standing: how many members stand.
    """
    count = len(lean.on)
    if fallen is None:
        return _unseen(name, lean)
    if count == 1:
        return _single(name, lean)
    if lean.role is Role.HOST:
        return f"no host of {name} is left"
    if lean.role is Role.THROUGH:
        return f"nothing that serves {name} is left"
    if lean.role is Role.POWER and lean.enough == 1:
        return f"{name} has no power"
    if lean.role in _COUNTED:
        return f"{name} has {standing} of {count} {_COUNTED[lean.role]} and needs {lean.enough}"
    if lean.role is Role.KEPT:
        return f"{name} is kept in {count} places, {standing} of them in reach, and needs {lean.enough}"
    return f"{name} needs {lean.enough} of {', '.join(lean.on[:4])}{_when(lean)} and has {standing}"


_COUNTED = {Role.COPIES: "copies", Role.DRIVES: "drives or shares", Role.POWER: "supplies"}

_SINGLE = {
    Role.POWER: "{name} has no power",
    Role.HOUSING: "{name} sits in {on}",
    Role.HOST: "{name} runs on {on}",
    Role.COPIES: "the only copy of {name} is down",
    Role.DRIVES: "{name} runs from {on}",
    Role.THROUGH: "{name} is served through {on}",
    Role.STATE: "{name} keeps its state in {on}",
    Role.WAY: "{name} passes {on}",
    Role.KEPT: "{name} is kept in {on}",
}


def _single(name: str, lean: Lean) -> str:
    """A lean on one thing."""
    if lean.role is Role.COPIES and lean.times == NOW:
        return f"{name} is served by {lean.on[0]}"
    template = _SINGLE.get(lean.role)
    if template is not None:
        return template.format(name=name, on=lean.on[0])
    return f"{name} needs {lean.on[0]}{_when(lean)}"


def _unseen(name: str, lean: Lean) -> str:
    """Enough may stand, but the wire does not join them."""
    count = len(lean.on)
    if lean.role is Role.COPIES and lean.enough == 1:
        return f"{name} can't be reached" if count == 1 else f"no copy of {name} can be reached"
    if lean.role is Role.COPIES:
        return f"{name} has fewer than the {lean.enough} of {count} copies it needs where they see each other"
    if lean.role is Role.HOST:
        return (
            f"{name} runs on {lean.on[0]}, which is cut off"
            if count == 1
            else f"no host of {name} is in touch"
        )
    what = " and ".join(lean.on[:3])
    return f"{name} can't see {what} over the wire"


def _when(lean: Lean) -> str:
    return " to start" if lean.phases == frozenset((Phase.START,)) else ""
