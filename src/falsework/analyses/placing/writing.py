"""What would the lab file say, with every copy where it was placed?"""

from __future__ import annotations

from falsework.analyses.placing.result import Placing
from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.edit import add_entry, set_value
from falsework.lab.find import find
from falsework.lab.quote import Value
from falsework.lab.read import read_text
from falsework.lab.save import Changes, changes_of
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.where import Where


def rewritten(lab: Lab, placing: Placing) -> Changes:
    """Say where the copies are, in the owner's own file; comments and order stay.

    Several services that one entry says, as in `web-1..3: {...}`, can be told only where all run on the same hosts.
    """
    texts = dict(lab.files)
    left: list[tuple[str, str]] = []
    for where, services in _entries(lab, placing).items():
        hosts = next(iter(services.values()))
        if where.file not in texts:
            left.extend(
                (service, _by_hand("its text is not at hand", each)) for service, each in services.items()
            )
        elif any(each != hosts for each in services.values()):
            several = "one entry says it together with others; write them apart"
            left.extend((service, _by_hand(several, each)) for service, each in services.items())
        else:
            try:
                texts[where.file] = _said(texts[where.file], where, hosts)
            except QuestionError as error:
                left.extend((service, _by_hand(error.what, hosts)) for service in services)
    return changes_of(lab.files, texts, left)


def _by_hand(why: str, hosts: tuple[str, ...]) -> str:
    """The reason, and what to write."""
    said = hosts[0] if len(hosts) == 1 else f"[{', '.join(hosts)}]"
    return f"{why}; say `placed: {said}`"


def _entries(lab: Lab, placing: Placing) -> dict[Where, dict[str, tuple[str, ...]]]:
    """Each entry of the lab's files that has to change, with the hosts of the copies of each service it says."""
    found: dict[str, list[str]] = {}
    for copy in lab.of(Copy):
        if copy.id in placing.host_of:
            found.setdefault(copy.service, []).append(placing.host_of[copy.id])
    entries: dict[Where, dict[str, tuple[str, ...]]] = {}
    for name, hosts in found.items():
        entries.setdefault(lab.things[ThingId(name)].where, {})[name] = tuple(hosts)
    return {
        where: services
        for where, services in entries.items()
        if any(_says_otherwise(lab, name, hosts) for name, hosts in services.items())
    }


def _says_otherwise(lab: Lab, name: str, hosts: tuple[str, ...]) -> bool:
    """Whether the lab file doesn't say yet that the copies of a service are there."""
    service = lab.things[ThingId(name)]
    if not isinstance(service, Service) or service.on is None or tuple(service.on.ids) == hosts:
        return False
    return service.placed is None or tuple(service.placed.ids) != hosts


def _said(text: str, where: Where, hosts: tuple[str, ...]) -> str:
    """The text with `placed` in the entry at a place; one in short, as in `mail: cluster`, is written out."""
    body = text.removeprefix("\ufeff")
    root = read_text(body, where.file).root
    services = find(body, root, ("services",)).node
    entries = services.entries if isinstance(services, tree.Mapping) else ()
    keys = [each.key.text for each in entries if each.value.where == where]
    if len(keys) != 1:
        raise QuestionError("it has no entry of its own", "Write it by hand.")
    path = ("services", keys[0])
    entry = find(body, root, path).node
    value: Value = list(hosts) if len(hosts) > 1 else hosts[0]
    if not isinstance(entry, tree.Mapping):
        on: Value = (
            [str(each) for each in plain] if isinstance(plain := tree.plain(entry), list) else str(plain)
        )
        return set_value(text, path, {"on": on, "placed": value}, name=where.file)
    placed = entry.get("placed")
    if isinstance(placed, tree.Sequence) and len(placed.items) == len(hosts):
        # One by one, so that what is written beside each stays.
        for number, (item, host) in enumerate(zip(placed.items, hosts, strict=True)):
            if tree.plain(item) != host:
                text = set_value(text, (*path, "placed", number), host, name=where.file)
        return text
    if placed is not None:
        return set_value(text, (*path, "placed"), value, name=where.file)
    return add_entry(text, path, "placed", value, name=where.file)
