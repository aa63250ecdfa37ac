"""What tells one state of a lab's files from any other?"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping


def digest_of(files: Mapping[str, str]) -> str:
    """SHA-256 over names and texts, in hexadecimal.

    Args:
        files: text by name.
    """
    found = hashlib.sha256()
    for name, text in sorted(files.items()):
        for piece in (name, text):
            raw = piece.encode("utf-8", "surrogatepass")
            found.update(len(raw).to_bytes(8, "big") + raw)
    return found.hexdigest()
