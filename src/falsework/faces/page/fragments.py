"""How does a job of the page read the lab, and set what it found?"""

from __future__ import annotations

import re
import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from markupsafe import Markup, escape

from falsework.errors import QuestionError, few
from falsework.faces.page.lines import address_of
from falsework.faces.page.page import templates
from falsework.faces.page.pulled import Pulled
from falsework.faces.report.chances import Figure
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION
from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.support.standing import Standing

Tell = Callable[[str, int, int], None]
"""What is being done, how far it is, how far it goes."""

BEFOREHAND: ContextVar[frozenset[str]] = ContextVar("BEFOREHAND", default=frozenset())
"""Parts that the page was told to leave out when it was begun: addresses of the page do not name them."""
SHOWN = 12
"""How many names a list gives before it only counts."""
_STYLE = re.compile("<style>[^<]*</style>")
_TICKED = re.compile("`([^`]+)`")


def opened(path: str, digest: str, out: Sequence[str]) -> Standing:
    """The lab that a job was started for, ready to be asked.

    Args:
        path: of the lab file, or the folder of them.
        digest: of the files that the job was started for.
        out: parts that are out, besides those that the file says are out today.

    Raises:
        QuestionError: the files have changed since, or a part is not known.
        LabError: the file has faults.
    """
    lab = load(Path(path))
    if digest_of(lab.files) != digest:
        raise QuestionError(
            "the lab file was changed while this was being worked out", "It is worked out anew by itself."
        )
    today = [name for each in (lab.today.out if lab.today else ()) for name in each.part.ids]
    return Standing(lab, out=[*today, *out])


def fragment(template: str, standing: Standing, out: Sequence[str], **values: Any) -> str:  # noqa: ANN401
    """A sheet's inside.

    Args:
        template: its name.
        standing: the lab; names of its things lead to the drawing.
        out: what is pulled, which those addresses keep.
        values: for the template.
    """
    pulled = tuple(each for each in out if each not in BEFOREHAND.get())
    return (
        templates()
        .get_template(template)
        .render(
            lab=standing.lab,
            known=standing.support.things.keys(),
            look=lambda name: Pulled(out=pulled, look=name).address("/"),
            home=lambda path, **more: _home(path, pulled, more),
            listed=lambda names: few(names, SHOWN) or "nothing",
            address_of=address_of,
            power_caution=POWER_CAUTION,
            data_caution=DATA_CAUTION,
            **values,
        )
    )


def _home(path: str, out: Sequence[str], more: Mapping[str, object]) -> str:
    """The address of something of this very question: what is pulled belongs to it."""
    pairs = [("out", each) for each in out] + [
        (key, str(value)) for key, value in more.items() if value != ""
    ]
    return f"{quote(path)}?{urlencode(pairs, quote_via=quote)}" if pairs else quote(path)


def bare(svg: str) -> Markup:
    """A drawing of ours for a page whose style sheet has the colours: without a style of its own."""
    return Markup(_STYLE.sub("", svg))


def bared(figures: Iterable[Figure]) -> tuple[Figure, ...]:
    """The same of several."""
    return tuple(replace(each, svg=bare(each.svg)) for each in figures)


def ticked(text: str) -> Markup:
    """A sentence whose words between backticks are set as what one writes in a file."""
    return Markup(_TICKED.sub(r"<code>\1</code>", str(escape(text))))


@contextmanager
def interruptible() -> Iterator[None]:
    """Let whoever stops the job end what is inside early, with what it has by then, as Ctrl-C does on a terminal."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
