"""What does the report tell of addresses?"""

from __future__ import annotations

from markupsafe import Markup

from falsework.analyses.addresses import Addresses, Net
from falsework.analyses.addresses.telling import headline, kept_says, renamed_says, subnet_says, vlan_says
from falsework.faces.report.address_map import address_sheet
from falsework.faces.report.chances import Figure
from falsework.faces.report.piece import Piece, short_table
from falsework.model.lab import Lab

MOST = 12
"""Networks in the table."""


def addresses_piece(lab: Lab, plan: Addresses) -> Piece:
    """The networks in a table, what can't be done, and the strips."""
    troubles = tuple(f"{each.says}; {each.mend}" for each in plan.troubles)
    return Piece(
        name="addresses",
        title="Addresses",
        bad=not plan.complete,
        lead=headline(plan),
        says=(*troubles, kept_says(plan), *renamed_says(plan), *plan.notes),
        tables=(
            short_table(
                "",
                ("network", "VLAN", "version 4", "version 6", "on it", "fixed and free"),
                [_row(net) for net in plan.nets],
                MOST,
            ),
        ),
        taken=plan.taken,
        figures=(
            Figure(
                svg=Markup(address_sheet(lab, plan, width=1100)),
                caption="Each subnet of version 4 to scale: what is fixed, given out on request and kept free, and who has some.",
            ),
        ),
    )


def _row(net: Net) -> tuple[str, ...]:
    return (
        net.name,
        vlan_says(net),
        subnet_says(net.four) or "-",
        subnet_says(net.six) or "-",
        f"{net.on_it:,}",
        f"{net.free:,}" if net.four is not None else "-",
    )
