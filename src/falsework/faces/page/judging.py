"""Which aims are met: what does a whole check say, worked out beside the page?"""

from __future__ import annotations

from pathlib import Path

from falsework.analyses.aims.breaking import breaking
from falsework.analyses.failures import failures
from falsework.errors import QuestionError, counted
from falsework.faces.page.child import Tell, early
from falsework.faces.page.made import Made
from falsework.faces.plain import check_answer
from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.study import Study, study_lab

NAME = "check"
"""The job and the command that it tells the same as."""


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Check the lab, in a process of its own; the markup is one sentence, without its full stop.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    from falsework.faces.page.aims_work import aims_told
    from falsework.faces.report.html import verdict

    lab = load(Path(path))
    if digest_of(lab.files) != digest:
        raise QuestionError("the lab has changed while this was worked out", "It is worked out anew.")

    def soon(found: Study) -> None:
        waiting = counted(len(found.waiting), "aim")
        said = f"{verdict(found)}; {waiting} still being worked out"
        early(tell, Made(html=said, answers={"circles": found.cold.circles}))

    found = study_lab(lab, out=out, progress=tell, soon=soon)
    breaks = breaking(found.standing, found.singles)
    return Made(
        html=verdict(found),
        answers={
            NAME: check_answer(found),
            "failures": failures(found.standing, found.singles),
            "breaking": breaks,
            "circles": found.cold.circles,
            "aims": aims_told(found, breaks, out),
        },
    )
