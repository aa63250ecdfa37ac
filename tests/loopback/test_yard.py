"""The yard itself: it must do what it notes, or nothing measured against it means anything."""

import json
import os
import socket
import ssl
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import dns.message
import dns.query
import pytest
from tests.loopback.asking import asks
from tests.loopback.pulse import now_s
from tests.loopback.yard import ROOT, Yard, certificate, yard
from tests.waiting import LONGEST_S

SILENT_S = 0.3
"""So long who says nothing at all is listened to."""


@pytest.mark.slow
def test_servers_are_killed_frozen_and_slowed_at_the_noted_moments() -> None:
    """Each kind of fault shows from the outside, ends as it is told to, and lies between the moments noted."""
    with yard() as made:
        (port,) = made.free_ports(1)
        at = f"127.0.0.7:{port}"
        made.do("start", "page", kind="http", address="127.0.0.7", port=port)
        assert asks(at) == 200
        begun_s = now_s()
        made.do("kill", "page")
        assert asks(at) == 0
        made.do("restart", "page")
        assert asks(at) == 200
        made.do("freeze", "page")
        assert asks(at, patience_s=SILENT_S) == 0
        made.do("thaw", "page")
        assert asks(at) == 200
        made.do("slow", "page", by_s=600.0)
        assert asks(at, patience_s=SILENT_S) == 0
        made.do("slow", "page")
        assert asks(at) == 200
        moments = [at_s for done in made.done[1:] for at_s in (done.begun_s, done.done_s)]
        all_s = [begun_s, *moments, now_s()]
        assert all_s == sorted(all_s)


def test_a_server_fails_without_what_it_needs_and_is_reached_through_a_forward() -> None:
    """A page that needs another is bad while that is away; what forwards can be pointed at another copy."""
    with yard() as made:
        first, second, front = made.free_ports(3)
        made.do("start", "below", kind="tcp", address="127.0.0.8", port=first)
        needs = [[["127.0.0.8", first], ["127.0.0.8", second]]]
        made.do("start", "page", kind="http", address="127.0.0.9", port=second, needs=needs)
        made.do(
            "start", "front", kind="forward", address="127.0.0.1", port=front, answer=f"127.0.0.9:{second}"
        )
        assert asks(f"127.0.0.1:{front}") == 200
        made.do("kill", "below")
        assert asks(f"127.0.0.1:{front}") == 503
        made.do("start", "other", kind="http", address="127.0.0.10", port=second)
        made.do("restart", "front", answer=f"127.0.0.10:{second}")
        assert asks(f"127.0.0.1:{front}") == 200


def test_names_and_certificates_are_real(tmp_path: Path) -> None:
    """The name server answers for the name it knows and no other; the certificate is the one made at hand."""
    pem = certificate(tmp_path / "front.pem")
    with yard() as made:
        names, page = made.free_ports(2)
        made.do(
            "start", "names", kind="dns", address="127.0.0.1", port=names, known="a.rock", answer="10.9.0.7"
        )
        made.do("start", "page", kind="https", address="127.0.0.1", port=page, certificate=str(pem))
        for name, told in (("a.rock", ["10.9.0.7"]), ("b.rock", [])):
            said = dns.query.udp(
                dns.message.make_query(name, "A"), "127.0.0.1", port=names, timeout=LONGEST_S
            )
            assert [each.to_text() for every in said.answer for each in every] == told
        context = ssl.create_default_context(cafile=str(pem))
        with (
            socket.create_connection(("127.0.0.1", page), timeout=LONGEST_S) as bare,
            context.wrap_socket(bare, server_hostname="front.rock") as wrapped,
        ):
            assert wrapped.getpeercert()


@pytest.mark.slow
def test_machines_are_cut_off_and_an_address_moves() -> None:
    """A machine that is cut off answers nothing until it is joined again; a floating address answers where it is."""
    with yard(walled=True) as made:
        made.do("switch", "s")
        made.do("here", "s", address="10.9.0.1/24")
        for machine, last in (("a", 2), ("b", 3)):
            made.do("machine", machine, switch="s", address=f"10.9.0.{last}/24")
        made.do("start", "page-a", machine="a", kind="http", address="0.0.0.0", port=80)
        made.do("start", "page-b", machine="b", kind="http", address="0.0.0.0", port=81)

        def all_of(*addresses: str, silent: Sequence[str] = ()) -> list[int]:
            patience = {each: SILENT_S if each in silent else LONGEST_S for each in addresses}
            look = (
                "from tests.loopback.asking import asks; "
                f"print([asks(each, patience_s=patience_s) for each, patience_s in {patience!r}.items()])"
            )
            words = made.command(sys.executable, "-c", look)
            said = subprocess.run(words, capture_output=True, text=True, check=True, cwd=ROOT)
            return list(json.loads(said.stdout))

        made.do("add_address", "a", address="10.9.0.9/24")
        assert all_of("10.9.0.2", "10.9.0.3:81", "10.9.0.9", "10.9.0.9:81") == [200, 200, 200, 0]
        made.do("cut", "a")
        made.do("drop_address", "a", address="10.9.0.9/24")
        made.do("add_address", "b", address="10.9.0.9/24")
        away = ("10.9.0.2", "10.9.0.9")
        assert all_of("10.9.0.2", "10.9.0.3:81", "10.9.0.9", "10.9.0.9:81", silent=away) == [0, 200, 0, 200]
        made.do("join", "a", switch="s")
        assert all_of("10.9.0.2", "10.9.0.3:81") == [200, 200]


def test_nothing_is_left_behind_by_a_killed_test() -> None:
    """When whoever made a yard is killed, every server in it is gone as well."""
    text = (
        "import os, sys\n"
        "from tests.loopback.yard import Yard\n"
        "yard = Yard().__enter__()\n"
        "(port,) = yard.free_ports(1)\n"
        "yard.do('start', 'page', kind='http', address='127.0.0.11', port=port)\n"
        "yard.do('freeze', 'page')\n"
        "print(port, flush=True)\n"
        "os.kill(os.getpid(), 9)\n"
    )
    done = subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == -9
    # The listening socket goes with the last process that has it; the output ended with the last of them too.
    with socket.socket() as again:
        again.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        again.bind(("127.0.0.11", int(done.stdout)))
        again.listen()


def test_a_request_that_fails_is_an_error_of_the_test() -> None:
    """What could not be done is never taken for done."""
    with yard() as made:
        with pytest.raises(RuntimeError, match="nobody"):
            made.do("kill", "nobody")
        assert not made.done
    with Yard() as gone:
        os.kill(gone.pid, 9)
        with pytest.raises(RuntimeError, match="gone"):
            gone.do("look")
