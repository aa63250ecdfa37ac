"""The failure map: what does the loss of each thing do to each service, and which of them break an aim?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import cast
from urllib.parse import quote, urlencode

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.analyses.failures import Alike, Failures
from falsework.analyses.verdicts import Verdict
from falsework.errors import counted, few
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import LONGEST_NAME, Pulled
from falsework.faces.page.worked import job, shown
from falsework.faces.report.blocks import Map, sorted_groups
from falsework.faces.report.failure_map import Links, map_sheet

CHECK = job("judging")
MOST_TOLD = 300
"""Rows of the table; the map itself shows fewer."""
MOST_NAMED = 12
MOST_OF = 60
_HURTS = ((Verdict.LOST, "loses data"), (Verdict.FALLS, "falls"), (Verdict.BLINKS, "blinks"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Filter:
    """What of the map is asked for.

    Attributes:
        aims: only losses that break an aim.
        of: services that the losses hurt; empty for any.
        kind: what is lost, in a word; empty for anything.
    """

    aims: bool = False
    of: tuple[str, ...] = ()
    kind: str = ""

    @classmethod
    def read(cls, request: Request) -> Filter:
        """As the address says; what makes no sense changes nothing."""
        query = request.query_params
        of = tuple(dict.fromkeys(each for each in query.getlist("of") if 0 < len(each) <= LONGEST_NAME))
        return cls(aims=query.get("only") == "aims", of=of[:MOST_OF], kind=query.get("is", "")[:LONGEST_NAME])

    def address(self, pulled: Pulled) -> str:
        """The sheet with this filter."""
        pairs = [("out", each) for each in pulled.out]
        pairs.extend(("of", each) for each in self.of)
        if self.kind:
            pairs.append(("is", self.kind))
        if self.aims:
            pairs.append(("only", "aims"))
        return "/failures" + (f"?{urlencode(pairs, quote_via=quote)}" if pairs else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One row of the table.

    Attributes:
        losses: each with what it is, its address on the elevation, and the aims that it breaks.
        more: how many do the same besides.
        hurts: by what happens, in words: the services, each with the address that asks why.
        thin: how many services have nothing to spare then.
    """

    losses: tuple[tuple[str, str, str, str], ...]
    more: int
    hurts: tuple[tuple[str, tuple[tuple[str, str], ...], int], ...]
    thin: int


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What the template sets.

    Attributes:
        drawn: the map; empty where no loss that is asked for changes anything.
        map: what it shows.
        count, every: losses that are asked for, and all.
        breaking: how many break an aim.
        told: the rows in words.
        kinds, services: what can be asked for.
        all: the sheet without a filter.
    """

    drawn: Markup
    map: Map
    count: int
    every: int
    breaking: int
    told: tuple[Told, ...]
    kinds: tuple[str, ...]
    services: tuple[str, ...]
    all: str


async def sheet(request: Request) -> Response:
    """The sheet; `only=aims`, `of` and `is` in the address choose what of it is shown."""
    page = page_of(request)
    pulled, wanted = Pulled.read(request.query_params), Filter.read(request)
    work = await shown(request, "check", CHECK, out=pulled.out)
    made = page.jobs.state(page.asked("check", out=pulled.out)).made if work is not None else None
    if made is None or made.failed or "failures" not in made.answers:
        return answer(request, "failures.html.j2", title="Failure map", work=work, view=None)
    found = cast("Failures", made.answers["failures"])
    breaks = cast("Mapping[str, tuple[str, ...]]", made.answers["breaking"])
    view = await run_in_threadpool(_view, found, breaks, wanted, pulled)
    return answer(request, "failures.html.j2", title="Failure map", work=None, wanted=wanted, view=view)


def _view(found: Failures, breaks: Mapping[str, tuple[str, ...]], wanted: Filter, pulled: Pulled) -> View:
    chosen = {
        tuple(map(Verdict, each.verdicts)): losses
        for each in found.alike
        if (losses := _chosen(each, found, breaks, wanted))
    }
    sorted_ = sorted_groups(chosen, found.services)
    links = _links(found, wanted, pulled)
    count = sum(map(len, chosen.values()))
    notes = {loss: f"breaks {counted(len(aims), 'aim')}" for loss, aims in breaks.items()}
    says = f"Failure map: {count} losses by {len(found.services)} services; {sorted_.quiet} of them change nothing"
    drawn = map_sheet(sorted_, found.words, says=says, links=links, notes=notes) if sorted_.rows else ""
    return View(
        drawn=Markup(drawn),  # made by us, every text of the lab escaped
        map=sorted_,
        count=count,
        every=sum(len(each.losses) for each in found.alike),
        breaking=len(breaks),
        told=tuple(_told(sorted_, found, breaks, pulled)),
        kinds=tuple(sorted(set(found.words.values()))),
        services=found.services,
        all=Filter().address(pulled),
    )


def _chosen(
    each: Alike, found: Failures, breaks: Mapping[str, tuple[str, ...]], wanted: Filter
) -> tuple[str, ...]:
    """Of losses that do the same, those that are asked for."""
    if wanted.of and not any(
        each.verdicts[at] for at, service in enumerate(found.services) if service in wanted.of
    ):
        return ()
    return tuple(
        loss
        for loss in each.losses
        if (not wanted.aims or loss in breaks) and (not wanted.kind or found.words[loss] == wanted.kind)
    )


def _links(found: Failures, wanted: Filter, pulled: Pulled) -> Links:
    def column(services: Sequence[str]) -> str:
        of = () if tuple(services) == wanted.of else tuple(services)[:MOST_OF]
        return Filter(aims=wanted.aims, kind=wanted.kind, of=of).address(pulled)

    return Links(
        row=lambda losses: _lost(found, pulled, losses[0]),
        cell=lambda losses, services: _lost(found, pulled, losses[0], why=services[0]),
        column=column,
    )


def _lost(found: Failures, pulled: Pulled, loss: str, *, why: str = "") -> str:
    """The elevation with a part out, or all parts of a cause."""
    parts = found.members.get(loss, (loss,))
    out = tuple(dict.fromkeys((*pulled.out, *parts)))
    return Pulled(out=out, why=why, open=pulled.open, look=why or parts[0]).address("/")


def _told(
    sorted_: Map, found: Failures, breaks: Mapping[str, tuple[str, ...]], pulled: Pulled
) -> Iterator[Told]:
    for row in sorted_.rows[:MOST_TOLD]:
        first = row.parts[0]
        hurts = []
        for verdict, says in _HURTS:
            services = [
                service
                for column, each in zip(sorted_.columns, row.verdicts, strict=True)
                if each is verdict
                for service in column
            ]
            if services:
                named = tuple(
                    (service, _lost(found, pulled, first, why=service)) for service in services[:MOST_NAMED]
                )
                hurts.append((says, named, max(len(services) - MOST_NAMED, 0)))
        yield Told(
            losses=tuple(
                (loss, found.words[loss], _lost(found, pulled, loss), few(breaks.get(loss, ()), 3))
                for loss in row.parts[:MOST_NAMED]
            ),
            more=max(len(row.parts) - MOST_NAMED, 0),
            hurts=tuple(hurts),
            thin=sum(
                len(column)
                for column, each in zip(sorted_.columns, row.verdicts, strict=True)
                if each is Verdict.THIN
            ),
        )


ROUTES = [Route("/failures", sheet)]
