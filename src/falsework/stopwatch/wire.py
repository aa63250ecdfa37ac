"""How does one talk over TCP, with or without TLS, without ever waiting?"""

from __future__ import annotations

import errno
import socket
import ssl
from typing import Protocol

from falsework.record.seen import Told
from falsework.stopwatch.desk import IN, OUT, Desk, Target, Try, by_error
from falsework.stopwatch.tcp import is_with_itself

_CHUNK = 16_384
_CHUNKS = 8
"""So much is read at once from one talk before the others have their turn."""


class Shake(Protocol):
    """Who makes a connection secret."""

    def wrapped(self, sock: socket.socket) -> ssl.SSLSocket:
        """The same connection, about to shake hands."""


class Talk(Try):
    """A connection over which something is said; those that derive from it say what.

    Args:
        probe: the number of its probe.
        desk: where it waits.
        target: whom it speaks to.
        shake: who makes the connection secret, or None.
    """

    __slots__ = ("_address", "_out", "_secret", "_shake", "_sock", "_stands", "_wants")

    def __init__(self, probe: int, desk: Desk, target: Target, shake: Shake | None = None) -> None:
        super().__init__(probe, desk.now())
        self._connect(desk, target, shake)

    def _connect(self, desk: Desk, target: Target, shake: Shake | None) -> None:
        self._out = b""
        self._address = target.address
        self._shake = shake
        self._secret: ssl.SSLSocket | None = None
        self._stands = False
        self._sock: socket.socket | None = None
        self._wants = OUT
        try:
            sock = socket.socket(
                target.family, socket.SOCK_STREAM | socket.SOCK_NONBLOCK | socket.SOCK_CLOEXEC
            )
        except OSError as error:
            self.broken(desk, *by_error(error.errno or 0))
            return
        self._sock = sock
        number = sock.connect_ex(target.address)
        if number not in (0, errno.EINPROGRESS):
            sock.close()
            self.broken(desk, *by_error(number))
            return
        desk.wait(sock.fileno(), self, OUT)

    # What those that derive from it fill in.

    def opened(self, desk: Desk) -> None:
        """The connection stands, and is secret if it is to be."""

    def heard(self, desk: Desk, data: bytes) -> None:
        """Something was said; nothing at all means that the other side has closed."""

    def mistrusted(self, desk: Desk, error: ssl.SSLCertVerificationError) -> None:
        """The other side's certificate is not good."""
        self.broken(desk, Told.NO, "certificate not trusted")

    def broken(self, desk: Desk, told: Told, says: str) -> None:
        """The connection is no more."""
        desk.tell(self, told, says)

    # What they may use.

    def say(self, desk: Desk, data: bytes) -> None:
        """Say something, as soon as the other side takes it."""
        self._out += data
        self._flush(desk)

    @property
    def secret(self) -> ssl.SSLSocket:
        """The connection, once hands are shaken."""
        assert self._secret is not None
        return self._secret

    def leave(self, desk: Desk) -> None:
        """Close it."""
        sock = self._secret or self._sock
        if sock is not None and sock.fileno() >= 0:
            desk.forget(sock.fileno())
            sock.close()
        self._sock = self._secret = None

    def late(self) -> tuple[Told, str]:
        """Silence; connected or not makes a difference to whoever looks for the cause."""
        return Told.SILENT, "connected, then nothing" if self._stands else ""

    # The rest is between it and the desk.

    def ready(self, desk: Desk, mask: int) -> None:
        """Go on where it stopped."""
        try:
            if not self._stands:
                assert self._sock is not None
                number = self._sock.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
                if number:
                    self._break(desk, *by_error(number))
                    return
                if is_with_itself(self._sock, self._address):
                    self._break(desk, *by_error(errno.ECONNREFUSED))
                    return
                self._stands = True
                if self._shake is None:
                    self._turn(desk, IN)
                    self.opened(desk)
                    return
                self._secret = self._shake.wrapped(self._sock)
                self._sock = None  # the secret one has taken its file over
            if self._shake is not None:
                self._shake_hands(desk)
                return
            if self._out:
                self._flush(desk)
            self._hear(desk)
        except ssl.SSLWantReadError:
            self._turn(desk, IN | OUT if self._out else IN)
        except ssl.SSLWantWriteError:
            self._turn(desk, OUT)
        except ssl.SSLCertVerificationError as error:
            self.leave(desk)
            self.mistrusted(desk, error)
        except ssl.SSLError as error:
            self._break(desk, Told.NO, f"no TLS: {_plain(error)}")
        except OSError as error:
            self._break(desk, *by_error(error.errno or 0))
        except ValueError:
            self._break(desk, Told.NO, "no TLS")

    def _shake_hands(self, desk: Desk) -> None:
        self.secret.do_handshake()
        self._shake = None
        self._turn(desk, IN)
        self.opened(desk)
        if not self.over and self._secret is not None and self._secret.pending():
            self._hear(desk)

    def _hear(self, desk: Desk) -> None:
        for _ in range(_CHUNKS):
            sock = self._secret or self._sock
            if sock is None or self.over:
                break
            try:
                data = sock.recv(_CHUNK)
            except BlockingIOError:
                break
            self.heard(desk, data)
            if not data:
                break
            if self._secret is None:
                break  # the system says again that there is more; a secret connection has read ahead, and must be asked
        if self.over:
            self.leave(desk)

    def _flush(self, desk: Desk) -> None:
        sock = self._secret or self._sock
        if sock is None:
            return
        try:
            sent = sock.send(self._out)
            self._out = self._out[sent:]
        except BlockingIOError:
            pass
        except (ssl.SSLWantReadError, ssl.SSLWantWriteError):
            pass
        self._turn(desk, IN | OUT if self._out else IN)

    def _turn(self, desk: Desk, wants: int) -> None:
        sock = self._secret or self._sock
        if sock is not None and wants != self._wants:
            desk.rewait(sock.fileno(), wants)
            self._wants = wants

    def _break(self, desk: Desk, told: Told, says: str) -> None:
        self.leave(desk)
        self.broken(desk, told, says)


def _plain(error: ssl.SSLError) -> str:
    return (error.reason or "broken off").replace("_", " ").lower()
