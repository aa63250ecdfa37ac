"""By what does one tell things of a lab apart, where only their names differ?"""

from __future__ import annotations

from collections.abc import Hashable, Mapping

from falsework.model.parts import Cable, Controller, Drive, Part, Supply, ThingId
from falsework.model.services import Copy
from falsework.support.standing import Standing


def labels(standing: Standing) -> Mapping[str, Hashable]:
    """For each thing what one calls it without its own name.

    A part is of its kind, batch, firmware, year and (a drive) size; a supply also of its machine and of what feeds it, a
    controller of its machine, a cable of its ends. Copies are of
    their service, shares of their store. Services, stores, alarms, keys and people go by their names: their users
    tell them apart.
    """
    found: dict[str, Hashable] = {}
    for name, thing in standing.support.things.items():
        if thing.word == "share":
            found[name] = ("share", name.rpartition(" on ")[0])
            continue
        found[name] = _label(standing, name, thing.word)
    return found


def _label(standing: Standing, name: str, word: str) -> Hashable:
    things = standing.lab.things
    thing = things.get(ThingId(name))
    if isinstance(thing, Copy):
        return (word, thing.service)
    if not isinstance(thing, Part):
        return (word, name)
    size = thing.size if isinstance(thing, Drive) else None
    kind = (word, thing.kind_name, thing.batch, thing.firmware, thing.made, size)
    if isinstance(thing, Supply):
        return (*kind, _label(standing, thing.holder, "holder"), thing.source)
    if isinstance(thing, Controller):
        return (*kind, _label(standing, thing.holder, "holder"))
    if isinstance(thing, Cable):
        return (*kind, *sorted(repr(_label(standing, end, "end")) for end, _ in thing.ends))
    return kind
