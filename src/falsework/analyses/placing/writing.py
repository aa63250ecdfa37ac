"""What would the lab file say, with every copy where it was placed?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.placing.result import Placing
from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.edit import add_entry, difference, set_value
from falsework.lab.find import find
from falsework.lab.quote import Value
from falsework.lab.read import read_text
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service


@dataclass(frozen=True, slots=True, kw_only=True)
class Rewritten:
    """The lab's files with `placed` said for every service whose copies lie elsewhere, or were only assumed to.

    Attributes:
        files: the text of each file that changes, by name as in the lab.
        difference: what changes, as a unified diff; empty where nothing does.
        left: services that have to be changed by hand, each with the reason.
    """

    files: Mapping[str, str]
    difference: str
    left: tuple[tuple[str, str], ...]


def rewritten(lab: Lab, placing: Placing) -> Rewritten:
    """Say where the copies are, in the owner's own file; comments and order stay."""
    texts = dict(lab.files)
    left: list[tuple[str, str]] = []
    for service, hosts in _hosts(lab, placing).items():
        file = lab.things[ThingId(service)].where.file
        if file not in texts:
            left.append((service, "its text is not at hand"))
            continue
        try:
            texts[file] = _said(texts[file], file, service, hosts)
        except QuestionError as error:
            left.append((service, error.what))
    changed = {file: text for file, text in texts.items() if text != lab.files[file]}
    shown = "".join(difference(lab.files[file], text, file) for file, text in changed.items())
    return Rewritten(files=changed, difference=shown, left=tuple(left))


def _hosts(lab: Lab, placing: Placing) -> dict[str, tuple[str, ...]]:
    """The hosts of the copies of each service that does not say them yet, in their order."""
    found: dict[str, list[str]] = {}
    for copy in lab.of(Copy):
        if copy.id in placing.host_of:
            found.setdefault(copy.service, []).append(placing.host_of[copy.id])
    said: dict[str, tuple[str, ...]] = {}
    for name, hosts in found.items():
        service = lab.things[ThingId(name)]
        if not isinstance(service, Service):
            continue
        open_to = service.on is not None and tuple(service.on.ids) != tuple(hosts)
        if open_to and (service.placed is None or tuple(service.placed.ids) != tuple(hosts)):
            said[name] = tuple(hosts)
    return said


def _said(text: str, file: str, service: str, hosts: tuple[str, ...]) -> str:
    """The text with a service's `placed`; a service in short, as in `mail: cluster`, is written out."""
    body = text.removeprefix("\ufeff")
    path = ("services", service)
    entry = find(body, read_text(body, file).root, path).node
    value: Value = list(hosts) if len(hosts) > 1 else hosts[0]
    if not isinstance(entry, tree.Mapping):
        where: Value = (
            [str(each) for each in plain] if isinstance(plain := tree.plain(entry), list) else str(plain)
        )
        return set_value(text, path, {"on": where, "placed": value}, name=file)
    if entry.entry("placed") is not None:
        return set_value(text, (*path, "placed"), value, name=file)
    return add_entry(text, path, "placed", value, name=file)
