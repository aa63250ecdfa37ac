"""How are the owner's ranges of addresses, the domain, and the addresses that things have already, read?"""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from typing import Any

from falsework.engines.addressing.labels import LONGEST_LABEL, LONGEST_NAME, is_name
from falsework.lab import tree
from falsework.model.compound import expanded
from falsework.model.declare import Form, Misread, Say, shown
from falsework.model.simple import scalar
from falsework.where import Where


@dataclass(frozen=True, slots=True)
class OwnRange:
    """A range of addresses that the owner cuts subnets from, in canonical text."""

    subnet: str
    where: Where


@dataclass(frozen=True, slots=True)
class Recorded:
    """An address that a thing has on a network and keeps."""

    network: str
    thing: str
    address: str
    where: Where


class OwnRanges(Form[tuple[OwnRange, ...]]):
    """Ranges in prefix notation, of either version of IP."""

    says = "a range such as 10.20.0.0/16 or fd4a:9c1e:20::/48, or a list of them"

    def read(self, node: tree.Node, say: Say) -> tuple[OwnRange, ...]:
        """The ranges in the order written; host bits must be zero (RFC 4632)."""
        found: list[OwnRange] = []
        for item in node.items if isinstance(node, tree.Sequence) else (node,):
            text = scalar(item, say, self.says).text
            try:
                found.append(OwnRange(str(ipaddress.ip_network(text)), item.where))
            except ValueError as error:
                raise say.fault(item.where, f"found {shown(item)}: {error}", f"write {self.says}") from None
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """A string or a list of strings."""
        return {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}


class DomainName(Form[str]):
    """What names end in; two labels, of a thing and of a network, must still go in front of it."""

    says = "a name such as rock.home.arpa"
    longest = LONGEST_NAME - 2 * (LONGEST_LABEL + 1)

    def read(self, node: tree.Node, say: Say) -> str:
        """The name in small letters, without a dot at its end (RFC 1035, section 2.3.1; RFC 1123, section 2.1)."""
        text = scalar(node, say, self.says).text.lower().removesuffix(".")
        if not is_name(text) or len(text) > self.longest:
            mend = (
                f"write {self.says}: labels of letters, digits and hyphens, {self.longest} characters at most"
            )
            raise say.fault(node.where, f"found {shown(node)}", mend)
        return text

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string"}


class AddressBook(Form[tuple[Recorded, ...]]):
    """The addresses that things have: by network, then by thing."""

    says = "by network the addresses of things, as in {house: {desk-1: 10.20.10.50}}"

    def read(self, node: tree.Node, say: Say) -> tuple[Recorded, ...]:
        """The addresses in the order written."""
        found: list[Recorded] = []
        for network in _mapping(node, say, self.says).entries:
            under = say.under(network.key.text)
            try:
                for thing in _mapping(network.value, under, self.says).entries:
                    inner = under.under(thing.key.text)
                    items = thing.value.items if isinstance(thing.value, tree.Sequence) else (thing.value,)
                    for name, _ in expanded(thing.key, inner):
                        found.extend(
                            Recorded(network.key.text, name, _address(item, inner), item.where)
                            for item in items
                        )
            except Misread:
                continue
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """A mapping of mappings."""
        one = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
        return {"type": "object", "additionalProperties": {"type": "object", "additionalProperties": one}}


def _mapping(node: tree.Node, say: Say, says: str) -> tree.Mapping:
    if not isinstance(node, tree.Mapping):
        raise say.fault(node.where, f"found {shown(node)}", f"write {says}")
    return node


def _address(node: tree.Node, say: Say) -> str:
    try:
        return str(ipaddress.ip_address(scalar(node, say, "an address such as 10.20.10.50").text))
    except ValueError:
        raise say.fault(node.where, f"found {shown(node)}", "write an address such as 10.20.10.50") from None
