"""A question put once, for the yard's own tests."""

import urllib.error
import urllib.request


def asks(address: str, *, patience_s: float = 0.3) -> int:
    """The status of the page that a server gives, 0 if there is none."""
    try:
        with urllib.request.urlopen(f"http://{address}/", timeout=patience_s) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as said:
        with said:
            return said.code
    except OSError:
        return 0
