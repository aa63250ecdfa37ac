"""How would a client know every address of what it needs?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework import units
from falsework.findings.edits.writing import Edit, put_at, text_at
from falsework.findings.finding import Finding
from falsework.support.standing import Standing
from falsework.units import Dimension


def by_name(standing: Standing, finding: Finding) -> Iterator[Edit]:
    """The need written without addresses, which means all of them."""
    client, target = finding.things[:2]
    lean = next(
        (
            lean
            for lean in standing.support.things[client].leans
            if lean.on == (target,) and lean.at and lean.where == finding.where
        ),
        None,
    )
    if lean is None or lean.where is None or text_at(standing.lab.files, lean.where) is None:
        return
    hold = f" for {units.format(lean.hold_s, Dimension.TIME)}" if lean.hold_s else ""
    yield Edit(
        says=f"let {client} know every address of {target}",
        texts=put_at(standing.lab.files, lean.where, f"{target}{hold}"),
        assumes=(f"{client} can be told several addresses, and tries the others when one is silent",),
    )
