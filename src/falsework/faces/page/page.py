"""What do all sheets share: the lab that is kept, the list of sheets, templates, and how an answer is given?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import cast

from jinja2 import Environment, FunctionLoader
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from falsework import __version__
from falsework.faces.page.child import Asked
from falsework.faces.page.events import Hub
from falsework.faces.page.jobs import Jobs
from falsework.faces.page.kept import Keeper
from falsework.faces.page.lines import address_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.sheets import SHEETS
from falsework.faces.report.reasons import steps
from falsework.faces.report.svg import clean


@dataclass(slots=True, kw_only=True, eq=False)
class Page:
    """What the app holds for its sheets; `request.app.state.page` is it.

    Attributes:
        keeper: the lab, kept.
        token: of this run; whoever writes must name it.
        judged: the newest verdict on the aims, as the title block says it, and the digest it is of.
        judging: whether some aims are still missing in it.
        circles: what waits for each other to start, as the newest check found it, and the digest it is of.
        hub: tells those who look what is new.
        jobs: heavy work, beside the page.
    """

    keeper: Keeper
    token: str
    judged: tuple[str, str] | None = None
    judging: bool = False
    circles: tuple[str, tuple[tuple[str, ...], ...]] = ("", ())
    hub: Hub = field(default_factory=Hub)
    jobs: Jobs = field(default_factory=Jobs)

    def asked(self, name: str, *, out: Iterable[str] = ()) -> Asked:
        """What a job of this page works on: the lab as it was last read.

        Args:
            name: of the job and its question, the command first.
            out: parts that are out, besides those that the page was asked to leave out.
        """
        good = self.keeper.good
        every = tuple(sorted({*self.keeper.out, *out}))
        return Asked(name=name, path=str(self.keeper.path), digest=good.digest if good else "", out=every)

    def check(self) -> Asked:
        """The check that the verdict in the title block comes from."""
        return self.asked("check")


def page_of(request: Request) -> Page:
    """The page that a request is to."""
    return cast("Page", request.app.state.page)


def answer(
    request: Request, template: str, *, title: str, status: int = 200, **values: object
) -> HTMLResponse:
    """A sheet as HTML: whole, or for the script that swaps it only `<main>`.

    Args:
        request: what was asked.
        template: name of a template that extends `base.html.j2`.
        title: of the window, behind the lab's name.
        status: of HTTP.
        values: for the template, besides those that every sheet has.
    """
    page = page_of(request)
    good = page.keeper.good
    said = {
        "whole": request.headers.get("hx-request") != "true"
        or request.headers.get("hx-history-restore-request") == "true",
        "page": page,
        "good": good,
        "lab": good.lab if good else None,
        "trouble": page.keeper.trouble,
        "verdict": page.judged[1] if page.judged and good and page.judged[0] == good.digest else "",
        "sheets": SHEETS,
        "styles": styles(),
        "here": request.url.path,
        "pulled": Pulled.read(request.query_params),
        "title": title,
        "address_of": address_of,
        "mark": request.scope.get("state", {}).get("mark") or page.hub.mark,
        "nonce": request.scope.get("state", {}).get("nonce", ""),
        "version": __version__,
        **values,
    }
    text = templates().get_template(template).render(said)
    return HTMLResponse(text, status_code=status, headers={"Vary": "HX-Request"})


@cache
def templates() -> Environment:
    """The templates, escaping everything that is not finished markup."""
    made = Environment(
        loader=FunctionLoader(_source),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_cleaned,
    )
    made.filters["steps"] = steps
    return made


def _source(name: str) -> str | None:
    for folder in (("falsework.faces.page", "templates"), ("falsework.faces.report", "templates")):
        found = resources.files(folder[0]).joinpath(*folder[1:], name)
        if found.is_file():
            return found.read_text(encoding="utf-8")
    return None


@cache
def styles() -> tuple[str, ...]:
    """The style sheets of single sheets; the one that all share is linked before them."""
    names = sorted(each.name for each in resources.files("falsework.faces.page").joinpath("static").iterdir())
    return tuple(name for name in names if name.endswith(".css") and name != "page.css")


def _cleaned(value: object) -> object:
    """What a template may print: text of a lab cleaned, finished markup as it is."""
    return value if isinstance(value, Markup) or not isinstance(value, str) else clean(value)
