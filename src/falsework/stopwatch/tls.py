"""Does somebody shake hands, and with which certificate?"""

from __future__ import annotations

import ssl

from falsework.errors import shortened
from falsework.record.seen import Told
from falsework.stopwatch.certificates import Hands, fault_of, judged, pin_of
from falsework.stopwatch.desk import CannotAsk, Desk, Target, Try
from falsework.stopwatch.wire import Talk


class SecretTalk(Talk):
    """A talk after a handshake; a certificate that is not good is looked at over a second connection.

    The handshake is broken off before such a certificate is shown, and its end is still worth knowing.
    """

    __slots__ = ("_fault", "_host", "_pin", "_target")

    def __init__(self, probe: int, desk: Desk, target: Target, *, host: str, pin: str) -> None:
        self._fault = ""
        self._host = host
        self._pin = pin
        self._target = target
        super().__init__(probe, desk, target, Hands(host, strict=not pin))

    def opened(self, desk: Desk) -> None:
        """Judge the certificate."""
        told, says = judged(self.secret, fault=self._fault, pin=self._pin, wall_s=desk.wall())
        if told is Told.YES:
            self.welcome(desk, says)
        else:
            desk.tell(self, told, says)
            self.leave(desk)

    def welcome(self, desk: Desk, warning: str) -> None:
        """The certificate is good."""
        desk.tell(self, Told.YES, warning)
        self.leave(desk)

    def mistrusted(self, desk: Desk, error: ssl.SSLCertVerificationError) -> None:
        """Look at it."""
        self._fault = fault_of(error)
        self._connect(desk, self._target, Hands(self._host, strict=False))

    def broken(self, desk: Desk, told: Told, says: str) -> None:
        """Told as it is, unless the certificate is known to be bad already."""
        desk.tell(self, *((Told.NO, self._fault) if self._fault else (told, says)))

    def late(self) -> tuple[Told, str]:
        """Silence, unless the certificate is known to be bad already."""
        return (Told.NO, self._fault) if self._fault else super().late()


class Tls:
    """Shakes hands and closes again.

    Args:
        host: the name or address that the certificate must be for.
        expects: `sha256` and the sum of the one certificate that is good, or nothing: then it must be trusted here.

    Raises:
        CannotAsk: it expects something else.
    """

    __slots__ = ("_host", "_pin")

    def __init__(self, host: str, expects: str) -> None:
        self._host = host
        self._pin = pin_of(expects)
        if expects.strip() and not self._pin:
            raise CannotAsk(
                f"nothing but a certificate can be expected of tls, and it expects '{shortened(expects)}'",
                "Leave out expects, or write sha256 and the sum of the certificate.",
            )

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Shake hands once."""
        talk = SecretTalk(probe, desk, target, host=self._host, pin=self._pin)
        return None if talk.over else talk

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""
