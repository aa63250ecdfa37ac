"""How are the things that a machine holds, its ports and a battery's curve read?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from falsework import units
from falsework.errors import LimitError
from falsework.lab import tree
from falsework.model import names
from falsework.model.compound import Keyed, Names, expanded
from falsework.model.declare import Form, Say, shown
from falsework.model.simple import Amount, scalar
from falsework.units import Dimension, UnitError
from falsework.where import Where

MOST_COPIES = 10_000
"""The most things that one count may stand for."""


@dataclass(frozen=True, slots=True)
class Set:
    """So many things of one kind, with the names they get inside their holder."""

    names: tuple[str, ...]
    kind: str
    where: Where
    over: tree.Mapping | None = None


class Holding(Form[tuple[Set, ...]]):
    """Things held inside another: `4 old-2t`, a list of such, or names with kinds.

    Args:
        prefix: what the names of counted ones begin with.
        example: how it looks.
        of: the words (`is`) of the things that may be held.
    """

    def __init__(self, prefix: str, example: str, *of: str) -> None:
        self.prefix, self.of = prefix, of
        self.says = f"a count and a kind, such as {example}, or names with kinds"

    def read(self, node: tree.Node, say: Say) -> tuple[Set, ...]:
        """The sets in order; counted ones are numbered on, through the whole list."""
        found: list[Set] = []
        if isinstance(node, tree.Mapping):
            for entry in node.entries:
                under = say.under(entry.key.text)
                inner = tuple(name for name, _ in expanded(entry.key, under))
                over = entry.value if isinstance(entry.value, tree.Mapping) else None
                kind = "" if over is not None else scalar(entry.value, under, "the name of a kind").text
                found.append(Set(inner, kind, entry.value.where, over))
            return tuple(found)
        items = node.items if isinstance(node, tree.Sequence) else (node,)
        number = 0
        for item in items:
            text = scalar(item, say, self.says).text
            match = re.fullmatch(r"(\d{1,9})(?: x)? (.+)", text)
            count = int(match.group(1)) if match else 1
            if not 0 < count <= MOST_COPIES:
                raise say.fault(
                    item.where, f"found {shown(item)}", f"write a count from 1 to {MOST_COPIES:,}"
                )
            say.room(count)
            inner = tuple(f"{self.prefix}{number + step + 1}" for step in range(count))
            number += count
            found.append(Set(inner, match.group(2) if match else text, item.where))
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """Text, list or mapping."""
        text = {"type": "string"}
        each = {"anyOf": [text, *({"$ref": f"#/$defs/{word}"} for word in self.of)]}
        keyed = {
            "type": "object",
            "propertyNames": {"pattern": names.NAME_PATTERN},
            "additionalProperties": each,
        }
        return {"anyOf": [text, {"type": "array", "items": text}, keyed]}


class Ports(Form[Mapping[str, float | None]]):
    """Ports: a count, a speed, `8 x 1 Gb/s`, or names with speeds."""

    says = "a count, a speed, both as in 8 x 1 Gb/s, or names with speeds as in {a..b: 1 Gb/s}"

    def read(self, node: tree.Node, say: Say) -> Mapping[str, float | None]:
        """Port names in order, each with its speed in bit/s, or None where it was not said."""
        if isinstance(node, tree.Mapping):
            speeds = Keyed(Amount(Dimension.SPEED, "1 Gb/s"), says=self.says).read(node, say)
            return dict(speeds)
        text = scalar(node, say, self.says).text
        match = re.fullmatch(r"(?:(\d{1,9})(?: x |$))?(.+)?", text)
        count = int(match.group(1)) if match and match.group(1) else 1
        speed = match.group(2) if match else text
        if not 0 < count <= MOST_COPIES:
            raise say.fault(node.where, f"found {shown(node)}", f"write a count from 1 to {MOST_COPIES:,}")
        say.room(count)
        try:
            value = units.parse(speed, Dimension.SPEED) if speed else None
        except UnitError as error:
            raise say.fault(node.where, error.what, f"write {self.says}") from None
        return {str(number + 1): value for number in range(count)}

    def schema(self) -> dict[str, Any]:
        """Number, text or mapping."""
        return {
            "anyOf": [
                {"type": "string"},
                {"type": "integer", "minimum": 1, "maximum": MOST_COPIES},
                Keyed(Amount(Dimension.SPEED, "1 Gb/s")).schema(),
            ]
        }


class PortNames(Form[tuple[str, ...]]):
    """Names of ports, ranges expanded and patterns kept; what they mean is found where they are used.

    Args:
        example: how one looks.
    """

    def __init__(self, example: str) -> None:
        self.says = f"the name of a port such as {example}, or a list"

    def read(self, node: tree.Node, say: Say) -> tuple[str, ...]:
        """The names in the order written."""
        found: list[str] = []
        for item in node.items if isinstance(node, tree.Sequence) else (node,):
            written = scalar(item, say, self.says)
            try:
                spread = names.spread(written.text)
            except ValueError as error:
                raise say.fault(item.where, str(error), "write a range as in a..d") from None
            except LimitError as error:
                raise say.fault(item.where, error.what, error.mend) from None
            say.room(len(spread))
            found.extend(name for name, _ in spread)
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """A string or a list of strings."""
        return Names().schema()


class Runtimes(Form[tuple[tuple[float, float], ...]]):
    """A runtime curve: `{300 W: 22 min, 600 W: 9 min}`."""

    says = "loads with runtimes, such as {300 W: 22 min, 600 W: 9 min}"

    def read(self, node: tree.Node, say: Say) -> tuple[tuple[float, float], ...]:
        """Pairs of load in W and runtime in s, by rising load; runtimes must fall."""
        if not isinstance(node, tree.Mapping) or not node.entries:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        power, time = Amount(Dimension.POWER, "300 W"), Amount(Dimension.TIME, "22 min")
        pairs = sorted((power.read(entry.key, say), time.read(entry.value, say)) for entry in node.entries)
        if any(later[1] > sooner[1] for sooner, later in pairwise(pairs)):
            raise say.fault(node.where, "a larger load runs longer here", "check the pairs of the curve")
        return tuple(pairs)

    def schema(self) -> dict[str, Any]:
        """A mapping of text to text."""
        power, time = Amount(Dimension.POWER, ""), Amount(Dimension.TIME, "")
        return {"type": "object", "propertyNames": power.schema(), "additionalProperties": time.schema()}
