"""How does a sheet show what takes long to work out: how far it is, what was known before, and the result?"""

from __future__ import annotations

import asyncio
import contextlib
import importlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from falsework.errors import QuestionError
from falsework.faces.page.child import Tell, Work
from falsework.faces.page.jobs import State
from falsework.faces.page.made import Made
from falsework.faces.page.page import Page, page_of

PATIENCE_S = 0.35
"""So long a sheet waits for its result before it shows how far the work is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a sheet shows of one job.

    Attributes:
        key: of the job, to stop it.
        going: whether it is still going on, or waits for its turn.
        what: is being done, "" where nobody has told.
        done: steps behind it.
        of: steps that there are.
        since: when it began; None while it waits.
        html: the result, or the one before; empty where there is none.
        before: when the result that is shown was worked out, if that was from an earlier state of the file.
        failed: whether it tells why there is none.
        files: names of what can be taken home.
    """

    key: str
    going: bool
    what: str
    done: int
    of: int
    since: datetime | None
    html: Markup
    before: datetime | None
    failed: bool
    files: frozenset[str]


def job(module: str, name: str = "work", /, **asked: Any) -> Work:  # noqa: ANN401  # whatever the work takes
    """A job that loads what it needs in its own process, so that this one stays light.

    Args:
        module: of the page, where the work is.
        name: of the function.
        asked: handed to it besides what every job gets.
    """
    return partial(_called, module, name, asked)


def _called(
    module: str, name: str, asked: Mapping[str, Any], path: str, digest: str, out: tuple[str, ...], tell: Tell
) -> Made:
    tell("loading what is needed", 0, 1)
    work = getattr(importlib.import_module(f"falsework.faces.page.{module}"), name)
    made: Made = work(path, digest, out, tell, **asked)
    return made


def _without(beforehand: Iterable[str], work: Work) -> Work:
    """The same job, which knows what was out before anybody pulled a plug."""
    names = frozenset(beforehand)
    return partial(_called_without, names, work) if names else work


def _called_without(
    names: frozenset[str], work: Work, path: str, digest: str, out: tuple[str, ...], tell: Tell
) -> Made:
    # Only here, in the job: it loads much that the page itself needs later or never.
    from falsework.faces.page.fragments import BEFOREHAND

    BEFOREHAND.set(names)
    return work(path, digest, out, tell)


async def shown(
    request: Request, name: str, work: Work, *, out: Iterable[str] = (), begin: bool = True
) -> Shown | None:
    """See to it that a job is done, and show what there is of it.

    Args:
        request: of the sheet.
        name: of the job and its question, the command first.
        work: the job.
        out: parts that are out.
        begin: whether to begin it, if nobody has.

    Returns:
        What there is; None where there is nothing yet and it is not to be begun, or no lab.
    """
    page = page_of(request)
    if page.keeper.good is None:
        return None
    asked, work = page.asked(name, out=out), _without(page.keeper.out, work)
    state = page.jobs.state(asked)
    if state.stage == "new":
        if not begin:
            return None
        sheet = request.url.path
        state = page.jobs.ask(asked, work, done=lambda made: _tell(page, sheet, asked.key))
    if state.made is None:
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(page.jobs.wait(asked, work), PATIENCE_S)
        state = page.jobs.state(asked)
    return _shown(state)


def _tell(page: Page, sheet: str, key: str) -> None:
    page.hub.publish("made", {"sheet": sheet, "key": key}, kind=f"made {key}")


def _shown(state: State) -> Shown:
    made = state.made or state.older
    return Shown(
        key=state.asked.key,
        going=state.made is None,
        what=state.what,
        done=state.done,
        of=state.of,
        since=state.since,
        html=Markup(made.html) if made is not None else Markup(""),
        before=state.older_at if state.made is None and state.older is not None else None,
        failed=made is not None and made.failed,
        files=frozenset(made.files) if made is not None else frozenset(),
    )


async def taken(request: Request, name: str, work: Work, file: str, *, out: Iterable[str] = ()) -> Response:
    """What a job leaves to take home; the answer waits until it is there.

    Raises:
        QuestionError: the job failed, or leaves no such file.
    """
    page = page_of(request)
    if page.keeper.good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    made = await page.jobs.wait(page.asked(name, out=out), _without(page.keeper.out, work))
    if made.failed:
        raise QuestionError(_why(made), "Look at the sheet, and try again.")
    body = made.files.get(file)
    if body is None:
        raise QuestionError(f"there is no '{file}' to take home", "The sheet lists what there is.")
    return Response(
        body,
        media_type=_KINDS.get(file.rpartition(".")[2], "application/octet-stream"),
        headers={
            "Content-Disposition": f'attachment; filename="{_plain(file)}"',
            "Cache-Control": "no-store",
        },
    )


async def told(request: Request, name: str, work: Work, command: str, *, out: Iterable[str] = ()) -> Response:
    """The answer of a command, from a job that is begun if need be: 202 while it is still being worked out.

    Raises:
        QuestionError: the lab can't be read.
    """
    page = page_of(request)
    if page.keeper.good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    asked, work = page.asked(name, out=out), _without(page.keeper.out, work)
    state = page.jobs.ask(asked, work)
    if state.made is None:
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(page.jobs.wait(asked, work), PATIENCE_S)
        state = page.jobs.state(asked)
    if state.made is None:
        return JSONResponse({"working": command}, status_code=202, headers={"Retry-After": "1"})
    found = state.made.answers.get(command) or next(iter(state.made.answers.values()))
    failed = isinstance(found, Mapping) and "errors" in found
    return JSONResponse(found, status_code=400 if state.made.failed or failed else 200)


def _why(made: Made) -> str:
    for answer in made.answers.values():
        errors = answer.get("errors") if isinstance(answer, Mapping) else None
        if errors:
            return str(errors[0].get("what", "it could not be made"))
    return "it could not be made"


def _plain(name: str) -> str:
    """A file's name as a header may have it."""
    return "".join(sign if sign.isascii() and (sign.isalnum() or sign in "._-") else "_" for sign in name)


_KINDS = {
    "pdf": "application/pdf",
    "md": "text/markdown; charset=utf-8",
    "ics": "text/calendar; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
    "zone": "text/plain; charset=utf-8",
    "svg": "image/svg+xml",
}
