"""Does somebody answer at a TCP port?"""

from __future__ import annotations

import errno
import socket

from falsework.record.seen import Told
from falsework.stopwatch.desk import BROKEN, OUT, Address, Desk, Target, Try, Untold, by_error

# Not `socket.socket`: its wrapper costs as much again as the system call, and ten thousand are made each second.
_Socket = socket.SocketType
_FIRST_CHOSEN = 1_024
"""The system chooses no port below this one."""
_KIND = socket.SOCK_STREAM | socket.SOCK_NONBLOCK | socket.SOCK_CLOEXEC


class Knock(Try):
    """A connection that is opened, and closed as soon as it stands."""

    __slots__ = ("address", "socket")

    def __init__(self, probe: int, asked_s: float, sock: socket.SocketType, address: Address) -> None:
        self.probe = probe
        self.asked_s = asked_s
        self.over = False
        self.socket = sock
        self.address = address

    def ready(self, desk: Desk, mask: int) -> None:
        """It stands, or it is refused."""
        sock = self.socket
        if mask & BROKEN:
            number = sock.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
            # Opened and broken off in one: somebody is there who wants no connection.
            desk.tell(self, *(by_error(number) if number else (Told.NO, "reset")))
        elif is_with_itself(sock, self.address):
            desk.tell(self, *by_error(errno.ECONNREFUSED))
        else:
            desk.tell(self, Told.YES)
        desk.closing(sock.fileno())
        sock.close()

    def leave(self, desk: Desk) -> None:
        """Close it."""
        if self.socket.fileno() >= 0:
            desk.forget(self.socket.fileno())
            self.socket.close()


def is_with_itself(sock: socket.SocketType, address: Address) -> bool:
    """Whether a connection has only met itself.

    Asked on this very machine, a port where nobody listens may be the one that the system has just chosen for the
    asking end: both ends then open at once, and are one.
    """
    return address[1] >= _FIRST_CHOSEN and sock.getsockname()[:2] == address[:2]


class Tcp:
    """Opens a connection and closes it again."""

    __slots__ = ()

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Knock once."""
        asked_s = desk.now()
        try:
            sock = _Socket(target.family, _KIND)
        except OSError as error:
            desk.tell(Untold(probe, asked_s), *by_error(error.errno or 0))
            return None
        number = sock.connect_ex(target.address)
        knock = Knock(probe, asked_s, sock, target.address)
        if number == errno.EINPROGRESS:
            desk.wait(sock.fileno(), knock, OUT)
            return knock
        desk.tell(knock, *(by_error(number) if number else (Told.YES, "")))
        sock.close()
        return None

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""
