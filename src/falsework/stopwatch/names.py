"""Which address stands behind the name that is asked, as of now?"""

from __future__ import annotations

import ipaddress
import queue
import socket
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from falsework.stopwatch.desk import Address

AGAIN_S, SOON_S = 60.0, 5.0
"""A name is looked up again after so long, and one that was not found after so long; seconds."""
_HANDS = 8


@dataclass(frozen=True, slots=True)
class Host:
    """A host's address, without a port.

    Attributes:
        family: the version of the address, as sockets number it.
        digits: the address.
        scope: the number of the interface for an address that is good on one wire only; else 0.
    """

    family: int
    digits: str
    scope: int = 0

    def at(self, port: int) -> Address:
        """Address and port, as sockets want it."""
        if self.family == socket.AF_INET:
            return (self.digits, port)
        return (self.digits, port, 0, self.scope)


def by_digits(host: str) -> Host | None:
    """The address that the text itself is; None if it is a name.

    Raises:
        OSError: the interface that is named behind a % is not there.
    """
    digits, _, scope = host.partition("%")
    try:
        address = ipaddress.ip_address(digits)
    except ValueError:
        return None
    if address.version == 4:
        return Host(socket.AF_INET, str(address))
    number = 0
    if scope:
        number = int(scope) if scope.isdecimal() else socket.if_nametoindex(scope)
    return Host(socket.AF_INET6, str(address), number)


def by_system(name: str) -> Host:
    """The address that this machine would use for a name; may take many seconds.

    Raises:
        OSError: it has none.
    """
    for family, _, _, _, address in socket.getaddrinfo(name, None, type=socket.SOCK_STREAM):
        if family == socket.AF_INET:
            return Host(family, str(address[0]))
        if family == socket.AF_INET6:
            return Host(family, str(address[0]).partition("%")[0], int(address[3]) if len(address) > 3 else 0)
    raise OSError("it has no address")


class Names:
    """Looks names up again and again, in threads of its own, since the system's way of asking cannot be hurried.

    An address once found stays good until another is found.

    Args:
        names: each once.
        look_up: how one is looked up.
    """

    def __init__(self, names: Iterable[str], look_up: Callable[[str], Host] = by_system) -> None:
        self._look_up = look_up
        self._jobs: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._found: dict[str, Host] = {}
        self._failed: dict[str, str] = {}
        self._due_s: dict[str, float] = {}
        self._names = tuple(names)
        self._threads = tuple(
            threading.Thread(target=self._work, name="names", daemon=True)
            for _ in range(min(_HANDS, len(self._names)))
        )
        self.version = 0
        """Grows whenever an answer has come."""

    @property
    def found(self) -> Mapping[str, Host]:
        """The address of each name that has one."""
        return dict(self._found)

    @property
    def failed(self) -> Mapping[str, str]:
        """Why the last look at a name failed, in the system's words."""
        return dict(self._failed)

    def begin(self) -> None:
        """Look all of them up for the first time."""
        for thread in self._threads:
            thread.start()
        for name in self._names:
            self._jobs.put(name)

    def go_on(self) -> None:
        """Have those looked up again for which it is time; to be called now and then, takes no time itself."""
        now_s = time.monotonic()
        for name, due_s in tuple(self._due_s.items()):
            if due_s <= now_s and self._due_s.pop(name, None) is not None:
                self._jobs.put(name)

    def _work(self) -> None:
        while True:
            name = self._jobs.get()
            try:
                self._found[name] = self._look_up(name)
                self._failed.pop(name, None)
                again_s = AGAIN_S
            except (OSError, UnicodeError) as error:
                self._failed[name] = str(getattr(error, "strerror", None) or error)
                again_s = SOON_S
            self._due_s[name] = time.monotonic() + again_s
            self.version += 1
