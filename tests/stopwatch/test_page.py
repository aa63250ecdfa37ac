import pytest
from tests.stopwatch.asking import question, saying, served, told

from falsework.model.asks import Sort

GOOD = b"HTTP/1.1 200 OK\r\nContent-Length: 12\r\n\r\nAll is Well."


def page(answer, *, expects="", **more):
    """What is told of a page that is answered so."""
    with served(saying(answer)) as port:
        return told(question(Sort.HTTP, port=port, about="/", expects=expects, **more))


@pytest.mark.parametrize(
    ("answer", "expects", "wanted"),
    [
        (GOOD, "", ("YES", "")),
        (GOOD, "all is well", ("YES", "")),
        (GOOD, "ready", ("NO", "the words are not in it")),
        (GOOD, "status 200", ("YES", "")),
        (GOOD, "status 204", ("NO", "status 200")),
        (b"HTTP/1.1 301 Moved\r\nLocation: /x\r\nContent-Length: 0\r\n\r\n", "", ("YES", "")),
        (b"HTTP/1.1 500 Oh\r\nContent-Length: 0\r\n\r\n", "", ("NO", "status 500")),
        (b"HTTP/1.1 500 Oh\r\nContent-Length: 0\r\n\r\n", "status 500", ("YES", "")),
        (b"HTTP/1.1 100 Go on\r\n\r\n" + GOOD, "", ("YES", "")),
        (b"HTTP/1.0 200 OK\r\n\r\nuntil the end", "the end", ("YES", "")),
        (b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n4\r\nwell\r\n0\r\n\r\n", "well", ("YES", "")),
        (b"HTTP/1.1 200 OK\r\nContent-Length: 99\r\n\r\nwell", "", ("NO", "cut off")),
        (b"SSH-2.0-hello\r\n", "", ("NO", "an answer that is no HTTP")),
        (b"", "", ("NO", "closed without an answer")),
        (b"HTTP/1.1 200 OK\r\nX: " + b"a" * 100_000, "", ("NO", "a broken answer")),
        (b"HTTP/1.1 100 Go on\r\n\r\n" * 20_000, "", ("NO", "a beginning without an end")),
        (b"HTTP/1.1 200 OK\r\n\r\n" + b"a" * 10_000_000, "", ("YES", "")),
        (b"HTTP/1.1 200 OK\r\n\r\n" + b"a" * 10_000_000, "words", ("NO", "the words are not in it")),
        (b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", "", ("NO", "a broken answer")),
    ],
    ids=lambda value: str(value[:40]),
)
def test_a_page_is_judged_by_status_and_words(answer, expects, wanted):
    """Status, words and form of an answer decide; what is endless is cut, and what is broken is no answer."""
    assert page(answer, expects=expects) == wanted


def test_a_server_that_says_nothing_is_silent():
    """A connection that stands and an answer that does not come is silence, and the words say how far it came."""
    with served(lambda connection: connection.recv(65_536) and connection.recv(1)) as port:
        answer = told(question(Sort.HTTP, port=port, about="/", patience_s=0.1))
    assert answer == ("SILENT", "connected, then nothing")


def test_what_is_asked_for_is_what_the_lab_file_says():
    """Host, port, path and query are asked for as they are written."""
    heard = []

    def speak(connection):
        heard.append(connection.recv(65_536))
        connection.sendall(GOOD)

    with served(speak) as port:
        told(question(Sort.HTTP, port=port, about="/a/b?c=d"))
    assert heard[0].startswith(b"GET /a/b?c=d HTTP/1.1\r\n")
    assert f"\r\nHost: 127.0.0.1:{port}\r\n".encode() in heard[0]
