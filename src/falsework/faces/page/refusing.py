"""How does the page say that it won't answer, to people and to programs?"""

from __future__ import annotations

import html
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from falsework.errors import FalseworkError, QuestionError
from falsework.faces.errors import error_answer

Send = Any  # an ASGI callable; its type says nothing that helps here
Scope = Mapping[str, Any]

COMMAND = "look"
"""The command whose errors these are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why a request gets no answer.

    Attributes:
        status: of HTTP.
        what: what is wrong, without a full stop.
        mend: how to mend it, as whole sentences.
        headers: further headers of the answer.
    """

    status: int
    what: str
    mend: str
    headers: tuple[tuple[str, str], ...] = ()


def header(scope: Scope, name: bytes) -> str | None:
    """A header of a request, or None; where it was given twice, None too: nobody honest does."""
    found = [value for key, value in scope["headers"] if key == name]
    return found[0].decode("latin-1") if len(found) == 1 else None


def wants_json(scope: Scope) -> bool:
    """Whether whoever asks is a program that reads JSON."""
    path = str(scope.get("path", ""))
    accepts = header(scope, b"accept") or ""
    kind = header(scope, b"content-type") or ""
    if path.startswith("/answers/") or kind.startswith("application/json"):
        return True
    return "application/json" in accepts and "text/html" not in accepts


def answer_of(scope: Scope, refusal: Refusal) -> tuple[bytes, str]:
    """The body of a refusal, and its media type."""
    if wants_json(scope):
        error = QuestionError(refusal.what, refusal.mend)
        return (json.dumps(error_answer(error, command=COMMAND)) + "\n").encode(), "application/json"
    what, mend = html.escape(refusal.what), html.escape(refusal.mend)
    # Who may not come in at all could not fetch what the page is set with either.
    shut = refusal.status in (401, 421)
    styles = (
        ""
        if shut
        else '<link rel="stylesheet" href="/ink.css"><link rel="stylesheet" href="/static/page.css">'
    )
    on = "" if shut else '<p><a href="/">To the elevation</a></p>'
    text = (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{what}</title>'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">{styles}'
        '<link rel="icon" href="data:,"></head><body>'
        f'<main id="sheet" tabindex="-1"><h1>{what[:1].upper()}{what[1:]}.</h1><p>{mend}</p>{on}</main>'
        "</body></html>\n"
    )
    return text.encode(), "text/html; charset=utf-8"


async def refuse(scope: Scope, send: Send, refusal: Refusal) -> None:
    """Answer with a refusal."""
    body, kind = answer_of(scope, refusal)
    headers = [("content-type", kind), ("content-length", str(len(body))), *refusal.headers]
    await send({"type": "http.response.start", "status": refusal.status, "headers": raw(headers)})
    empty = scope.get("method") == "HEAD"
    await send({"type": "http.response.body", "body": b"" if empty else body})


def raw(headers: Iterable[tuple[str, str]]) -> list[tuple[bytes, bytes]]:
    """Headers as ASGI wants them."""
    return [(name.encode("latin-1"), value.encode("latin-1")) for name, value in headers]


def refusal_of(error: Exception) -> Refusal:
    """What is said when an answer could not be made."""
    if isinstance(error, HTTPException):
        what, mend = _OF_STATUS.get(error.status_code, (str(error.detail), ""))
        return Refusal(status=error.status_code, what=what, mend=mend)
    if isinstance(error, FalseworkError):
        return Refusal(status=400, what=getattr(error, "what", str(error)), mend=getattr(error, "mend", ""))
    return Refusal(
        status=500,
        what=f"this is a defect of falsework, not of your lab: {type(error).__name__}",
        mend="Please report it with the address above, and the lab file if you may share it.",
    )


def answered(request: Request, error: Exception) -> Response:
    """The same as Starlette's handler of errors."""
    refusal = refusal_of(error)
    body, kind = answer_of(request.scope, refusal)
    return Response(body, status_code=refusal.status, media_type=kind)


HANDLERS: Mapping[Any, Any] = {FalseworkError: answered, HTTPException: answered, Exception: answered}
"""For Starlette's `exception_handlers`."""

_OF_STATUS = {
    404: ("there is nothing at this address", "The list of sheets is at / and at the top of each."),
    405: ("this address is not asked in that way", "Read by GET, write by POST."),
}
