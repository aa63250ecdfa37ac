import contextlib
import socket
import struct
import threading

import dns.flags
import dns.message
import dns.rcode
import dns.rrset
import pytest
from tests.stopwatch.asking import HOME, closed_port, question, served, told
from tests.waiting import LONGEST_S

from falsework.model.asks import Sort

LONG = [f"10.9.{number}.1" for number in range(200)]


@contextlib.contextmanager
def going_on(work):
    """A thread that does it, and has come to its end when the block does."""
    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    try:
        yield
    finally:
        thread.join(LONGEST_S)


@contextlib.contextmanager
def name_server(*, records=(), kind="A", code=dns.rcode.NOERROR, forge=None, cut=False):
    """The port of a name server that answers every question so, over packets and, if they are cut, over TCP."""

    def answer(raw):
        asked = dns.message.from_wire(raw)
        said = dns.message.make_response(asked)
        said.set_rcode(code)
        if records:
            said.answer.append(dns.rrset.from_text(asked.question[0].name, 60, "IN", kind, *records))
        return said

    def speak(connection):
        (length,) = struct.unpack("!H", connection.recv(2, socket.MSG_WAITALL))
        said = answer(connection.recv(length, socket.MSG_WAITALL)).to_wire(max_size=65_535)
        connection.sendall(struct.pack("!H", len(said)) + said)

    def serve():
        while True:
            raw, asker = packets.recvfrom(65_535)
            if raw == b"end":
                return
            said = answer(raw)
            if forge is not None:
                packets.sendto(forge(said.to_wire()), asker)
            if cut:
                said.answer.clear()
                said.flags |= dns.flags.TC
            packets.sendto(said.to_wire(), asker)

    with served(speak) as port, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as packets:
        packets.bind((HOME, port))
        with going_on(serve):
            try:
                yield port
            finally:
                packets.sendto(b"end", (HOME, port))


def looked_up(port, *, expects="", record="A", **more):
    """What is told of a look-up there."""
    return told(question(Sort.DNS, port=port, about="files.rock", record=record, expects=expects, **more))


@pytest.mark.parametrize(
    ("server", "asks", "wanted"),
    [
        ({"records": ["10.0.0.7"]}, {}, ("YES", "")),
        ({"records": ["10.0.0.6", "10.0.0.7"]}, {"expects": "10.0.0.7"}, ("YES", "")),
        ({"records": ["10.0.0.70"]}, {"expects": "10.0.0.7"}, ("NO", "another answer: 10.0.0.70")),
        ({"records": ["fd00::7"], "kind": "AAAA"}, {"record": "AAAA", "expects": "fd00:0:0::7"}, ("YES", "")),
        ({"records": ['"Hello there"'], "kind": "TXT"}, {"record": "TXT", "expects": "hello"}, ("YES", "")),
        ({}, {}, ("NO", "no such record")),
        ({"code": dns.rcode.NXDOMAIN}, {}, ("NO", "no such name")),
        ({"code": dns.rcode.NXDOMAIN}, {"expects": "NXDOMAIN"}, ("YES", "")),
        ({"records": ["10.0.0.7"]}, {"expects": "NXDOMAIN"}, ("NO", "code NOERROR")),
        ({"code": dns.rcode.SERVFAIL}, {}, ("NO", "the server failed")),
        ({"code": dns.rcode.REFUSED}, {}, ("NO", "the server refuses")),
        ({"records": LONG, "cut": True}, {"expects": LONG[-1]}, ("YES", "")),
    ],
)
def test_an_answer_is_judged_by_its_code_and_records(server, asks, wanted):
    """Code, type of record and what is in it decide, over packets or over TCP."""
    with name_server(**server) as port:
        assert looked_up(port, **asks) == wanted


@pytest.mark.parametrize(
    "forge",
    [
        lambda raw: bytes([raw[0] ^ 1]) + raw[1:],  # an answer to another question
        lambda raw: raw[:2] + b"\x00" + raw[3:],  # a question
        lambda raw: raw[:2] + b"nonsense",
        lambda raw: raw[:-1],
        lambda raw: raw.replace(b"\x05files", b"\x05filez", 1),
        lambda raw: b"",
    ],
)
def test_what_answers_another_question_is_passed_over(forge):
    """Forged, late and broken answers before the true one change nothing."""
    with name_server(records=["10.0.0.7"], forge=forge) as port:
        assert looked_up(port, expects="10.0.0.7") == ("YES", "")


def test_only_forged_answers_are_silence():
    """An answer with the wrong number is none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as packets:
        packets.bind((HOME, 0))

        def serve():
            while True:
                raw, asker = packets.recvfrom(65_535)
                if raw == b"end":
                    return
                said = dns.message.make_response(dns.message.from_wire(raw))
                said.id ^= 1
                packets.sendto(said.to_wire(), asker)

        with going_on(serve):
            try:
                assert looked_up(packets.getsockname()[1], patience_s=0.1) == ("SILENT", "")
            finally:
                packets.sendto(b"end", packets.getsockname())


def test_nobody_at_the_port_is_refused():
    """Where no name server runs the system says so."""
    assert looked_up(closed_port()) == ("NO", "refused")
