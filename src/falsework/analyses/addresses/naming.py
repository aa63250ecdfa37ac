"""How is a name made whole?"""

from __future__ import annotations

HOME = "home.arpa"
"""What names end in where nobody says: kept for names at home (RFC 8375, section 3)."""


def full(*pieces: str) -> str:
    """Pieces as one name, the nearest first."""
    return ".".join(piece for piece in pieces if piece)


def under(name: str, domain: str) -> tuple[str, bool]:
    """A name as its owner writes it, as a full one, and whether it ends in the domain.

    `files` and `files.house` get the domain; `files.rock` under `rock.home.arpa` says a piece of it and gets the
    rest; a name with a dot at its end is whole already.
    """
    low = name.strip().lower()
    if low.endswith("."):
        whole = low.rstrip(".")
        return whole, whole == domain or whole.endswith(f".{domain}")
    pieces, ends = low.split("."), domain.split(".")
    for shared in range(min(len(pieces) - 1, len(ends)), 0, -1):
        if pieces[-shared:] == ends[:shared]:
            return ".".join((*pieces[:-shared], *ends)), True
    return f"{low}.{domain}", True
