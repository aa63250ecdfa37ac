"""The hardware: the sheet on racks, power, wire, drives, noise and addresses."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.faces.page.page import answer
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown, taken, told

WORK = job("hardware_work")
COMMANDS = ("rack", "power", "wire", "drives", "noise", "addresses")


async def sheet(request: Request) -> Response:
    """The sheet."""
    pulled = Pulled.read(request.query_params)
    return answer(
        request,
        "hardware.html.j2",
        title="Rack, power, wire, drives",
        made=await shown(request, "power and all hardware", WORK, out=pulled.out),
    )


async def file(request: Request) -> Response:
    """A list or a drawing to take home."""
    out = Pulled.read(request.query_params).out
    return await taken(request, "power and all hardware", WORK, request.path_params["name"], out=out)


async def answered(request: Request) -> Response:
    """As the command of this name answers; racks, drives, noise and addresses do not ask what is out."""
    command = request.url.path.rpartition("/")[2]
    out = Pulled.read(request.query_params).out
    return await told(request, "power and all hardware", WORK, command, out=out)


ROUTES = [
    Route("/hardware", sheet),
    Route("/hardware/{name}", file),
    *(Route(f"/answers/{command}", answered) for command in COMMANDS),
]
