"""A question put once, by the plainest means: what the stopwatch says is held against it."""

import contextlib
import socket
import ssl
import urllib.error
import urllib.request

import dns.message
import dns.query
from tests.loopback.serving import Copy
from tests.waiting import LONGEST_S


def asks(address: str, *, patience_s: float = LONGEST_S) -> int:
    """The status of the page that a server gives, 0 if there is none; the patience is for one that hangs."""
    try:
        with urllib.request.urlopen(f"http://{address}/", timeout=patience_s) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as said:
        with said:
            return said.code
    except OSError:
        return 0


def answered(copy: Copy, *, patience_s: float = LONGEST_S) -> None:
    """Wait until a server answers a new question; asked from the machine that it runs on.

    Raises:
        OSError: it does not.
    """
    at = (copy.address.replace("0.0.0.0", "127.0.0.1"), copy.port)
    if copy.kind == "dns":
        dns.query.udp(dns.message.make_query(copy.known, "A"), at[0], port=at[1], timeout=patience_s)
        return
    with contextlib.ExitStack() as open_ones:
        wire = open_ones.enter_context(socket.create_connection(at, timeout=patience_s))
        if copy.certificate:
            context = ssl.create_default_context(cafile=copy.certificate)
            context.check_hostname = False  # it is asked by its machine's own address
            wire = open_ones.enter_context(context.wrap_socket(wire))
        wire.sendall(b"GET / HTTP/1.1\r\n\r\n")
        if not wire.recv(1):
            raise ConnectionError(f"{copy.kind} closed without a word")
