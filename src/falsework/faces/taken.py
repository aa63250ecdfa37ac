"""How is a figure told that was taken where the owner gave none?"""

from __future__ import annotations

from typing import Any

from falsework.errors import few
from falsework.faces.errors import place
from falsework.faces.shapes import Schema, names, object_, or_null, ref, text
from falsework.support.taken import Taken


def taken_says(each: Taken) -> str:
    """One sentence without its full stop: the figure, for whom, who says so, and what hangs on it."""
    says = f"{each.key} {each.value}"
    if each.things:
        says += f" for {few(each.things)}"
    says += f" ({each.source})"
    if each.of and each.low and each.high:
        says += f"; {each.of}: {each.low} to {each.high} at the ends of what is usual"
    return says


def taken_plain(each: Taken) -> dict[str, Any]:
    """The same for a program."""
    return {
        "key": each.key,
        "things": list(each.things),
        "value": each.value,
        "source": each.source,
        "of": each.of,
        "low": each.low,
        "high": each.high,
        "says": taken_says(each),
        "where": place(each.where),
    }


def taken_schema() -> dict[str, Schema]:
    """The shape of it, by its name `taken figure`."""
    return {
        "taken figure": object_(
            key=text("the key of the lab file that replaces it"),
            things=names("for whom it was taken"),
            value=text("with its unit"),
            source=text("who says so"),
            of=text("the result that hangs on it; may be empty"),
            low=text("that result with the figure at the low end of what is usual; may be empty"),
            high=text("the same at the high end; may be empty"),
            says=text("one sentence without its full stop"),
            where=or_null(ref("place")),
        )
    }
