"""What does a program get that asks the page: the very answers that the commands give with --json?"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from falsework.analyses.fate import fate
from falsework.analyses.leaning import leans_told
from falsework.analyses.margin import margin, margins_left
from falsework.analyses.taking_down import taking_down
from falsework.analyses.verdicts import Verdict
from falsework.errors import QuestionError
from falsework.faces.cli.lose import fallen
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.why import known
from falsework.faces.page.kept import Good
from falsework.faces.page.page import page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.plain import lose_answer, why_answer, why_lost_answer


def lose(request: Request) -> Response:
    """As `falsework lose LAB PART...` answers; the parts are those that the address has out."""
    good, pulled = _asked(request)
    loss = good.lost(pulled.out)
    with good.lock:
        margins = margins_left(good.standing, loss.lost)
        down = taking_down(good.standing, loss, margins)
        status = BROKEN if fallen(good.standing, loss) else MET
        return JSONResponse(lose_answer(good.standing, loss, margins, down, status))


def why(request: Request) -> Response:
    """As `falsework why LAB THING [--lose PART...]` answers; `why` in the address is the thing."""
    good, pulled = _asked(request)
    standing = good.standing
    thing = known(standing, pulled.why)
    if not pulled.out:
        with good.lock:
            leans = tuple(leans_told(standing, thing))
            return JSONResponse(why_answer(standing, thing, margin(standing, thing.id), leans))
    loss = good.lost(pulled.out)
    with good.lock:
        effect = fate(loss, thing.id)
        down = effect.verdict >= Verdict.FALLS and standing.baseline.back(thing.id)
        return JSONResponse(why_lost_answer(standing, loss, effect, thing, BROKEN if down else MET))


async def check(request: Request) -> Response:
    """As `falsework check LAB` answers; while it is still being worked out, 202 and when to ask again."""
    page = page_of(request)
    _asked(request)
    made = page.jobs.state(page.check()).made
    if made is None:
        return JSONResponse({"working": "check"}, status_code=202, headers={"Retry-After": "1"})
    return JSONResponse(made.answers["check"])


def _asked(request: Request) -> tuple[Good, Pulled]:
    good = page_of(request).keeper.good
    if good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    return good, Pulled.read(request.query_params)


ROUTES = [Route("/answers/lose", lose), Route("/answers/why", why), Route("/answers/check", check)]
