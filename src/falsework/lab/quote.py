"""How is a value written so that it is read back as the same value?"""

import re
from collections.abc import Mapping, Sequence

Value = str | Sequence["Value"] | Mapping[str, "Value"]
"""What can be put into a lab file: text, a list, or keys with values."""

LONGEST_KEY = 120

# What may stand in a line as it is: no control signs, no line breaks of any alphabet, no byte order mark.
_ODD = r"[^\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
_BEGINS = re.compile(r"[^\W_]|[_./(+<=°]|-[^\W_]")
_UNSAFE = re.compile(rf": |:$| #|^\.\.\.|{_ODD}")
_FLOW_UNSAFE = re.compile(r"[,\[\]{}?]")
_UNSAFE_IN_SINGLE = re.compile(_ODD)
_TO_ESCAPE = re.compile(rf"[\\\"]|{_ODD}")
_NAMED = {"\n": "\\n", "\t": "\\t", "\r": "\\r", "\\": "\\\\", '"': '\\"'}


def written(value: Value, *, in_flow: bool) -> str:
    """Return a value on one line; lists and keys in brackets and braces.

    Args:
        value: text is quoted only where it must be.
        in_flow: whether it will stand between brackets or braces, where more must be quoted.
    """
    if isinstance(value, str):
        return _scalar(value, in_flow=in_flow)
    if isinstance(value, Mapping):
        pairs = (f"{written_key(k)}: {written(v, in_flow=True)}" for k, v in value.items())
        return "{" + ", ".join(pairs) + "}"
    return "[" + ", ".join(written(item, in_flow=True) for item in value) + "]"


def written_key(key: str) -> str:
    """Return a key, quoted where it must be; a colon within one is quoted for the reader's sake."""
    return _quoted(key) if ":" in key or key == "<<" else _scalar(key, in_flow=True)


def _scalar(text: str, *, in_flow: bool) -> str:
    plain = (
        text == text.strip()
        and _BEGINS.match(text)
        and not _UNSAFE.search(text)
        and not (in_flow and _FLOW_UNSAFE.search(text))
    )
    return text if plain else _quoted(text)


def _quoted(text: str) -> str:
    if _UNSAFE_IN_SINGLE.search(text):
        return '"' + _TO_ESCAPE.sub(_escaped, text) + '"'
    return "'" + text.replace("'", "''") + "'"


def _escaped(found: re.Match[str]) -> str:
    sign = found[0]
    if sign in _NAMED:
        return _NAMED[sign]
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
