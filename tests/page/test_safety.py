import asyncio
import contextlib
import http.client
import json
import re
import socket

import pytest
import uvicorn
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.page.conftest import KITCHEN
from tests.waiting import LONGEST_S

from falsework.errors import QuestionError
from falsework.faces.page import patience
from falsework.faces.page.body import LARGEST_BODY
from falsework.faces.page.safety import LARGEST_HEADERS, LONGEST_ADDRESS, Bound, guarded, is_loopback

HERE = Bound(host="127.0.0.1", port=8000, token="the-token")
OUTSIDE = Bound(host="192.0.2.7", port=8000, token="the-token")


def ask(bound, method="GET", path="/", *, query="", body=(), stuck=False, application=None, **headers):
    """Ask a guarded application: the status, the headers, the body, and what reached the application."""
    reached = []
    sent = []

    async def echo(scope, receive, send):
        got = b""
        more = True
        while more:
            message = await receive()
            got += message.get("body", b"")
            more = message.get("more_body", False)
        reached.append((scope, got))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"well"})

    given = {"host": "127.0.0.1:8000" if bound is HERE else "192.0.2.7:8000"}
    given |= {name.replace("_", "-"): value for name, value in headers.items()}
    scope = {
        "type": "http",
        "method": method,
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "headers": [(name.encode(), value.encode()) for name, value in given.items() if value is not None],
    }
    pieces = list(body)

    async def receive():
        if pieces:
            piece = pieces.pop(0)
            return {"type": "http.request", "body": piece, "more_body": bool(pieces) or stuck}
        if stuck:
            await asyncio.Event().wait()
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message):
        sent.append(message)

    asyncio.run(guarded(application or echo, bound)(scope, receive, send))
    if not sent:
        return 0, {}, b"", reached
    return (
        sent[0]["status"],
        {name.decode(): value.decode() for name, value in sent[0]["headers"]},
        b"".join(each.get("body", b"") for each in sent[1:]),
        reached,
    )


OWN = {"origin": "http://127.0.0.1:8000", "x_falsework": "the-token"}


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST:8000", "[::1]:8000", "localhost.:8000"]
)
def test_the_page_answers_under_the_names_of_this_machine(host):
    """Whatever a person types for this machine is answered."""
    assert ask(HERE, host=host)[0] == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example:8000",
        "127.0.0.1",
        "127.0.0.1:8001",
        "127.0.0.1.evil.example:8000",
        "localhost.evil.example:8000",
        "127.0.0.1:8000@evil.example",
        "evil.example#127.0.0.1:8000",
        "[::1",
        "",
        None,
    ],
)
def test_a_name_that_was_made_to_mean_this_machine_is_refused(host):
    """A site whose name leads here gets nothing: neither by a name, nor a port, nor without either."""
    status, _, body, reached = ask(HERE, host=host)
    assert status == 421
    assert not reached
    assert b"http://127.0.0.1:8000/" in body


@settings(deadline=None, max_examples=100)
@given(host=st.text(st.characters(min_codepoint=33, max_codepoint=126), max_size=30))
def test_no_other_name_is_taken_for_this_machine(host):
    """Of all names only the few that mean loopback are answered."""
    name = host.rpartition(":")[0].strip("[]")
    allowed = host.endswith(":8000") and is_loopback(name)
    assert allowed or ask(HERE, host=host)[0] == 421


@pytest.mark.parametrize(
    ("host", "said"),
    [
        *((name, True) for name in ("127.0.0.1", "127.9.9.9", "::1", "localhost", "LocalHost.")),
        *(
            (name, False)
            for name in ("0.0.0.0", "::", "192.0.2.7", "", "localhost.example", "::ffff:192.0.2.7")
        ),
    ],
)
def test_what_loopback_is(host, said):
    """Only addresses that nobody else can reach count as loopback."""
    assert is_loopback(host) is said


def test_elsewhere_every_request_needs_the_token():
    """Bound to another address the page shows nothing, not even that there is something, without the token."""
    for path in ("/", "/static/page.css", "/events", "/answers/check", "/nothing"):
        for cookie in (
            None,
            "falsework-8000=wrong",
            "falsework-8000=",
            "falsework-8001=the-token",
            "the-token",
        ):
            status, _, _, reached = ask(OUTSIDE, path=path, cookie=cookie)
            assert (status, reached) == (401, [])
    assert ask(OUTSIDE, cookie="other=1; falsework-8000=the-token")[0] == 200


def test_the_token_in_the_address_becomes_a_cookie_and_leaves_the_address():
    """Who comes with the token is sent on without it, with a cookie that no script reads and no site sends."""
    status, headers, _, reached = ask(OUTSIDE, path="/failures", query="out=a+b&token=the-token&at=10")
    assert (status, reached) == (303, [])
    assert headers["location"] == "/failures?out=a+b&at=10"
    assert headers["set-cookie"] == "falsework-8000=the-token; HttpOnly; SameSite=Strict; Path=/"
    assert ask(OUTSIDE, query="token=wrong")[0] == 401
    assert ask(OUTSIDE, query="token=the-token&token=the-token")[0] == 401
    assert ask(OUTSIDE, "POST", query="token=the-token", **OWN)[0] == 401


def test_a_link_on_another_site_lets_in_who_has_the_token_too():
    """There the browser would keep a strict cookie back from a redirect, so a page leads on instead."""
    status, headers, _, reached = ask(OUTSIDE, query="token=the-token&at=10", accept="text/html,*/*")
    assert (status, reached) == (200, [])
    assert headers["refresh"] == "0; url=/?at=10"
    assert "SameSite=Strict" in headers["set-cookie"]


@pytest.mark.parametrize("path", ["//evil.example/", "/\\evil.example", "///evil.example"])
def test_the_token_leads_to_no_other_machine(path):
    """Where one is sent on to is always on this machine."""
    _, headers, _, _ = ask(OUTSIDE, path=path, query="token=the-token")
    assert re.match(r"/[^/\\]", headers["location"])


def test_a_write_of_the_page_itself_goes_through_with_its_body_whole():
    """Token and origin of this page: the body arrives, whatever pieces it came in."""
    status, _, _, reached = ask(HERE, "POST", body=[b"one ", b"two"], content_length="7", **OWN)
    assert status == 200
    assert reached[0][1] == b"one two"


@pytest.mark.parametrize(
    "wrong",
    [
        {"x_falsework": None},
        {"x_falsework": ""},
        {"x_falsework": "the-toke"},
        {"x_falsework": "the-token2"},
        {"x_falsework": "ünlike"},
        {"origin": None},
        {"origin": "null"},
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:8001"},
        {"origin": "http://localhost:8000"},
        {"origin": "https://127.0.0.1:8000"},
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "same-site"},
        {"sec_fetch_site": "none"},
    ],
)
def test_a_write_from_anywhere_else_is_refused(wrong):
    """Without this run's token, or from any other origin, nothing is written."""
    status, _, body, reached = ask(HERE, "POST", body=[b"x"], content_length="1", **{**OWN, **wrong})
    assert (status, reached) == (403, [])
    assert b"Nothing was changed." in body


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "get", "<b>"])
def test_only_three_methods_are_known(method):
    """Whatever is not GET, HEAD or POST is refused, even from the page itself."""
    status, headers, body, reached = ask(HERE, method, **OWN)
    assert (status, reached) == (405, [])
    assert headers["allow"] == "GET, HEAD, POST"
    assert b"<b>" not in body


def test_another_sites_page_can_not_make_this_one_work():
    """Pictures, scripts and frames on other sites get nothing; a link that a person follows does."""
    assert ask(HERE, sec_fetch_site="cross-site", sec_fetch_mode="no-cors")[0] == 403
    assert ask(HERE, sec_fetch_site="same-site", sec_fetch_mode="cors")[0] == 403
    assert ask(HERE, sec_fetch_site="cross-site", sec_fetch_mode="navigate")[0] == 200
    assert ask(HERE, sec_fetch_site="same-origin", sec_fetch_mode="cors")[0] == 200


def test_a_body_as_large_as_may_be_is_taken_and_one_byte_more_is_not():
    """The bound holds for what was announced and for what came without being announced."""
    piece = b"x" * (LARGEST_BODY // 4)
    assert ask(HERE, "POST", body=[piece] * 4, content_length=str(LARGEST_BODY), **OWN)[0] == 200
    for more in ({"content_length": str(LARGEST_BODY + 1)}, {"transfer_encoding": "chunked"}):
        status, _, body, reached = ask(HERE, "POST", body=[*[piece] * 4, b"x"], **more, **OWN)
        assert (status, reached) == (413, [])
        assert b"4,194,304 bytes" in body


def test_an_endless_body_is_not_read_to_its_end():
    """Of a body that goes on and on a bounded part is read, and nothing of it kept."""
    status, _, _, reached = ask(
        HERE, "POST", body=[b"x" * LARGEST_BODY] * 30, stuck=True, transfer_encoding="chunked", **OWN
    )
    assert (status, reached) == (413, [])


def test_a_body_that_does_not_come_is_not_waited_for(monkeypatch):
    """A client that stops in the middle of its body is told so after a while."""
    from falsework.faces.page import body

    monkeypatch.setattr(body.whole, "__kwdefaults__", {"most": LARGEST_BODY, "slowest_s": 0.01})
    status, _, said, reached = ask(HERE, "POST", body=[b"one"], stuck=True, content_length="7", **OWN)
    assert (status, reached) == (408, [])
    assert b"0.01 seconds" in said


@pytest.mark.parametrize("length", ["-1", "1e3", "", "7, 7", "٣"])
def test_a_length_that_is_none_is_refused(length):
    """What can't be a length of a body is not guessed at."""
    assert ask(HERE, "POST", content_length=length, **OWN)[0] == 400
    assert ask(HERE, "GET", content_length=length)[0] == 400


def test_a_question_brings_no_body():
    """GET and HEAD with a body are refused."""
    assert ask(HERE, body=[b"x"], content_length="1")[0] == 400
    assert ask(HERE, body=[b"x"], transfer_encoding="chunked")[0] == 400
    assert ask(HERE, content_length="0")[0] == 200


def test_long_addresses_and_large_headers_are_refused():
    """Both have a bound, told with what to do."""
    assert ask(HERE, query="x" * (LONGEST_ADDRESS - 1))[0] == 200
    assert ask(HERE, query="x" * LONGEST_ADDRESS)[0] == 414
    assert ask(HERE, cookie="x" * LARGEST_HEADERS)[0] == 431


def test_every_answer_forbids_what_the_page_does_not_need():
    """Pages, refusals and errors carry the same headers; the nonce is another each time."""
    nonces = set()
    for answer in (ask(HERE), ask(HERE, host="evil.example"), ask(OUTSIDE), ask(HERE, application=_failing)):
        headers = answer[1]
        policy = dict(each.strip().split(" ", 1) for each in headers["content-security-policy"].split(";"))
        nonces.add(policy["style-src"])
        assert policy["default-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
        assert policy["script-src"] == policy["connect-src"] == policy["form-action"] == "'self'"
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cache-control"] == "no-store"
    assert len(nonces) == 4
    _, headers, _, reached = ask(HERE)
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert reached[0][0]["state"]["nonce"] in headers["content-security-policy"]


async def _failing(scope, receive, send):
    raise ZeroDivisionError("<script>secret</script>")


async def _asked_wrongly(scope, receive, send):
    raise QuestionError("no part is called '<b>'", "Name another.")


def test_an_error_is_told_without_a_trace_and_to_programs_as_json():
    """Neither a defect nor a wrong question shows how we are built; markup in it is escaped."""
    status, _, body, _ = ask(HERE, application=_failing)
    assert status == 500
    assert b"a defect of falsework, not of your lab: ZeroDivisionError" in body
    assert b"secret" not in body
    assert b"Traceback" not in body
    status, _, body, _ = ask(HERE, application=_asked_wrongly)
    assert status == 400
    assert b"no part is called &#x27;&lt;b&gt;&#x27;." in body.replace(b"No part", b"no part")
    status, headers, body, _ = ask(HERE, application=_asked_wrongly, accept="application/json")
    assert headers["content-type"] == "application/json"
    assert json.loads(body)["errors"][0]["what"] == "no part is called '<b>'"


def test_a_head_has_no_body():
    """A refusal of HEAD is its headers alone."""
    assert ask(HERE, "HEAD", host="evil.example")[2] == b""


def test_a_socket_that_is_no_page_is_closed():
    """There is no way in but plain requests."""
    sent = []

    async def send(message):
        sent.append(message)

    asyncio.run(guarded(_failing, HERE)({"type": "websocket", "headers": []}, None, send))
    assert sent == [{"type": "websocket.close", "code": 1008}]


OUTWARD = (
    "/static/../kept.py",
    "/static/%2e%2e/kept.py",
    "/static/..%2fkept.py",
    "/static/..%5ckept.py",
    "/static//etc/passwd",
    "/static/vendored/../../kept.py",
    "/../../../../etc/passwd",
    "/static/%00",
    "/static/%c0%ae%c0%ae/kept.py",
    "/file?file=../../../etc/passwd",
    "/file?file=/etc/passwd",
    "/file/text?file=/etc/passwd",
    "/file/text?file=../served-0/.errors",
    "/%",
    "/%ff%fe",
)
"""Addresses that would lead out, if they led anywhere."""


def test_who_connects_and_does_not_ask_is_hung_up_on(monkeypatch):
    """A connection that sends nothing, or half of a request, ends by itself; one that asked stays."""
    monkeypatch.setattr(patience, "SLOWEST_HEAD_S", 0.05)

    async def answer(scope, receive, send):
        await send({"type": "http.response.start", "status": 204, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    async def work():
        with socket.create_server(("127.0.0.1", 0)) as listening:
            port = listening.getsockname()[1]
            config = uvicorn.Config(answer, http=patience.Patient, lifespan="off", log_level="error")
            server = uvicorn.Server(config)
            serving = asyncio.ensure_future(server.serve([listening]))
            good = None
            while good is None:  # a machine that is held up may hang up on a good one too
                good = await asyncio.open_connection("127.0.0.1", port)
                good[1].write(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
                try:
                    await good[0].readuntil(b"204")
                except (asyncio.IncompleteReadError, ConnectionError):
                    good[1].close()
                    good = None
            silent, slow = [await asyncio.open_connection("127.0.0.1", port) for _ in range(2)]
            slow[1].write(b"GET / HTTP/1.1\r\nHost: a\r\nX-More: ")
            for reader, _ in (silent, slow):
                with contextlib.suppress(ConnectionError):
                    assert await reader.read() == b""
            await good[0].readuntil(b"\r\n\r\n")
            good[1].write(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
            await good[0].readuntil(b"204")  # still there
            for _, writer in (good, silent, slow):
                writer.close()
            server.should_exit = True
            await serving

    asyncio.run(asyncio.wait_for(work(), 300))


@pytest.mark.slow
class TestServed:
    """The same over the wire, of the command as people run it."""

    def test_it_is_bound_to_loopback_alone(self, page_of):
        """From any other address of this machine there is nothing."""
        served = page_of(KITCHEN)
        assert served.host.startswith("127.0.0.1:")
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect(("192.0.2.1", 9))  # sends nothing: only asks which address would be ours
            except OSError:
                return  # this machine has no other address
            other = probe.getsockname()[0]
        port = int(served.host.rpartition(":")[2])
        with socket.socket() as outside:
            outside.settimeout(5)
            assert other == "127.0.0.1" or outside.connect_ex((other, port)) != 0

    def test_elsewhere_only_with_the_token(self, page_of):
        """Listening everywhere the command prints the token, and nothing is told to who has it not."""
        served = page_of(KITCHEN, "--host", "0.0.0.0")
        token = served.url.partition("?token=")[2]
        port = served.host.rpartition(":")[2]
        served.url = f"http://127.0.0.1:{port}/?token={token}"
        assert len(token) >= 32
        for path in ("/", "/static/page.css", "/events", "/file", "/answers/check"):
            answer = served.get(path)
            assert answer.status == 401
            assert token not in answer.text
            assert "desk" not in answer.text
        first = served.get(f"/?token={token}")
        assert (first.status, first.headers["location"]) == (303, "/")
        assert served.get("/", Host="evil.example").status == 421
        cookie = first.headers["set-cookie"].partition(";")[0]
        answer = served.get("/", Cookie=cookie)
        assert answer.status == 200
        assert "desk-1" in answer.text

    def test_no_file_but_its_own_is_given_out(self, page_of):
        """No way of writing a path leads out of what the page is made of, or out of the lab."""
        served = page_of(KITCHEN)
        for path in OUTWARD:
            answer = served.get(path)
            assert 400 <= answer.status < 500, path
            assert b"root:" not in answer.body
            assert b"class Keeper" not in answer.body
            assert b"Traceback" not in answer.body

    def test_bodies_without_end_and_without_haste(self, page_of):
        """A body far too large is refused, and the page goes on."""
        served = page_of(KITCHEN)
        answer = served.post("/file/save", b"x" * (LARGEST_BODY + 1))
        assert answer.status == 413
        for body in (b"", b"{", b"[]", b"\xff\xfe", b"[" * 100_000, b'{"file": 1}', b"null"):
            assert served.post("/file/save", body, Content_Type="application/json").status == 400
            assert served.post("/jobs/stop", body, Content_Type="application/json").status == 400
        stuck = socket.create_connection(("127.0.0.1", int(served.host.rpartition(":")[2])))
        stuck.sendall(b"GET / HTTP/1.1\r\nHo")  # and then nothing more
        assert served.get("/").status == 200
        stuck.close()

    def test_writes_need_the_pages_own_proof(self, page_of):
        """Over the wire too a write without token or from another origin is refused."""
        served = page_of(KITCHEN)
        before = served.file.read_bytes()
        assert served.post("/file/save", b"{}", X_Falsework="wrong").status == 403
        assert served.post("/file/save", b"{}", Origin="http://evil.example").status == 403
        assert served.ask("POST", "/file/save", body=b"{}").status == 403
        assert served.file.read_bytes() == before

    def test_garbage_is_no_request(self, page_of):
        """What is not HTTP gets a short answer, and the page goes on."""
        served = page_of(KITCHEN)
        for garbage in (
            b"\x00" * 100,
            b"GET\r\n\r\n",
            b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
            b"x" * 200_000,
        ):
            with socket.create_connection(("127.0.0.1", int(served.host.rpartition(":")[2]))) as raw:
                raw.settimeout(LONGEST_S)
                try:
                    raw.sendall(garbage)
                    raw.shutdown(socket.SHUT_WR)
                    answer = raw.recv(4096)
                except OSError:
                    continue  # it hung up, which is an answer too
                assert answer == b"" or answer.startswith(b"HTTP/1.1 4")
        assert served.get("/").status == 200

    def test_two_host_headers_are_none(self, page_of):
        """A request that names two hosts is not believed either of them."""
        served = page_of(KITCHEN)
        connection = http.client.HTTPConnection(served.host, timeout=LONGEST_S)
        connection.putrequest("GET", "/", skip_host=True)
        connection.putheader("Host", served.host)
        connection.putheader("Host", "evil.example")
        connection.endheaders()
        assert connection.getresponse().status in (400, 421)
        connection.close()
