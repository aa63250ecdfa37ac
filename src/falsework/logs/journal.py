"""What does a record of a journal say, one JSON object on a line?"""

from __future__ import annotations

import json
from typing import Any

from falsework.logs.line import UNSAID
from falsework.logs.stamps import Stamps
from falsework.logs.syslog import Said, level

_TIMES = ("time", "timestamp", "@timestamp", "ts", "at")
_TEXTS = ("msg", "message", "text", "event")
_MOST = 16_384
_DEEPEST = 3
"""Lists in lists that are read; a field that was given several times as bytes has two."""


def record(text: str, stamps: Stamps, host: str = "") -> Said | None:
    """What a record says; None where it is none, or has no time.

    Values are texts; bytes that are no clean text come as a list of numbers, a field that was given several times as a
    list of such, one that was too long as null. Other lines of JSON are read too if a field of a usual name has a time.
    """
    try:
        return _said(json.loads(text), stamps, host)
    except (ValueError, RecursionError):
        return None


def _said(found: object, stamps: Stamps, host: str) -> Said | None:
    """What a record says.

    Raises:
        ValueError: its time is none.
        RecursionError: it is nested so deep that it can be read but not written again.
    """
    if not isinstance(found, dict):
        return None
    stamp = found.get("__REALTIME_TIMESTAMP")
    if stamp is None:
        return _other(found, stamps, host)
    at = int(_text(stamp))
    severity = _text(found.get("PRIORITY"))
    app = (
        _text(found.get("SYSLOG_IDENTIFIER"))
        or _text(found.get("_SYSTEMD_UNIT"))
        or _text(found.get("_COMM"))
    )
    # What the manager says of a unit is said of the unit.
    about = _text(found.get("UNIT"))
    return Said(
        at,
        _text(found.get("_HOSTNAME")) or host,
        about.removesuffix(".service") or app.removesuffix(".service"),
        int(severity) if severity in tuple("01234567") else UNSAID,
        _text(found.get("MESSAGE")) or "(no text)",
    )


def _other(found: dict[str, Any], stamps: Stamps, host: str) -> Said | None:
    at = None
    for key in _TIMES:
        value = found.get(key)
        if isinstance(value, str):
            at = stamps.iso(value)
        elif isinstance(value, int | float) and not isinstance(value, bool) and 1e8 < value < 1e11:
            at = (int(value * 1_000_000), 0)
        if at is not None:
            break
    if at is None:
        return None
    says = next((_text(found[key]) for key in _TEXTS if key in found), "") or json.dumps(found)
    name = next((_text(found[key]) for key in ("host", "hostname") if isinstance(found.get(key), str)), host)
    severity = next((level(_text(found[key])) for key in ("level", "severity") if key in found), UNSAID)
    app = next((_text(found[key]) for key in ("app", "service", "unit", "logger") if key in found), "")
    return Said(at[0], name, app, severity, says)


def _text(value: object, deep: int = _DEEPEST) -> str:
    """A value as text, whichever of its four shapes it has."""
    if isinstance(value, str):
        return value
    if value is None or isinstance(value, dict):
        return ""
    if isinstance(value, list):
        if not deep:
            return ""
        if value and all(
            isinstance(each, int) and not isinstance(each, bool) and 0 <= each < 256 for each in value
        ):
            return bytes(value[:_MOST]).decode("utf-8", "replace")
        return "; ".join(_text(each, deep - 1) for each in value[:8] if isinstance(each, str | list))
    return str(value)
