"""Does somebody answer at a TCP port?"""

from __future__ import annotations

import errno
import socket

from falsework.record.seen import Told
from falsework.stopwatch.desk import BROKEN, OUT, Desk, Target, Try, Untold, by_error

# Not `socket.socket`: its wrapper costs as much again as the system call, and ten thousand are made each second.
_Socket = socket.SocketType
_KIND = socket.SOCK_STREAM | socket.SOCK_NONBLOCK | socket.SOCK_CLOEXEC


class Knock(Try):
    """A connection that is opened, and closed as soon as it stands."""

    __slots__ = ("socket",)

    def __init__(self, probe: int, asked_s: float, sock: socket.SocketType) -> None:
        self.probe = probe
        self.asked_s = asked_s
        self.over = False
        self.socket = sock

    def ready(self, desk: Desk, mask: int) -> None:
        """It stands, or it is refused."""
        sock = self.socket
        if mask & BROKEN:
            number = sock.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
            # Opened and broken off in one: somebody is there who wants no connection.
            desk.tell(self, *(by_error(number) if number else (Told.NO, "reset")))
        else:
            desk.tell(self, Told.YES)
        desk.closing(sock.fileno())
        sock.close()

    def leave(self, desk: Desk) -> None:
        """Close it."""
        if self.socket.fileno() >= 0:
            desk.forget(self.socket.fileno())
            self.socket.close()


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
        knock = Knock(probe, asked_s, sock)
        if number == errno.EINPROGRESS:
            desk.wait(sock.fileno(), knock, OUT)
            return knock
        desk.tell(knock, *(by_error(number) if number else (Told.YES, "")))
        sock.close()
        return None

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""
