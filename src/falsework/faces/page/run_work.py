"""Was a run as foretold, thing by thing: the work for the page."""

from __future__ import annotations

from pathlib import Path
from shlex import quote

from falsework.analyses.history import past
from falsework.analyses.history.summary import judged_said
from falsework.errors import sentence
from falsework.faces.page.fragments import Tell, fragment, opened
from falsework.faces.page.made import Made
from falsework.faces.report.run_told import run_told
from falsework.record.keeping import observed, record_of


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell, *, number: int) -> Made:
    """Lay one run beside the lab, in a process of its own.

    Raises:
        FalseworkError: the lab or the record can't be read, or has no such run.
    """
    tell("reading the lab", 0, 1)
    standing = opened(path, digest, out)
    tell("laying the run beside it", 0, 1)
    (one,) = past(standing, [observed(record_of(Path(path)), number)])
    html = fragment(
        "run_made.html.j2",
        standing,
        out,
        lead=sentence(judged_said(one)),
        told=run_told(standing, one),
        path=quote(path),
        number=number,
    )
    return Made(html=html)
