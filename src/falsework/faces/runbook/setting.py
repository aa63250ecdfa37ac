"""In which form is a runbook set: to be printed, or to be read as text?"""

from __future__ import annotations

from pathlib import Path

from falsework.errors import QuestionError
from falsework.faces.runbook.document import Runbook
from falsework.faces.runbook.markdown import markdown
from falsework.faces.runbook.pdf import PAPERS, pdf

ENDINGS = (".pdf", ".md")


def check_place(path: Path | None, paper: str = "a4") -> None:
    """Make sure, before long work, that a runbook could go there.

    Raises:
        QuestionError: the ending or the paper means nothing.
    """
    if path is not None and path.suffix.lower() not in ENDINGS:
        raise QuestionError(
            f"'{path}' ends in neither .pdf nor .md, so it is not known what the runbook shall be",
            "Name a file that ends in .pdf, to be printed, or in .md, to be read as text.",
        )
    check_paper(paper)


def check_paper(paper: str) -> None:
    """Make sure that there is such paper.

    Raises:
        QuestionError: it means nothing.
    """
    if paper not in PAPERS:
        raise QuestionError(f"'{paper}' is no paper that is known", f"Known: {' and '.join(PAPERS)}.")


def runbook_bytes(path: Path, runbook: Runbook, *, paper: str = "a4") -> bytes:
    """The runbook in the form that the ending of a path says.

    Raises:
        QuestionError: the ending or the paper means nothing.
    """
    check_place(path, paper)
    return pdf(runbook, paper=paper) if path.suffix.lower() == ".pdf" else markdown(runbook).encode("utf-8")
