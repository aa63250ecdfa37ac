"""What would the lab file say, with every subnet, VLAN number and address in it?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.addresses.result import Addresses, Given, Net
from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.bulk import add_entries, add_section
from falsework.lab.edit import add_entry, set_value
from falsework.lab.find import find
from falsework.lab.quote import Value
from falsework.lab.read import read_text
from falsework.lab.save import Changes, changes_of
from falsework.model.lab import Lab

SECTION = "addresses"


def filled(lab: Lab, plan: Addresses) -> Changes:
    """Say what is new in the owner's own files; what stands there stays, comments and order too."""
    texts = dict(lab.files)
    left: list[tuple[str, str]] = []
    for net in plan.nets:
        keys = _keys(net)
        if keys:
            _say_keys(texts, net, keys, left)
    _say_addresses(texts, plan, left)
    return changes_of(lab.files, texts, left)


def _keys(net: Net) -> dict[str, str]:
    """The keys that a network lacks."""
    found: dict[str, str] = {}
    if net.vlan_new and net.vlan is not None:
        found["vlan"] = str(net.vlan)
    for key, subnet in (("subnet", net.four), ("subnet6", net.six)):
        if subnet is not None and subnet.how != "said":
            found[key] = str(subnet.prefix)
    return found


def _say_keys(texts: dict[str, str], net: Net, keys: dict[str, str], left: list[tuple[str, str]]) -> None:
    file = net.where.file
    try:
        if file not in texts:
            raise QuestionError("its text is not at hand", "")
        texts[file] = _with_keys(texts[file], net, keys)
    except QuestionError as error:
        said = ", ".join(f"{key}: {value}" for key, value in keys.items())
        left.append((net.name, f"{error.what}; say `{said}`"))


def _with_keys(text: str, net: Net, keys: dict[str, str]) -> str:
    """The text with more keys in the entry of a network; one in short, as in `house: 10.0.0.0/24`, is written out."""
    body = text.removeprefix("\ufeff")
    root = read_text(body, net.where.file).root
    path = ("wire", "networks", net.name)
    entry = find(body, root, path).node
    if isinstance(entry, tree.Scalar) and not entry.is_empty:
        return set_value(text, path, {"subnet": entry.text, **keys}, name=net.where.file)
    for key, value in keys.items():
        text = add_entry(text, path, key, value, name=net.where.file)
    return text


def _say_addresses(texts: dict[str, str], plan: Addresses, left: list[tuple[str, str]]) -> None:
    """Fill the section: in the file that has it, else at the end of the one that names the networks."""
    fresh, longer = _book(plan)
    if not fresh and not longer:
        return
    roots = {file: read_text(text, file).root for file, text in texts.items()}
    having = [file for file, root in roots.items() if root.entry(SECTION) is not None]
    if not having:
        file = next((net.where.file for net in plan.nets if net.where.file in texts), None)
        if file is None:
            left.append((SECTION, "its text is not at hand; say it by hand"))
            return
        texts[file] = add_section(texts[file], SECTION, fresh, name=file)
        return
    for name in dict.fromkeys((*fresh, *longer)):
        file = next((each for each in having if _has(roots[each], name)), having[0])
        new, more = fresh.get(name, {}), longer.get(name, {})
        try:
            if _has(roots[file], name):
                texts[file] = add_entries(texts[file], (SECTION, name), new, more, name=file)
            else:
                texts[file] = _with_network(texts[file], name, new, file)
        except QuestionError as error:
            said = ", ".join(f"{thing}: {_shown(value)}" for thing, value in (*new.items(), *more.items()))
            left.append((name, f"{error.what}; say under `{SECTION}`: {{{name}: {{{said}}}}}"))


def _with_network(text: str, name: str, new: Mapping[str, Value], file: str) -> str:
    """The text with a network under `addresses` that was not there, a line for each address where that goes."""
    first, *rest = new
    text = add_entry(text, (SECTION,), name, {first: new[first]}, name=file)
    return (
        add_entries(text, (SECTION, name), {key: new[key] for key in rest}, {}, name=file) if rest else text
    )


def _has(root: tree.Mapping, name: str) -> bool:
    section = root.get(SECTION)
    return isinstance(section, tree.Mapping) and section.entry(name) is not None


def _book(plan: Addresses) -> tuple[dict[str, dict[str, Value]], dict[str, dict[str, list[str]]]]:
    """By network and thing: addresses of those who had none there, and those that come on top of what is recorded."""
    fresh: dict[str, dict[str, Value]] = {}
    longer: dict[str, dict[str, list[str]]] = {}
    kept = {(each.network, each.thing) for each in plan.given if each.how == "kept"}
    by: dict[tuple[str, str], list[Given]] = {}
    for each in plan.new:
        by.setdefault((each.network, each.thing), []).append(each)
    for (network, thing), rows in by.items():
        addresses = [each.address for each in rows]
        if (network, thing) in kept:
            longer.setdefault(network, {})[thing] = addresses
        else:
            fresh.setdefault(network, {})[thing] = addresses if len(addresses) > 1 else addresses[0]
    return fresh, longer


def _shown(value: Value) -> str:
    return value if isinstance(value, str) else f"[{', '.join(str(each) for each in value)}]"
