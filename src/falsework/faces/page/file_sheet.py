"""The file: what does it say, what is wrong with it, and how is it changed with help?"""

from __future__ import annotations

from typing import Any

from markupsafe import Markup, escape
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.errors import place
from falsework.faces.page import saving
from falsework.faces.page.difference import MOST_LINES, compared, shown
from falsework.faces.page.lines import address_of, address_of_file
from falsework.faces.page.looking import Looked, Looking
from falsework.faces.page.page import answer, page_of
from falsework.lab.here import here
from falsework.lab.merging import merged
from falsework.model.completing import kinds_of, offer
from falsework.model.options import Known, Option

SAVING_S = 4.0
"""How long a save waits for what is wrong with the text."""


def sheet(request: Request) -> Response:
    """The sheet: the text, to be read without scripts and edited with them."""
    keeper = page_of(request).keeper
    files = saving.files_of(keeper.path)
    name, text, question = "", "", None
    status = 200
    try:
        name = saving.named(keeper.path, request.query_params.get("file", ""))
        text = saving.read_now(keeper.path, name)
    except QuestionError as error:
        question, status = error, 404
    return answer(
        request,
        "file.html.j2",
        title="The file",
        status=status,
        files=[(each, address_of_file(each)) for each in files],
        name=name,
        text=Markup("\n") + escape(text),  # a browser leaves out the first line break
        question=question,
    )


def text(request: Request) -> Response:
    """What a file holds now, exactly, and its digest."""
    name = request.query_params.get("file", "")
    now = saving.read_now(page_of(request).keeper.path, name)
    return JSONResponse({"file": name, "text": now, "digest": saving.digest(now)})


async def faults(request: Request) -> Response:
    """What is wrong with the lab when a file holds this text; 202 while that is not known yet."""
    said = await _said(request, "file", "text")
    name = await _named(request, said["file"])
    looked = await run_in_threadpool(looking(request).ask, {name: said["text"]})
    if looked is None:
        return JSONResponse({"reading": True}, status_code=202)
    return JSONResponse(_told(looked))


async def complete(request: Request) -> Response:
    """What may stand between two pieces of a text."""
    said = await _said(request, "file", "before", "after")
    name = await _named(request, said["file"])
    return JSONResponse(await run_in_threadpool(_offered, request, name, said["before"], said["after"]))


async def save(request: Request) -> Response:
    """Put a text into its file: 409 if that has changed, 422 if the text has faults and nobody said anyway."""
    said = await _said(request, "file", "digest", "text")
    name = await _named(request, said["file"])
    lab = page_of(request).keeper.path
    now = await run_in_threadpool(saving.read_now, lab, name)
    if saving.digest(now) != said["digest"]:
        return await run_in_threadpool(_apart, name, now, said["text"], 409)
    # Who saves may wait a little for the word of warning; what takes longer to read is saved unlooked at.
    ask = looking(request).ask
    looked = await run_in_threadpool(lambda: ask({name: said["text"]}, patience_s=SAVING_S))
    if looked is not None and looked.faults and said.get("anyway") != "yes":
        return JSONResponse(_told(looked), status_code=422)
    newer = await run_in_threadpool(saving.save, lab, name, said["digest"], said["text"])
    if newer is not None:
        return await run_in_threadpool(_apart, name, newer.text, said["text"], 409)
    return JSONResponse({"digest": saving.digest(said["text"]), **_told(looked or Looked())})


async def differs(request: Request) -> Response:
    """What sets a text apart from what its file holds now."""
    said = await _said(request, "file", "text")
    now = await run_in_threadpool(saving.read_now, page_of(request).keeper.path, said["file"])
    return await run_in_threadpool(_apart, said["file"], now, said["text"], 200)


async def merge(request: Request) -> Response:
    """What was written here and what is on the disk, as one text, to be looked through before it is saved."""
    said = await _said(request, "file", "base", "text")
    lab = page_of(request).keeper.path
    now = await run_in_threadpool(saving.read_now, lab, said["file"])
    if sum(each.count("\n") for each in (said["base"], said["text"], now)) > MOST_LINES:
        raise QuestionError(
            "the texts are too long to be joined here",
            "Take one of them, or join them with a tool of your own.",
        )
    joined = await run_in_threadpool(merged, said["base"], said["text"], now)
    return JSONResponse(
        {"text": joined.text, "clashes": joined.clashes, "newer": now, "digest": saving.digest(now)}
    )


def looking(request: Request) -> Looking:
    """What reads texts that are being typed; there is one of the page."""
    found = getattr(request.app.state, "looking", None)
    if not isinstance(found, Looking):
        found = request.app.state.looking = Looking(page_of(request).keeper.path)
    return found


def _offered(request: Request, name: str, before: str, after: str) -> dict[str, Any]:
    place = here(before, after)
    if not place.slot:
        return {"typed": "", "rest": "", "says": "", "options": [], "steady": True, "eager": False}
    good = page_of(request).keeper.good
    others = [text for file, text in (good.lab.files if good else {}).items() if file != name]
    things = looking(request).things
    if things is None and good is not None:
        things = {str(thing): each.IS for thing, each in good.lab.things.items()}
    found = offer(place, Known(things=things or {}, kinds=kinds_of([*others, before + after])))
    colon = "" if place.has_colon else ": "
    return {
        "typed": place.typed,
        "rest": place.rest,
        "says": found.says,
        "steady": found.steady,
        # Behind a colon or a dash the list opens by itself; between keys only once something is typed.
        "eager": place.slot == "value" and bool(found.values),
        "options": [
            *({"text": each.text, **_option(each)} for each in found.values),
            *({"text": each.text + colon, **_option(each)} for each in found.keys),
        ],
    }


def _option(option: Option) -> dict[str, Any]:
    return {"label": option.text, "sort": option.sort, "says": option.says, "first": option.needed}


def _apart(name: str, now: str, mine: str, status: int) -> Response:
    """What a file holds now, and what sets the text that was written here apart from it."""
    told = {"text": now, "digest": saving.digest(now), "shown": shown(compared(now, mine, name))}
    return JSONResponse(told, status_code=status)


def _told(looked: Looked) -> dict[str, Any]:
    return {
        "faults": [
            {
                "what": each.what,
                "mend": each.mend,
                "path": each.path,
                "where": place(each.where),
                "at": str(each.where) if each.where else "",
                "address": address_of(each.where) if each.where else "",
            }
            for each in looked.faults
        ],
        "more": looked.more,
    }


async def _named(request: Request, name: str) -> str:
    return await run_in_threadpool(saving.named, page_of(request).keeper.path, name)


async def _said(request: Request, *keys: str) -> dict[str, str]:
    """What a request says, texts by key.

    Raises:
        QuestionError: it says something else.
    """
    try:
        found = await request.json()
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in keys):
        raise QuestionError("the request can't be understood", f"Send JSON with {', '.join(keys)}.")
    said = {str(key): value.removeprefix("\ufeff") for key, value in found.items() if isinstance(value, str)}
    try:
        for value in said.values():
            value.encode()
    except UnicodeEncodeError:
        raise QuestionError(
            "the text holds half of a character", "Delete what the editor shows as a box, and try again."
        ) from None
    return said


ROUTES = [
    Route("/file", sheet),
    Route("/file/text", text),
    Route("/file/faults", faults, methods=["POST"]),
    Route("/file/complete", complete, methods=["POST"]),
    Route("/file/save", save, methods=["POST"]),
    Route("/file/difference", differs, methods=["POST"]),
    Route("/file/merge", merge, methods=["POST"]),
]
