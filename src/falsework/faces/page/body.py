"""Is the body of a request small enough, and does it come soon enough, to be worked on?"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any

from falsework.faces.page.refusing import Refusal, header

LARGEST_BODY = 4 * 1024 * 1024
"""Bytes of a body; no lab file that a person writes comes near it."""

SLOWEST_BODY_S = 20.0
"""Seconds until the whole body must be there."""

_MOST_DRAINED = (
    8 * LARGEST_BODY
)  # read and thrown away, so that the client hears the answer, not a broken pipe

Receive = Any  # an ASGI callable


class Gone(Exception):
    """The client hung up before the body was there."""


def announced(scope: Mapping[str, Any]) -> int | Refusal | None:
    """How many bytes a request says that it brings, None where it doesn't say; a refusal if it can't be right."""
    if header(scope, b"transfer-encoding") is not None:
        return None
    if not any(name == b"content-length" for name, _ in scope["headers"]):
        return 0
    given = header(scope, b"content-length")
    if given is None or not given.isascii() or not given.isdigit():
        return Refusal(status=400, what="the length of the body can't be read", mend="Send it again.")
    return int(given[:20])


async def whole(
    scope: Mapping[str, Any],
    receive: Receive,
    *,
    most: int = LARGEST_BODY,
    slowest_s: float = SLOWEST_BODY_S,
) -> bytes | Refusal:
    """Read the body of a request, counting as it comes.

    Args:
        scope: of the request.
        receive: gives its messages.
        most: bytes that are taken; never are more than these held.
        slowest_s: seconds until all of it must be there.

    Returns:
        The body, or why it isn't taken.

    Raises:
        Gone: the client hung up.
    """
    said = announced(scope)
    if isinstance(said, Refusal):
        return said
    pieces: list[bytes] = []
    size = 0
    try:
        async with asyncio.timeout(slowest_s):
            while True:
                message = await receive()
                if message["type"] != "http.request":
                    raise Gone
                piece = message.get("body", b"")
                size += len(piece)
                if size <= most:
                    pieces.append(piece)
                else:
                    pieces.clear()
                if not message.get("more_body", False):
                    break
                if size > _MOST_DRAINED or (said is not None and said > _MOST_DRAINED):
                    return _too_large(most)
    except TimeoutError:
        return Refusal(
            status=408,
            what=f"the body of the request was not there within {slowest_s:g} seconds",
            mend="Nothing was changed. Send it again.",
            headers=(("connection", "close"),),
        )
    return b"".join(pieces) if size <= most else _too_large(most)


def _too_large(most: int) -> Refusal:
    return Refusal(
        status=413,
        what=f"the body of the request is larger than {most:,} bytes",
        mend="Nothing was changed. Say equal things once under kinds, or edit the file with an editor of your own.",
        headers=(("connection", "close"),),
    )
