"""Are records of a journal read, in all four shapes of a value?"""

import json

import pytest

from falsework.logs.forms import said
from falsework.logs.line import UNSAID
from falsework.logs.stamps import Stamps

PLAIN = {
    "__REALTIME_TIMESTAMP": "1772337906250000",
    "_HOSTNAME": "desk-1",
    "SYSLOG_IDENTIFIER": "mailer",
    "PRIORITY": "3",
    "MESSAGE": "queue is full",
}


def read(**changed):
    """What a record says, some of its fields changed."""
    return said(json.dumps({**PLAIN, **changed}).encode(), Stamps(), "file")


def test_a_record():
    """Time in microseconds, machine, who wrote it, severity and text."""
    assert read()[:5] == (1_772_337_906_250_000, "desk-1", "mailer", 3, "queue is full")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ([*"schön\x1b".encode(), 255], "schön\x1b\ufffd"),
        (["one", "two"], "one; two"),
        ([[111, 110, 101], "two"], "one; two"),
        (None, "(no text)"),
        ("", "(no text)"),
        ([], "(no text)"),
    ],
)
def test_a_text_in_each_of_its_shapes(value, text):
    """Bytes as numbers, several values, one that was too long, and nothing."""
    assert read(MESSAGE=value).text == text


def test_what_is_said_of_a_unit_is_of_the_unit():
    """The manager's own lines name the unit they are about; the ending of a service is left out."""
    assert read(SYSLOG_IDENTIFIER="manager", UNIT="mail.service").app == "mail"
    assert read(SYSLOG_IDENTIFIER=None, _SYSTEMD_UNIT="mail.service").app == "mail"


def test_odd_fields_do_no_harm():
    """A severity that is none, a machine that is not said."""
    found = read(PRIORITY="9", _HOSTNAME=None)
    assert (found.severity, found.host) == (UNSAID, "file")


def test_what_is_no_record_is_no_line():
    """A time that is none, another JSON value, broken JSON, deep nesting."""
    assert read(__REALTIME_TIMESTAMP="soon") is None
    deep = b"[" * 500 + b"]" * 500
    assert (
        said(b'{"__REALTIME_TIMESTAMP": "1", "MESSAGE": ' + deep + b"}", Stamps(), "file").text == "(no text)"
    )
    for text in (b"{}", b"{", b'{"a": ' + b"[" * 5000, b'{"__REALTIME_TIMESTAMP": {}}'):
        assert said(text, Stamps(), "file") is None


def test_other_records_with_a_time():
    """Fields of usual names are understood."""
    found = said(b'{"ts": 1772337906.5, "level": "error", "msg": "no", "logger": "a"}', Stamps(), "file")
    assert found[:5] == (1_772_337_906_500_000, "file", "a", 3, "no")
    found = said(b'{"time": "2026-03-01T04:05:06Z", "message": "yes", "host": "h"}', Stamps(), "file")
    assert found[:5] == (1_772_337_906_000_000, "h", "", UNSAID, "yes")
