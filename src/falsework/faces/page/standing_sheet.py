"""The elevation: what stands, and what happens when plugs are pulled?"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Sequence
from contextlib import nullcontext
from typing import TYPE_CHECKING, Generic, TypeVar

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from falsework.analyses.moment import moment, stops
from falsework.analyses.verdicts import lose
from falsework.analyses.worst import Hurt, worst_parts
from falsework.errors import QuestionError
from falsework.faces.page import panel
from falsework.faces.page.kept import Good
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import LONGEST_NAME, Pulled
from falsework.faces.report.drawn import Drawn
from falsework.faces.report.elevation import elevation
from falsework.faces.report.hover import hover_answer
from falsework.faces.report.spots import Spots
from falsework.faces.report.states import States, count_line, tally_line
from falsework.support.standing import Standing

if TYPE_CHECKING:
    from falsework.analyses.taking_down import TakingDown

MOST_KEPT = 64
"""Answers to `may it be taken down` that are kept for the next time."""


MOST_INLINE = 2000
"""In a lab of more parts the worst of them are asked for by the page once it is shown."""
MOST_OFFERED = 40
"""Names offered at once where one is being typed."""
T = TypeVar("T")


class _Kept(Generic[T]):
    """A few answers, the oldest let go first; may be asked from several threads."""

    def __init__(self) -> None:
        self._found: OrderedDict[tuple[object, ...], T] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: tuple[object, ...]) -> T | None:
        with self._lock:
            return self._found.get(key)

    def put(self, key: tuple[object, ...], value: T) -> T:
        with self._lock:
            self._found[key] = value
            while len(self._found) > MOST_KEPT:
                self._found.popitem(last=False)
        return value


_TAKEN: _Kept[TakingDown] = _Kept()
_WORST: _Kept[tuple[Hurt, ...]] = _Kept()


def standing(request: Request) -> Response:
    """The sheet."""
    page = page_of(request)
    good = page.keeper.good
    if good is None:
        return answer(request, "trouble.html.j2", title="Not read")
    wanted = Pulled.read(request.query_params)
    if (
        request.query_params.get("ask") == "may" and wanted.out
    ):  # the part named last is asked about, not pulled
        state = wanted.with_(out=wanted.out[:-1], may=wanted.out[-1], look=wanted.out[-1])
        return RedirectResponse(state.address(), status_code=303)
    pulled, question = _known(good, wanted)
    loss = good.lost(pulled.out) if pulled.out else None
    then = moment(loss, pulled.at_s) if loss is not None and pulled.at_s is not None else None
    states = States(standing=good.standing, loss=loss, moment=then)
    asks = loss is not None or pulled.why or pulled.may
    with good.lock if asks else nullcontext():  # nothing pulled is drawn from what is known already
        drawing = elevation(
            good.standing,
            loss,
            at=then,
            width=None,
            circles=page.circles[1] if page.circles[0] == good.digest else (),
            why=pulled.why,
            open_=pulled.open,
            opening=lambda group: pulled.opened(group).address(),
            address=lambda drawn: _address(good.standing, pulled, drawn),
            styled=False,
            head=False,
        )
        hurt, thin, stands = panel.rows(states, pulled)
        chain = panel.chain(good.standing, loss, pulled.why)
        leans = () if chain else panel.leans(good.standing, pulled.why)
        notches = panel.axis(good.standing, stops(loss), pulled) if loss is not None else ()
        down = _may(good, pulled)
    worst = None if loss is not None or len(good.standing.parts) > MOST_INLINE else worst_of(good)
    tally = "" if loss is None else count_line(loss) if then is None else tally_line(then)
    focus = pulled.look if pulled.look in good.standing.support.things else ""
    return answer(
        request,
        "standing.html.j2",
        title="Elevation",
        status=404 if question else 200,
        drawing=Markup(drawing),  # made by us, every text of the lab escaped
        pulled=pulled,
        question=question,
        loss=loss,
        plugs=panel.plugs(good.standing, pulled),
        beforehand=panel.beforehand(good.standing),
        hurt=panel.alike(hurt),
        thin=thin,
        stands=stands,
        chain=chain,
        why_says=panel.falls(good.standing, loss, pulled.why),
        leans=leans,
        notches=notches,
        at=panel.at_of(notches, pulled.at_s) if notches else 0,
        tally=tally,
        worst=_worst(good, worst),
        worst_later=loss is None and worst is None,
        focus=focus,
        focus_is=panel.word_of(good.standing, focus),
        focus_part=bool(focus) and good.standing.support.things[focus].part,
        down=down,
        reasons=[(each, panel.steps(each.why)) for each in down.because] if down else [],
        undo=pulled.with_(out=pulled.out[:-1], at_s=None, why="", may="").address(),
        all_back=Pulled(open=pulled.open).address(),
    )


def parts(request: Request) -> Response:
    """Parts whose name has the asked letters in it, those that begin with them first; for the field that names one."""
    good = page_of(request).keeper.good
    like = request.query_params.get("like", "").strip().casefold()[:LONGEST_NAME]
    names = [name for name in (good.standing.parts if good else ()) if like in name.casefold()]
    names.sort(key=lambda name: not name.casefold().startswith(like))
    said = (
        [{"name": name, "is": panel.word_of(good.standing, name)} for name in names[:MOST_OFFERED]]
        if good
        else []
    )
    return JSONResponse({"parts": said, "more": max(len(names) - MOST_OFFERED, 0)})


def leaning(request: Request) -> Response:
    """Which groups of the drawing lean on which, for the script that follows it; the same whatever is pulled."""
    good = page_of(request).keeper.good
    if good is None:
        return JSONResponse({"ids": [], "on": [], "by": []})
    pulled, spots = Pulled.read(request.query_params), Spots()
    elevation(
        good.standing,
        width=None,
        open_=pulled.open,
        opening=lambda group: "/",
        address=lambda drawn: "/",
        styled=False,
        head=False,
        spots=spots,
    )
    return JSONResponse(
        hover_answer(good.standing, list(spots.groups)), headers={"Cache-Control": "no-cache"}
    )


def worst(request: Request) -> Response:
    """The worst single parts alone, for a page that was shown before they were known."""
    good = page_of(request).keeper.good
    found = worst_of(good) if good is not None else ()
    pulled = Pulled.read(request.query_params)
    return answer(request, "worst.html.j2", title="Worst", worst=_worst(good, found), pulled=pulled)


def warm(good: Good) -> None:
    """Ask once what the first touch will ask, so that it need not wait for what is made only once."""
    with good.lock:
        good.standing.warm()
    worst_of(good)


def worst_of(good: Good) -> tuple[Hurt, ...]:
    """The worst single parts of a reading; asked for once."""
    key = (good.digest, good.standing.out)
    found = _WORST.get(key)
    if found is None:
        with good.lock:
            found = _WORST.put(key, worst_parts(good.standing))
    return found


def _worst(good: Good | None, found: Sequence[Hurt] | None) -> list[tuple[Hurt, str]]:
    """The worst single parts, each with what it is."""
    return [(each, panel.word_of(good.standing, each.part)) for each in found or ()] if good else []


def _known(good: Good, pulled: Pulled) -> tuple[Pulled, QuestionError | None]:
    """What of an address can be pulled, and what is wrong with the rest."""
    known, question = [], None
    for name in pulled.out:
        try:
            good.standing.known([name])
        except QuestionError as error:
            question = question or error
        else:
            known.append(name)
    return pulled.with_(out=tuple(known)), question


def _address(standing: Standing, pulled: Pulled, drawn: Drawn) -> str | None:
    """Where a touch of a group of the drawing leads: its plug is pulled or put back, or the reasons are drawn."""
    names = [name for name in drawn.names if name not in standing.out]
    if drawn.part and names:
        out = [*pulled.out, *(each for each in names if each not in pulled.out)]
        if drawn.out:  # a store is its drives: what is left of it stays out
            back = frozenset(standing.known(names))
            out = []
            for each in pulled.out:
                parts = standing.known([each])
                out.extend([each] if back.isdisjoint(parts) else [part for part in parts if part not in back])
        return pulled.with_(out=tuple(out), at_s=None, why="", may="", look=drawn.names[0]).address()
    name = drawn.names[0]
    if name in standing.support.things:
        return pulled.with_(why="" if pulled.why == name else name, look=name).address()
    return None


def _may(good: Good, pulled: Pulled) -> TakingDown | None:
    """Whether what the address asks about may be taken down now; None where it asks nothing."""
    if not pulled.may:
        return None
    out = () if pulled.may in pulled.out else pulled.out
    wanted = pulled.out if pulled.may in pulled.out else (pulled.may,)
    key = (good.digest, good.standing.out, tuple(sorted(out)), tuple(sorted(wanted)))
    found = _TAKEN.get(key)
    if found is not None:
        return found
    # Only here: what the first page does not need is not waited for before it.
    from falsework.analyses.margin import margins_left
    from falsework.analyses.taking_down import taking_down

    try:
        standing = Standing(good.lab, out=[*good.standing.out, *out]) if out else good.standing
        loss = lose(standing, wanted)
    except QuestionError:
        return None
    then = Standing(good.lab, out=[*standing.out, *loss.lost])
    margins = margins_left(standing, loss.lost, then=then)
    return _TAKEN.put(key, taking_down(standing, loss, margins, then=then))


ROUTES = [Route("/", standing), Route("/parts", parts), Route("/leaning", leaning), Route("/worst", worst)]
