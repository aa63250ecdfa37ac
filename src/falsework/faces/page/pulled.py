"""Which state of the page does an address tell: what is pulled, at which moment, and what is asked about?"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Self
from urllib.parse import quote

from starlette.datastructures import QueryParams

MOST_NAMES = 512
"""Names of one address; whoever pulls more pulls a rack."""
LONGEST_NAME = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulled:
    """What an address says.

    Attributes:
        out: parts that are pulled, in the order in which they were.
        at_s: the moment that is looked at, seconds after the plugs are pulled; None once all has settled.
        why: the thing whose chain of reasons is drawn.
        open: groups that are drawn unfolded.
        look: the thing that is shown first.
        may: a part, of which it is asked whether it may be taken down now; one of `out` stands for all of them.
    """

    out: tuple[str, ...] = ()
    at_s: float | None = None
    why: str = ""
    open: tuple[str, ...] = ()
    look: str = ""
    may: str = ""

    @classmethod
    def read(cls, query: QueryParams) -> Self:
        """The state in the query of an address; what makes no sense is left out."""
        at: float | None = None
        try:
            at = float(query.get("at", ""))
        except ValueError:
            at = None
        if at is not None and not (math.isfinite(at) and at >= 0):
            at = None
        return cls(
            out=_names(query.getlist("out")),
            at_s=at,
            why=query.get("why", "")[:LONGEST_NAME],
            open=_names(query.getlist("open")),
            look=query.get("look", "")[:LONGEST_NAME],
            may=query.get("may", "")[:LONGEST_NAME],
        )

    def toggled(self, name: str) -> Self:
        """The state with a part pulled, or plugged in again; what was asked about goes."""
        out = tuple(each for each in self.out if each != name) if name in self.out else (*self.out, name)
        return replace(self, out=out, at_s=None, why="", look=name, may="")

    def opened(self, group: str) -> Self:
        """The state with a group unfolded, or folded again."""
        found = (
            tuple(each for each in self.open if each != group) if group in self.open else (*self.open, group)
        )
        return replace(self, open=found)

    def with_(self, **changes: Any) -> Self:  # noqa: ANN401  # as `replace`
        """The state with some of it changed."""
        return replace(self, **changes)

    def address(self, path: str = "/", *, anchor: str = "") -> str:
        """The address of a sheet in this state."""
        pairs: list[tuple[str, str]] = [("out", each) for each in self.out]
        if self.at_s is not None:
            pairs.append(("at", f"{self.at_s:g}"))
        if self.why:
            pairs.append(("why", self.why))
        pairs.extend(("open", each) for each in self.open)
        pairs.extend((key, said) for key, said in (("look", self.look), ("may", self.may)) if said)
        query = "&".join(f"{key}={_quoted(said)}" for key, said in pairs)
        return path + (f"?{query}" if query else "") + (f"#{quote(anchor)}" if anchor else "")


@lru_cache(maxsize=4096)
def _quoted(said: str) -> str:
    """A value as an address says it; a drawing has the same few hundred of them again and again."""
    return quote(said, safe="")


def _names(given: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for each in given if 0 < len(each) <= LONGEST_NAME))[:MOST_NAMES]
