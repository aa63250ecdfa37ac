"""Does a machine answer to an echo request (RFC 792, RFC 4443)?"""

from __future__ import annotations

import itertools
import secrets
import socket
import struct

from falsework.record.seen import Told
from falsework.stopwatch.desk import IN, CannotAsk, Desk, Target, Try, Untold, by_error

_REQUEST: dict[int, int] = {socket.AF_INET: 8, socket.AF_INET6: 128}
_REPLY: dict[int, int] = {socket.AF_INET: 0, socket.AF_INET6: 129}
_PROTOCOL: dict[int, int] = {socket.AF_INET: socket.IPPROTO_ICMP, socket.AF_INET6: socket.IPPROTO_ICMPV6}
_HEAD = struct.Struct("!BBHHH")
_BODY = struct.Struct("!8sQ")
_ROOM_BYTES = 1 << 20
_AT_ONCE = 512
_LONGEST = 2_048
# What a raw socket shall not be woken for; the numbers are the system's (linux/icmp.h, RFC 3542 section 3.2).
_SOL_RAW, _ICMP_FILTER, _ICMP6_FILTER = 255, 1, 1


class Echoes:
    """All echo requests to addresses of one version: one socket, and who waits for which number.

    Args:
        family: the version of the address, as sockets number it.
        desk: where it waits.

    Raises:
        CannotAsk: this user may send none.
    """

    def __init__(self, family: int, desk: Desk) -> None:
        self._family = family
        self._socket, self._raw = _opened(family)
        self._token = secrets.token_bytes(8)
        self._number = secrets.randbits(16)
        self._next = itertools.count()
        self._waiting: dict[int, Echo] = {}
        desk.wait(self._socket.fileno(), self, IN)

    def send(self, probe: int, desk: Desk, target: Target) -> Echo | None:
        """Send one; None if it is told already."""
        number = next(self._next)
        echo = Echo(probe, desk.now(), self, number)
        body = _BODY.pack(self._token, number)
        head = _HEAD.pack(_REQUEST[self._family], 0, 0, self._number, number & 0xFFFF)
        # The system fills the sum in itself, but for raw packets of version 4.
        packet = head[:2] + struct.pack("!H", _sum(head + body)) + head[4:] + body
        # The port of an echo is no port, and some systems refuse any but 0.
        address = (target.address[0], 0, *target.address[2:])
        try:
            self._socket.sendto(packet, address)
        except OSError as error:
            desk.tell(echo, *by_error(error.errno or 0))
            return None
        self._waiting[number] = echo
        return echo

    def ready(self, desk: Desk, mask: int) -> None:
        """Take in what has come; what is not ours is passed over."""
        for _ in range(_AT_ONCE):
            try:
                packet = self._socket.recv(_LONGEST)
            except OSError:
                return  # nothing more, or an error that some other packet of ours has met
            if self._raw and self._family == socket.AF_INET:
                packet = packet[(packet[0] & 0xF) * 4 :] if packet else b""
            if len(packet) < _HEAD.size + _BODY.size or packet[0] != _REPLY[self._family]:
                continue
            token, number = _BODY.unpack_from(packet, _HEAD.size)
            echo = self._waiting.get(number) if token == self._token else None
            if echo is not None:
                desk.tell(echo, Told.YES)
                echo.leave(desk)

    def forget(self, number: int) -> None:
        """Nobody waits for this one any more."""
        self._waiting.pop(number, None)

    def close(self, desk: Desk) -> None:
        """Close the socket."""
        if self._socket.fileno() >= 0:
            desk.forget(self._socket.fileno())
            self._socket.close()


class Echo(Try):
    """One echo request."""

    __slots__ = ("_echoes", "_number")

    def __init__(self, probe: int, asked_s: float, echoes: Echoes, number: int) -> None:
        super().__init__(probe, asked_s)
        self._echoes = echoes
        self._number = number

    def ready(self, desk: Desk, mask: int) -> None:
        """The socket that all share takes answers in."""

    def leave(self, desk: Desk) -> None:
        """Wait no longer."""
        self._echoes.forget(self._number)


class Ping:
    """Sends echo requests.

    Args:
        echoes: the sockets by version of the address, shared with others that ping; made as they are needed.

    Raises:
        CannotAsk: this user may send none.
    """

    __slots__ = ("_echoes",)

    def __init__(self, echoes: dict[int, Echoes]) -> None:
        self._echoes = echoes
        if not echoes:
            _opened(socket.AF_INET)[0].close()  # now is the moment to say that it is not permitted

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Send one."""
        echoes = self._echoes.get(target.family)
        if echoes is None:
            try:
                echoes = self._echoes[target.family] = Echoes(target.family, desk)
            except CannotAsk as error:
                untold = Untold(probe, desk.now())
                desk.tell(untold, Told.UNKNOWN, error.what)
                return None
        return echoes.send(probe, desk, target)

    def close(self, desk: Desk) -> None:
        """Close what all share."""
        for echoes in self._echoes.values():
            echoes.close(desk)


def _opened(family: int) -> tuple[socket.socket, bool]:
    """A socket for echoes, and whether it is a raw one."""
    flags = socket.SOCK_NONBLOCK | socket.SOCK_CLOEXEC
    for kind in (socket.SOCK_DGRAM, socket.SOCK_RAW):
        try:
            sock = socket.socket(family, kind | flags, _PROTOCOL[family])
        except PermissionError:
            continue
        except OSError as error:
            raise CannotAsk(
                f"it can't be pinged: {error.strerror}",
                "Ask a TCP port of it instead, such as: tcp HOST port 22.",
            ) from error
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, _ROOM_BYTES)
        if kind == socket.SOCK_RAW:
            _only_replies(sock, family)
        return sock, kind == socket.SOCK_RAW
    raise CannotAsk(
        "this user may not ping",
        "Permit it for a group (sysctl net.ipv4.ping_group_range, for both versions), "
        "or ask a TCP port of it instead, such as: tcp HOST port 22.",
    )


def _only_replies(sock: socket.socket, family: int) -> None:
    if family == socket.AF_INET:
        sock.setsockopt(_SOL_RAW, _ICMP_FILTER, struct.pack("=I", 0xFFFFFFFF ^ 1 << _REPLY[socket.AF_INET]))
    else:
        blocked = [0xFFFFFFFF] * 8
        number = _REPLY[socket.AF_INET6]
        blocked[number // 32] ^= 1 << number % 32
        sock.setsockopt(socket.IPPROTO_ICMPV6, _ICMP6_FILTER, struct.pack("=8I", *blocked))


def _sum(packet: bytes) -> int:
    """The internet checksum (RFC 1071) of an even number of bytes."""
    total: int = sum(struct.unpack(f"!{len(packet) // 2}H", packet))
    total = (total & 0xFFFF) + (total >> 16)
    return ~(total + (total >> 16)) & 0xFFFF
