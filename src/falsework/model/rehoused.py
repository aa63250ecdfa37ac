"""What would the lab be, with its copies on other hosts?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from falsework.model.lab import Lab
from falsework.model.services import Copy


def rehoused(lab: Lab, host_of: Mapping[str, str]) -> Lab:
    """The same lab with these copies on these hosts.

    Args:
        lab: as it is.
        host_of: the new host of each copy that moves, by its id; each one that it may run on.
    """
    things = {
        name: replace(thing, host=host_of[name]) if isinstance(thing, Copy) and name in host_of else thing
        for name, thing in lab.things.items()
    }
    return replace(lab, things=things)
