"""How would a client know every address of what it needs?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework import units
from falsework.findings.edits.writing import Edit, put_at, text_at
from falsework.model.services import owner
from falsework.support.graph import Lean
from falsework.support.standing import Standing
from falsework.units import Dimension
from falsework.where import Where


def by_name(standing: Standing, client: str, where: Where | None) -> Iterator[Edit]:
    """The need at a place written without addresses, which means all of them."""
    lean = next((each for each in standing.support.things[client].leans if _named(each, where)), None)
    if lean is None or lean.where is None or text_at(standing.lab.files, lean.where) is None:
        return
    (target,) = lean.on
    hold = f" for {units.format(lean.hold_s, Dimension.TIME)}" if lean.hold_s else ""
    name = owner(standing.lab.things, client)
    yield Edit(
        says=f"let {name} know every address of {target}",
        texts=put_at(standing.lab.files, lean.where, f"{target}{hold}"),
        assumes=(f"{name} can be told several addresses, and tries the others when one is silent",),
    )


def _named(lean: Lean, where: Where | None) -> bool:
    return bool(lean.at) and len(lean.on) == 1 and lean.where == where
