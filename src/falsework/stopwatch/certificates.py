"""Is a certificate good for the name that was asked, and for how long?"""

from __future__ import annotations

import hashlib
import re
import socket
import ssl
from dataclasses import dataclass
from functools import cache

from cryptography import x509

from falsework.errors import counted, shortened
from falsework.record.seen import Told
from falsework.stopwatch.desk import CannotAsk

DAY_S = 86_400.0
WARN_S = 14 * DAY_S
"""A certificate that ends sooner than this is warned of, or sooner than a quarter of its life if that is less."""
PIN = re.compile(r"sha-?256[ :=]+([0-9a-f:]{64,95})", re.IGNORECASE)
"""An owner's word that one certificate is good, whoever vouches for it."""
_LIKE_PIN = re.compile(r"sha-?256\b", re.IGNORECASE)

_OVER, _NOT_YET, _OTHER_NAMES = 10, 9, (62, 64)
_NAMES = {
    _OVER: "certificate is over",
    _NOT_YET: "certificate is not valid yet",
    **dict.fromkeys(_OTHER_NAMES, "certificate is for other names"),
}


def pin_of(expects: str) -> str:
    """The sum of the certificate that is expected, as 64 digits; empty if none is.

    Raises:
        CannotAsk: it begins like a sum and is none.
    """
    found = PIN.fullmatch(expects.strip())
    digits = found[1].replace(":", "").lower() if found else ""
    if len(digits) == 64:
        return digits
    if _LIKE_PIN.match(expects.strip()):
        raise CannotAsk(
            f"'{shortened(expects)}' is no sum of a certificate", "Write sha256 and its 64 digits."
        )
    return ""


def prepare() -> None:
    """Read whom this machine trusts, which takes a while, before the first question needs it."""
    _vouched()
    _anyone()


@cache
def _vouched() -> ssl.SSLContext:
    """Trusts whom this machine trusts; its owner's authority too, if it is installed here."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_default_certs()
    return context


@cache
def _anyone() -> ssl.SSLContext:
    """Trusts everybody: only to look at the certificate that is shown, or to compare its sum."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname = False
    context.verify_mode = ssl.CERT_NONE
    return context


@dataclass(frozen=True, slots=True)
class Hands:
    """Shakes hands with a host by its name.

    Attributes:
        host: the name or address that the certificate must be for.
        strict: whether the certificate must be trusted.
    """

    host: str
    strict: bool

    def wrapped(self, sock: socket.socket) -> ssl.SSLSocket:
        """The same connection, about to shake hands."""
        context = _vouched() if self.strict else _anyone()
        return context.wrap_socket(
            sock, server_hostname=self.host.partition("%")[0].rstrip("."), do_handshake_on_connect=False
        )


def fault_of(error: ssl.SSLCertVerificationError) -> str:
    """What is wrong with a certificate, in a few words."""
    return _NAMES.get(error.verify_code, "certificate not trusted")


def judged(sock: ssl.SSLSocket, *, fault: str, pin: str, wall_s: float) -> tuple[Told, str]:
    """What a certificate tells that was shown.

    Args:
        sock: a connection after its handshake.
        fault: what is known to be wrong with it already; empty for nothing.
        pin: the sum that it must have, or empty.
        wall_s: now, seconds since 1970.

    Returns:
        Yes if it is good, perhaps with a warning; no with the reason, and with its end as far as that can be read.
    """
    raw = sock.getpeercert(binary_form=True)
    if raw is None:
        return Told.NO, fault or "no certificate"
    try:
        # Hostile bytes are to be expected here; what was vouched for is read the same way.
        read = x509.load_der_x509_certificate(raw)
        begins_s = read.not_valid_before_utc.timestamp()
        ends_s = read.not_valid_after_utc.timestamp()
    except (ValueError, OverflowError):
        return Told.NO, fault or "certificate can't be read"
    left_s = ends_s - wall_s
    if pin and hashlib.sha256(raw).hexdigest() != pin:
        return Told.NO, f"another certificate, {_end(left_s)}"
    if fault:
        return Told.NO, f"{fault}, {_end(left_s)}"
    if left_s <= 0:
        return Told.NO, f"certificate is over, {_end(left_s)}"
    if left_s < min(WARN_S, (ends_s - begins_s) / 4):
        return Told.YES, f"certificate {_end(left_s)}"
    return Told.YES, ""


def _end(left_s: float) -> str:
    size_s = abs(left_s)
    length = (
        counted(int(size_s // DAY_S), "day") if size_s >= DAY_S else counted(int(size_s // 3_600), "hour")
    )
    return f"ends in {length}" if left_s > 0 else f"ended {length} ago"
