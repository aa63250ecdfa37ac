"""What does a probe ask, and of whom?"""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Any
from urllib.parse import SplitResult, urlsplit

from falsework.errors import shortened
from falsework.lab import tree
from falsework.model.declare import Form, Say, shown
from falsework.model.simple import scalar

MOST_PORT = 65_535
_SAYS = (
    "what is asked, such as ping 10.20.10.13, tcp 10.20.10.2 port 25, tls mail.rock port 993, https://front.rock/, "
    "dns files.rock at 10.20.10.5, or command ./look"
)
_NAME = re.compile(r"(?=.{1,253}\.?$)[A-Za-z0-9_]([A-Za-z0-9_-]{0,62})(\.[A-Za-z0-9_-]{1,63})*\.?")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
_RECORDS = ("A", "AAAA", "TXT", "MX", "NS", "SOA", "SRV", "CNAME", "PTR")


class Sort(StrEnum):
    """The ways of asking."""

    PING = "ping"
    TCP = "tcp"
    TLS = "tls"
    HTTP = "http"
    HTTPS = "https"
    DNS = "dns"
    COMMAND = "command"


USUAL_PORTS = {Sort.HTTP: 80, Sort.HTTPS: 443, Sort.DNS: 53}
"""The port that is meant where none is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One question that can be put over and over.

    Attributes:
        sort: the way of asking.
        host: the name or address that is asked; empty for a command.
        port: the port; 0 where there is none.
        about: the path and query of a page, the name that is looked up, or the command's text.
        record: the type of record that is looked up; empty for other sorts.
    """

    sort: Sort
    host: str = ""
    port: int = 0
    about: str = ""
    record: str = ""

    @property
    def words(self) -> str:
        """As it is written in a lab file."""
        if self.sort in (Sort.TCP, Sort.TLS):
            return f"{self.sort} {self.host} port {self.port}"
        if self.sort in (Sort.HTTP, Sort.HTTPS):
            host = f"[{self.host}]" if ":" in self.host else self.host
            port = "" if self.port == USUAL_PORTS[self.sort] else f":{self.port}"
            return f"{self.sort}://{host}{port}{self.about}"
        if self.sort is Sort.DNS:
            kind = "" if self.record == "A" else f" for {self.record}"
            port = "" if self.port == USUAL_PORTS[self.sort] else f" port {self.port}"
            return f"dns {self.about}{kind} at {self.host}{port}"
        return f"{self.sort} {self.about or self.host}"


class Asks(Form[Ask]):
    """A question as one line of words."""

    says = _SAYS

    def read(self, node: tree.Node, say: Say) -> Ask:
        """The question."""
        text = " ".join(scalar(node, say, _SAYS).text.split())
        slip, ask = _parsed(text)
        if ask is None:
            raise say.fault(node.where, f"found {shown(node)}", f"{slip}; write {_SAYS}")
        return ask

    def schema(self) -> dict[str, Any]:
        """A string that begins with one of the sorts."""
        return {"type": "string", "pattern": "^(ping |tcp |tls |https?://|dns |command )"}


def _parsed(text: str) -> tuple[str, Ask | None]:
    """What is wrong with the words, and the question if nothing is."""
    if _CONTROL.search(text):
        return "it has a control character in it", None
    first, _, rest = text.partition(" ")
    if first == "command":
        return ("say which command", None) if not rest else ("", Ask(sort=Sort.COMMAND, about=rest))
    if first == "ping":
        return _with_host(Ask(sort=Sort.PING, host=rest))
    if first in ("tcp", "tls"):
        host, _, port = rest.partition(" port ")
        return _with_host(Ask(sort=Sort(first), host=host, port=_port(port)), needs_port=True)
    if first == "dns":
        return _dns(rest)
    if re.match("https?://", text):
        return _page(text)
    return "it begins with no way of asking", None


def _dns(text: str) -> tuple[str, Ask | None]:
    match = re.fullmatch(r"(\S+)(?: for (\S+))? at (\S+?)(?: port (\S+))?", text)
    if not match:
        return "say which name, and at which server", None
    name, record, host, port = match.groups()
    record = record or "A"
    if record not in _RECORDS:
        return f"{shortened(record)} is none of the records {', '.join(_RECORDS)}", None
    if not _NAME.fullmatch(name):
        return f"{shortened(name)} is no name that can be looked up", None
    number = USUAL_PORTS[Sort.DNS] if port is None else _port(port)
    ask = Ask(sort=Sort.DNS, host=host, port=number, about=name, record=record)
    return _with_host(ask, needs_port=True)


def _page(text: str) -> tuple[str, Ask | None]:
    try:
        parts: SplitResult = urlsplit(text)
        port = parts.port
    except ValueError:
        return "its address can't be read", None
    if parts.username is not None or parts.password is not None:
        return "a lab file holds no secrets, so leave out what stands before the @", None
    if " " in text or not text.isascii():
        return "an address has no blanks, and signs beyond ASCII are written with %", None
    sort = Sort(parts.scheme)
    about = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    number = USUAL_PORTS[sort] if port is None else port
    ask = Ask(sort=sort, host=parts.hostname or "", port=number, about=about)
    return _with_host(ask, needs_port=True)


def _with_host(ask: Ask, *, needs_port: bool = False) -> tuple[str, Ask | None]:
    if not _is_host(ask.host):
        return ("say whom" if not ask.host else f"{shortened(ask.host)} is no name and no address"), None
    if needs_port and not 0 < ask.port <= MOST_PORT:
        return f"give a port from 1 to {MOST_PORT}", None
    return "", ask


def _is_host(text: str) -> bool:
    try:
        ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        # All digits and dots, yet no address: a slip, not a name.
        return bool(_NAME.fullmatch(text)) and not re.fullmatch(r"[0-9.]+", text)
    return True


def _port(text: str) -> int:
    return int(text) if re.fullmatch("[0-9]{1,5}", text) else 0
