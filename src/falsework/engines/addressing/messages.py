"""Does the answer to a question for a name fit into one message?"""

from __future__ import annotations

LONGEST_MESSAGE = 512
"""Octets of a message over UDP that everybody takes (RFC 1035, section 2.3.4); longer ones are asked for again."""
_HEADER = 12
_ASKED = 4  # type and class of the question
_POINTER, _FIXED = 2, 10  # a name said before; type, class, time to live and length of a record
_OCTETS = {4: 4, 6: 16}


def answer_octets(name: str, count: int, version: int) -> int:
    """How long the answer is that tells all addresses of one version, and nothing else.

    A header, the question, and for each address a record whose name points to that of the question (RFC 1035,
    sections 4.1.1 to 4.1.4; RFC 3596, section 2.2).

    Args:
        name: in full, without its last dot.
        count: how many addresses.
        version: 4 or 6.
    """
    asked = sum(len(label) + 1 for label in name.split(".")) + 1 + _ASKED
    return _HEADER + asked + count * (_POINTER + _FIXED + _OCTETS[version])
