"""What may stand in an answer on addresses, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import (
    Schema,
    count,
    flag,
    list_,
    names,
    object_,
    or_null,
    ref,
    text,
    texts,
)

ADDRESSES = ("addresses",)
"""The answers that are told of here."""


def addresses_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "addresses": object_(
            **head_schema("addresses", "1 where something can't have an address"),
            says=text("one sentence without its full stop"),
            kept=text("what stays as it is, and what only once it is written; without its full stop"),
            complete=flag("whether everything has an address"),
            domain=text("what names end in"),
            servers=names("who answers for names, in full; empty where the lab file does not say"),
            networks=list_(ref("network with addresses"), "every network, in lab order"),
            addresses=list_(ref("address"), "by network, then in lab order"),
            names=list_(
                object_(
                    name=text("in full, without the last dot"),
                    of=text("whose it is"),
                    addresses=names("what it stands for"),
                    in_domain=flag("whether it ends in the domain"),
                ),
                "every name",
            ),
            renamed=list_(
                object_(thing=text("its name"), label=text("what it is called")),
                "things whose label another one has",
            ),
            troubles=list_(
                object_(
                    things=names("who"),
                    network={"type": ["string", "null"], "description": "where"},
                    says=text("one sentence without its full stop"),
                    mend=text("one sentence without its full stop"),
                    where=or_null(ref("place")),
                ),
                "what can't be done",
            ),
            taken=list_(ref("taken figure"), "figures that the lab file does not give"),
            notes=texts("what else to know"),
            difference={
                "type": ["string", "null"],
                "description": "what the lab file would gain, as a unified diff; null where that was not asked",
            },
            by_hand=list_(
                object_(of=text("a network"), says=text("why, and what to write")),
                "what has to be said by hand",
            ),
        ),
        "network with addresses": object_(
            name=text("its name"),
            vlan=or_null({"type": "integer", "minimum": 1, "maximum": 4094}),
            vlan_new=flag("whether the number was given now"),
            subnet=or_null(ref("subnet")),
            subnet6=or_null(ref("subnet")),
            way_out={"type": ["string", "null"], "description": "the address that leads out of it"},
            blocks=list_(
                object_(
                    kind={"enum": ["way out", "fixed", "pool", "reserved"]},
                    first=text("its first address"),
                    last=text("its last address"),
                    size=count("its addresses"),
                    used=count("those that somebody has"),
                    said=flag("whether the lab file says where it ends"),
                ),
                "of version 4, in the order of their addresses",
            ),
            on_it=count("things with an address on it"),
            free=count("fixed addresses of version 4 that nobody has"),
            where=ref("place"),
        ),
        "subnet": object_(
            prefix=text("in prefix notation"),
            how={
                "enum": ["said", "kept", "cut"],
                "description": "said in the lab file, around addresses that are recorded, or cut from the ranges",
            },
            hosts=count("addresses that hosts may have"),
            needs=count("addresses it must hold in the end; 0 where nobody counts"),
        ),
        "address": object_(
            network=text("its network"),
            thing=text("who has it"),
            what={
                "enum": [
                    *("machine", "controller", "switch", "copy"),
                    *("service", "floating", "way out", "part"),
                ]
            },
            address=text("the address"),
            version={"enum": [4, 6]},
            name=text("the name of its owner on this network, in full"),
            how={"enum": ["said at the service", "recorded", "new"]},
            host={"type": ["string", "null"], "description": "the machine on which a copy answers"},
            where=or_null(ref("place")),
        ),
    }
