"""A copy of a service: a small real server that can be told to be slow."""

import asyncio
import contextlib
import mmap
import ssl
import struct
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

import dns.flags
import dns.message
import dns.rrset

GREETING = b"220 ready\r\n"
PAGE = b"HTTP/1.1 200 OK\r\nContent-Type: text/plain\r\nContent-Length: 5\r\nConnection: close\r\n\r\nfine\n"
BROKEN = PAGE.replace(b"200 OK", b"503 Not now")
Alive = Callable[[], Awaitable[bool]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """What a server is like.

    Attributes:
        kind: `tcp` (greets), `http`, `https`, `tls` (greets, behind a certificate), `dns`, or `forward`.
        address: the address it listens on.
        port: the port it listens on; for `dns` of UDP and TCP both.
        certificate: the file with certificate and key, where there is one.
        known: the name that is looked up, for `dns`.
        answer: the address that it gives for that name; or whom a `forward` passes everything on to.
        needs: groups of addresses and ports, of each of which one must serve or an answer is a failure; asked anew
            for every answer.
    """

    kind: str
    address: str
    port: int
    certificate: str = ""
    known: str = ""
    answer: str = ""
    needs: tuple[tuple[tuple[str, int], ...], ...] = ()


def delay_of(lazily: mmap.mmap) -> float:
    """How long every answer is held back, seconds: the injector writes it while the server runs."""
    return float(struct.unpack_from("d", lazily)[0])


async def serve(copy: Copy, lazily: mmap.mmap, ready: Callable[[], None]) -> None:
    """Serve until killed.

    Args:
        copy: what to be.
        lazily: eight bytes that say how long answers are held back.
        ready: called once when it listens.
    """

    async def alive() -> bool:
        """Whether this answer may be good, after the delay that is asked for."""
        if delay := delay_of(lazily):
            await asyncio.sleep(delay)
        serve = [await asyncio.gather(*(_reaches(*each) for each in group)) for group in copy.needs]
        return all(map(any, serve))

    loop = asyncio.get_running_loop()
    context = None
    if copy.certificate:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(copy.certificate)
    handlers = {"http": _page, "https": _page, "tcp": _greet, "tls": _greet, "dns": _looked_up}
    if copy.kind == "forward":

        async def talk(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            await _passed_on(copy.answer, alive, reader, writer)
    else:
        handle = handlers[copy.kind]

        async def talk(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            with contextlib.suppress(OSError, asyncio.IncompleteReadError):
                await handle(copy, alive, reader, writer)
            writer.close()

    if copy.kind == "dns":
        await loop.create_datagram_endpoint(lambda: _Names(copy, alive), local_addr=(copy.address, copy.port))
    server = await asyncio.start_server(
        talk, copy.address, copy.port, ssl=context, reuse_address=True, backlog=512
    )
    ready()
    async with server:
        await server.serve_forever()


async def _reaches(address: str, port: int) -> bool:
    """Whether another service answers with something, as a server that leans on it would find out."""
    try:
        async with asyncio.timeout(0.4):
            reader, writer = await asyncio.open_connection(address, port)
            try:
                writer.write(b"GET / HTTP/1.0\r\n\r\n")
                first = await reader.readline()
            finally:
                writer.close()
        return first.startswith((b"2", b"HTTP/1.1 2"))
    except (OSError, TimeoutError):
        return False


async def _page(copy: Copy, alive: Alive, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    await reader.readuntil(b"\r\n\r\n")
    writer.write(PAGE if await alive() else BROKEN)
    await writer.drain()


async def _greet(
    copy: Copy, alive: Alive, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
) -> None:
    writer.write(GREETING if await alive() else b"421 not now\r\n")
    await writer.drain()
    await reader.read(1024)


async def _looked_up(
    copy: Copy, alive: Alive, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
) -> None:
    (size,) = struct.unpack("!H", await reader.readexactly(2))
    asked = await reader.readexactly(size)
    said = _answer(copy, asked, good=await alive())
    writer.write(struct.pack("!H", len(said)) + said)
    await writer.drain()


def _answer(copy: Copy, asked: bytes, *, good: bool) -> bytes:
    query = dns.message.from_wire(asked)
    answer = dns.message.make_response(query)
    answer.flags |= dns.flags.AA
    if not good:
        answer.set_rcode(dns.rcode.SERVFAIL)
    elif query.question[0].name.to_text(omit_final_dot=True) == copy.known:
        answer.answer.append(dns.rrset.from_text(query.question[0].name, 5, "IN", "A", copy.answer))
    else:
        answer.set_rcode(dns.rcode.NXDOMAIN)
    return answer.to_wire()


class _Names(asyncio.DatagramProtocol):
    """Answers over UDP."""

    def __init__(self, copy: Copy, alive: Alive) -> None:
        self._copy, self._alive = copy, alive
        self._under_way: set[asyncio.Task[None]] = set()

    def connection_made(self, transport: asyncio.DatagramTransport) -> None:
        self._transport = transport

    def datagram_received(self, data: bytes, addr: tuple[str, int]) -> None:
        task = asyncio.get_running_loop().create_task(self._tell(data, addr))
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)

    async def _tell(self, data: bytes, addr: tuple[str, int]) -> None:
        self._transport.sendto(_answer(self._copy, data, good=await self._alive()), addr)


async def _passed_on(
    to: str, alive: Alive, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
) -> None:
    """Pass everything on, both ways; what is switched off or on is the one that passes on."""
    host, _, port = to.rpartition(":")
    try:
        await alive()
        far_reader, far_writer = await asyncio.open_connection(host, int(port))
    except OSError:
        writer.transport.abort()
        return
    await asyncio.gather(_copied(reader, far_writer), _copied(far_reader, writer))


async def _copied(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    with contextlib.suppress(OSError):
        while said := await reader.read(65536):
            writer.write(said)
            await writer.drain()
    writer.close()
