import pytest
from tests.stopwatch.asking import HOME, certificate, question, saying, served, told

from falsework.model.asks import Sort
from falsework.stopwatch import certificates

GOOD = b"HTTP/1.1 200 OK\r\nContent-Length: 4\r\n\r\nwell"


@pytest.fixture
def vouched(monkeypatch):
    """Has this machine vouch for a certificate, as it does for an owner's own authority that is installed."""

    def vouch(file):
        monkeypatch.setenv("SSL_CERT_FILE", str(file))
        certificates._vouched.cache_clear()

    yield vouch
    certificates._vouched.cache_clear()


@pytest.mark.parametrize(
    ("made", "wanted"),
    [
        ({}, ("YES", "")),
        ({"days": 3.5}, ("YES", "certificate ends in 3 days")),
        ({"days": 0.3}, ("YES", "certificate ends in 7 hours")),
        # Good for six days only: three of them left is no cause for alarm.
        ({"days": 3.5, "lives_days": 6}, ("YES", "")),
        ({"days": -2.5}, ("NO", "certificate is over, ended 2 days ago")),
        ({"days": 100, "lives_days": 50}, ("NO", "certificate is not valid yet, ends in 99 days")),
        ({"names": ["other.rock"]}, ("NO", "certificate is for other names, ends in 89 days")),
    ],
)
def test_a_certificate_that_is_vouched_for_is_judged_by_its_dates_and_names(tmp_path, vouched, made, wanted):
    """Its end is told before it comes, and once it is over or for others it is no good answer."""
    file, secret, _ = certificate(tmp_path, **made)
    vouched(file)
    with served(lambda connection: connection.recv(1), secret=secret) as port:
        assert told(question(Sort.TLS, port=port)) == wanted


def test_a_certificate_that_nobody_vouches_for_is_told_with_its_end(tmp_path):
    """It is no good answer, and when it ends is told all the same."""
    _, secret, _ = certificate(tmp_path)
    with served(lambda connection: connection.recv(1), secret=secret) as port:
        assert told(question(Sort.TLS, port=port)) == ("NO", "certificate not trusted, ends in 89 days")


def test_its_sum_makes_a_certificate_good_whoever_vouches_for_it(tmp_path):
    """An owner who writes down the sum needs no authority; any other certificate is no good answer."""
    _, secret, pin = certificate(tmp_path, names=["other.rock"])
    with served(saying(GOOD), secret=secret) as port:
        assert told(question(Sort.TLS, port=port, expects=f"sha256 {pin}")) == ("YES", "")
        assert told(question(Sort.HTTPS, port=port, about="/", expects=f"SHA-256 {pin.upper()}")) == (
            "YES",
            "",
        )
        other = f"sha256 {'0' * 64}"
        assert told(question(Sort.TLS, port=port, expects=other)) == (
            "NO",
            "another certificate, ends in 89 days",
        )


def test_a_page_in_secret_tells_of_its_certificate_too(tmp_path, vouched):
    """A good page over a certificate that soon ends is a good answer with a warning."""
    file, secret, _ = certificate(tmp_path, days=3.5)
    vouched(file)
    with served(saying(GOOD), secret=secret) as port:
        page = {"port": port, "about": "/"}
        assert told(question(Sort.HTTPS, **page, expects="well")) == ("YES", "certificate ends in 3 days")
        assert told(question(Sort.HTTPS, **page, expects="ill")) == ("NO", "the words are not in it")
        named = question(Sort.HTTPS, "localhost", **page, expects="well", every_s=0.05)
        assert told(named) == ("YES", "certificate ends in 3 days")


@pytest.mark.parametrize(
    ("answer", "wanted"),
    [
        (b"\x16\x03\x03\x40", ("NO", "no TLS: unexpected eof while reading")),
        (b"HTTP/1.1 400 No\r\n\r\n", ("NO", "no TLS: wrong version number")),
        (b"", ("NO", "no TLS: unexpected eof while reading")),
    ],
)
def test_what_is_no_handshake_is_no_good_answer(answer, wanted):
    """Half a record, another protocol and nothing at all are told as what they are."""
    with served(saying(answer)) as port:
        assert told(question(Sort.TLS, port=port)) == wanted


def test_half_a_handshake_is_silence():
    """Whoever begins to shake hands and stops is silent."""

    def speak(connection):
        connection.recv(65_536)
        connection.sendall(b"\x16\x03\x03\x40")
        connection.recv(1)

    with served(speak) as port:
        answer = told(question(Sort.TLS, HOME, port, patience_s=0.1))
    assert answer == ("SILENT", "connected, then nothing")
