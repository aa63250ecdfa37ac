"""How long may the tests take? FALSEWORK_LONG=1 asks for every proof at its full length, which takes hours."""

import os

LONG = bool(os.environ.get("FALSEWORK_LONG"))


def many(usual: int, *, at_length: int) -> int:
    """How many cases are tried."""
    return at_length if LONG else usual
