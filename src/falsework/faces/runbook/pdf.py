"""How does a runbook look on paper, as PDF?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from dataclasses import asdict
from importlib import resources
from typing import Any

from falsework.faces.runbook import literal
from falsework.faces.runbook.document import Box, Chapter, Runbook

PAPERS = ("a4", "letter")
"""ISO 216 A4, and 8.5 by 11 inches."""


def pdf(runbook: Runbook, *, paper: str = "a4") -> bytes:
    """A runbook as PDF; the same runbook gives the same bytes.

    Args:
        runbook: what it says; every text is printed sign by sign, none is taken for markup.
        paper: one of `PAPERS`.

    Returns:
        The whole file, its fonts inside.
    """
    # Only here, since only a runbook needs it.
    import typst

    template = resources.files("falsework.faces.runbook").joinpath("runbook.typ").read_bytes()
    made = typst.compile(
        template,
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={
            "paper": {"a4": "a4", "letter": "us-letter"}[paper],
            "runbook": json.dumps(_data(runbook)),
        },
        timestamp=datetime.datetime.combine(runbook.date, datetime.time(), datetime.UTC),
    )
    assert isinstance(made, bytes)
    return made


def _data(runbook: Runbook) -> Mapping[str, Any]:
    """The runbook as JSON values, each text made fit for paper."""
    return {
        "title": _line(runbook.title),
        "lab": _line(runbook.lab),
        "date": runbook.date.isoformat(),
        "source": _line(runbook.source),
        "aside": _line(runbook.aside),
        "lead": [_line(each) for each in runbook.lead],
        "cautions": [
            {"title": _line(each.title), "says": [_line(said) for said in each.says]}
            for each in runbook.cautions
        ],
        "chapters": [_chapter(each) for each in runbook.chapters],
        "appendix": [_chapter(each) for each in runbook.appendix],
        "read_through": runbook.read_through,
    }


def _chapter(chapter: Chapter) -> Mapping[str, Any]:
    return {
        "title": _line(chapter.title),
        "says": [_line(each) for each in chapter.says],
        "pictures": [{"svg": each.svg, "says": _line(each.says)} for each in chapter.pictures],
        "tables": [
            {
                "title": _line(each.title),
                "says": _line(each.says),
                "head": [_line(cell) for cell in each.head],
                "rows": [[_line(cell) for cell in row] for row in each.rows],
                "widths": list(each.widths) or [1] * len(each.head),
                "mono": sorted(each.mono),
            }
            for each in chapter.tables
        ],
        "boxes": [_box(each) for each in chapter.boxes],
    }


def _box(box: Box) -> Mapping[str, Any]:
    short = ("number", "says", "group", "takes", "between", "hands", "when", "no_return")
    # Lines at the most, if each text began a line and a line held 40 signs; a sheet holds more than 40.
    texts = (
        box.says,
        box.takes,
        box.between,
        box.hands,
        *(said for _, lines in box.entries() for said in lines),
    )
    lines = sum(1 + len(text) // 40 for text in (*texts, box.no_return, *box.command.splitlines()))
    return {
        "short": lines <= 30,
        **{key: _line(str(value)) for key, value in asdict(box).items() if key in short},
        "command": literal.drawn(literal.lines(box.command)),
        "shaky": box.shaky,
        "entries": [[label, [_line(each) for each in said]] for label, said in box.entries()],
    }


def _line(text: str) -> str:
    return literal.drawn(literal.line(text))
