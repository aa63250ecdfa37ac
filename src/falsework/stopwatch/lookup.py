"""Does a name server answer, and with what it should?"""

from __future__ import annotations

import ipaddress
import re
import secrets
import socket
import struct

import dns.exception
import dns.flags
import dns.message
import dns.name
import dns.rcode
import dns.rdataclass
import dns.rdatatype
import dns.rrset

from falsework.errors import shortened
from falsework.model.asks import Ask
from falsework.record.seen import Told
from falsework.stopwatch.desk import IN, Desk, Target, Try, Untold, by_error
from falsework.stopwatch.wire import Talk

_MOST = 65_535
_ANSWERS = 8
"""So many answers that belong to no question are looked at in one go."""
_SAYS = {
    dns.rcode.NXDOMAIN: "no such name",
    dns.rcode.SERVFAIL: "the server failed",
    dns.rcode.REFUSED: "the server refuses",
}
_CODE = re.compile(r"(NXDOMAIN|SERVFAIL|REFUSED|NOERROR)", re.IGNORECASE)


class Wanted:
    """A question to a name server, and what a good answer has in it.

    Args:
        ask: the question.
        expects: an address, other words of a record, or the name of a code such as NXDOMAIN.
    """

    __slots__ = ("_code", "_expects", "_name", "_record", "wire")

    def __init__(self, ask: Ask, expects: str) -> None:
        query = dns.message.make_query(ask.about, ask.record, use_edns=0, payload=1232)
        self._name = query.question[0].name
        self._record = query.question[0].rdtype
        self.wire = query.to_wire()[2:]
        code = _CODE.fullmatch(expects.strip())
        self._code = dns.rcode.from_text(code[1]) if code else None
        self._expects = "" if code else _as_told(expects.strip())

    def read(self, raw: bytes, number: bytes) -> dns.message.Message | None:
        """An answer to the question with this number; None if it is none."""
        if raw[:2] != number:
            return None
        try:
            answer = dns.message.from_wire(raw, ignore_trailing=True, raise_on_truncation=False)
        except (dns.exception.DNSException, ValueError, struct.error):
            return None
        asked = answer.question
        if not answer.flags & dns.flags.QR or len(asked) != 1:
            return None
        return answer if asked[0].name == self._name and asked[0].rdtype == self._record else None

    def judged(self, answer: dns.message.Message) -> tuple[Told, str]:
        """What an answer tells."""
        code = answer.rcode()
        if self._code is not None:
            good = code == self._code
            return (Told.YES, "") if good else (Told.NO, f"code {dns.rcode.to_text(code)}")
        if code != dns.rcode.NOERROR:
            return Told.NO, _SAYS.get(code, f"code {dns.rcode.to_text(code)}")
        found = [
            _as_told(str(record))
            for rrset in answer.answer
            if rrset.rdtype == self._record
            for record in rrset
        ]
        if not found:
            return Told.NO, "no such record"
        if self._expects and not any(
            self._expects == each or (self._expects in each and not _is_address(each)) for each in found
        ):
            return Told.NO, f"another answer: {shortened(', '.join(found), 60)}"
        return Told.YES, ""


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True


def _as_told(text: str) -> str:
    """Addresses in their one way of writing; other words in small letters."""
    try:
        return str(ipaddress.ip_address(text))
    except ValueError:
        return text.casefold()


class Lookup(Talk):
    """A question in one packet; over TCP once more if the answer was too long for one."""

    __slots__ = ("_heard", "_number", "_packets", "_target", "_wanted")

    def __init__(
        self, probe: int, desk: Desk, target: Target, wanted: Wanted, packets: socket.socket
    ) -> None:
        Try.__init__(self, probe, desk.now())
        self._wanted = wanted
        self._target = target
        self._heard = b""
        self._number = secrets.token_bytes(2)
        self._packets: socket.socket | None = packets
        self._sock = self._secret = None
        self._stands = False
        packets.connect(target.address)
        packets.send(self._number + wanted.wire)
        desk.wait(packets.fileno(), self, IN)

    def ready(self, desk: Desk, mask: int) -> None:
        """Go on where it stopped."""
        if self._packets is None:
            super().ready(desk, mask)
            return
        try:
            for _ in range(_ANSWERS):
                raw = self._packets.recv(_MOST)
                answer = self._wanted.read(raw, self._number)
                if answer is not None:
                    self._answered(desk, answer)
                    return
                # Somebody else's answer, or a forged one: ours may still come.
        except BlockingIOError:
            pass
        except OSError as error:
            self.leave(desk)
            desk.tell(self, *by_error(error.errno or 0))

    def _answered(self, desk: Desk, answer: dns.message.Message) -> None:
        self.leave(desk)
        if answer.flags & dns.flags.TC:
            self._connect(desk, self._target, None)
        else:
            desk.tell(self, *self._wanted.judged(answer))

    def leave(self, desk: Desk) -> None:
        """Close both."""
        if self._packets is not None:
            desk.forget(self._packets.fileno())
            self._packets.close()
            self._packets = None
        super().leave(desk)

    def opened(self, desk: Desk) -> None:
        """Ask over TCP."""
        query = self._number + self._wanted.wire
        self.say(desk, struct.pack("!H", len(query)) + query)

    def heard(self, desk: Desk, data: bytes) -> None:
        """Read on until the answer is whole."""
        self._heard += data
        if len(self._heard) >= 2:
            (length,) = struct.unpack("!H", self._heard[:2])
            if len(self._heard) >= 2 + length:
                answer = self._wanted.read(self._heard[2 : 2 + length], self._number)
                desk.tell(self, *(self._wanted.judged(answer) if answer else (Told.NO, "a broken answer")))
                return
        if not data:
            desk.tell(self, Told.NO, "cut off")


class Dns:
    """Looks one name up at one server.

    Args:
        ask: the name, the type of record, and the server.
        expects: an address, other words of a record, the name of a code such as NXDOMAIN, or nothing: then any
            record of that type is good.
    """

    __slots__ = ("_wanted",)

    def __init__(self, ask: Ask, expects: str) -> None:
        self._wanted = Wanted(ask, expects)

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Look it up once."""
        asked_s = desk.now()
        try:
            packets = socket.socket(
                target.family, socket.SOCK_DGRAM | socket.SOCK_NONBLOCK | socket.SOCK_CLOEXEC
            )
        except OSError as error:
            desk.tell(Untold(probe, asked_s), *by_error(error.errno or 0))
            return None
        try:
            return Lookup(probe, desk, target, self._wanted, packets)
        except OSError as error:
            packets.close()
            desk.tell(Untold(probe, asked_s), *by_error(error.errno or 0))
            return None

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""
