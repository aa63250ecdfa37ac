"""What happens to every service when these parts are lost, and how much is left then?"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.explain import told
from falsework.analyses.margin import Margin, margins_left
from falsework.analyses.taking_down import May, TakingDown, What, taking_down
from falsework.analyses.verdicts import Effect, Loss, Verdict, lose
from falsework.errors import LabError, QuestionError, counted, listed, sentence
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.words import called_all, when, without
from falsework.model.build import load
from falsework.support.standing import Standing

MOST_PARTS = 6
"""Parts shown that have become single points by the loss."""
MOST_AIMS = 4
WIDEST_NAME = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    parts: tuple[str, ...]
    out: tuple[str, ...] = ()
    picture: Path | None = None
    json: bool = False


def lose_parts(asked: Asked) -> int:
    """Lose parts, print the answer, return the exit status: 1 where something falls.

    Raises:
        FalseworkError: the file, the question, or the place for the picture.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        loss = lose(standing, asked.parts)
        tell("losing one part more", 0, 1)
        then = Standing(standing.lab, out=[*standing.out, *loss.lost])
        margins = margins_left(standing, loss.lost, then=then)
        tell("asking whether it may be taken down", 0, 1)
        down = taking_down(standing, loss, margins, then=then)
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.elevation import elevation

            tell("drawing", 0, 1)
            write(asked.picture, f"{elevation(standing, loss)}\n", over=True)
    status = BROKEN if fallen(standing, loss) else MET
    if asked.json:
        # Only here: it knows every analysis, and the commands that open a lab through this file need few.
        from falsework.faces.plain import lose_answer

        answer = lose_answer(standing, loss, margins, down, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, loss, margins, down, asked))
    return status


def opened(path: Path, out: Sequence[str]) -> Standing:
    """A lab ready to be asked, with what is out today and what is out beforehand.

    Raises:
        FalseworkError: the file, or a part; where the file is a fault tree, who answers about those is named.
    """
    try:
        lab = load(path)
    except LabError:
        if not _is_tree(path):
            raise
        raise QuestionError(
            f"'{path}' looks like a fault tree, and a lab file is wanted",
            f"Ask `falsework tree {path}` about a fault tree.",
        ) from None
    today = [name for each in (lab.today.out if lab.today else ()) for name in each.part.ids]
    return Standing(lab, out=[*today, *out])


def _is_tree(path: Path) -> bool:
    """Whether a file begins as a fault tree does, in either of the known formats."""
    if not path.is_file():
        return False
    with path.open("rb") as stream:
        begins = stream.read(4096).lstrip()
    return begins.startswith((b"<?xml", b"<opsa-mef", b"toplevel"))


def fallen(standing: Standing, loss: Loss) -> tuple[Effect, ...]:
    """The services that fall by a loss, worst first; those that are down already are not among them."""
    return tuple(
        each
        for each in ranked(loss)
        if each.verdict >= Verdict.FALLS and standing.baseline.back(each.service)
    )


def ranked(loss: Loss) -> tuple[Effect, ...]:
    """Every effect, worst and earliest first, else in lab order."""
    return tuple(sorted(loss.effects, key=lambda each: (-each.verdict, each.falls_s)))


def headline(standing: Standing, loss: Loss, parts: Sequence[str]) -> str:
    """One line: what falls first and how much else is hurt."""
    down = fallen(standing, loss)
    blinks = [each for each in ranked(loss) if each.verdict is Verdict.BLINKS]
    thin = sum(1 for each in loss.effects if each.verdict is Verdict.THIN)
    said = []
    if down:
        said.append(
            f"{down[0].service} {'loses its data' if down[0].verdict is Verdict.LOST else f'falls {when(down[0])}'}"
        )
        if len(down) > 1:
            said.append(f"{len(down) - 1} more {'falls' if len(down) == 2 else 'fall'}")
    if blinks and not down:
        said.append(f"{blinks[0].service} blinks {when(blinks[0])}")
        if len(blinks) > 1:
            said.append(f"{len(blinks) - 1} more {'blinks' if len(blinks) == 2 else 'blink'}")
    elif blinks:
        said.append(f"{len(blinks)} {'blinks' if len(blinks) == 1 else 'blink'}")
    if not down and not blinks:
        said.append("every service stands")
    if thin:
        said.append(f"{thin} {'has' if thin == 1 else 'have'} nothing to spare")
    out = without(standing.out)
    return f"lose {called_all(parts, standing.lab)}{out}: {', '.join(said)}"


def lines(
    standing: Standing, loss: Loss, margins: Sequence[Margin], down: TakingDown, asked: Asked
) -> Iterator[Line]:
    """The answer for people: every service once, worst first."""
    yield Line(headline(standing, loss, asked.parts), style="head")
    yield Line()
    already = [each.service for each in loss.effects if not standing.baseline.back(each.service)]
    hurt = [each for each in ranked(loss) if each.verdict >= Verdict.BLINKS and each.service not in already]
    names = max((min(len(each.service), WIDEST_NAME) for each in hurt), default=0)
    times = max((len(when(each)) for each in hurt), default=0)
    for each in hurt:
        word = each.verdict.word
        label = f"{word:8}{each.service:{names}}  {when(each):{times}}{'  ' if times else ''}"
        yield Line(told(loss.why(each.service)), label, word)
    for verdict, says in ((Verdict.THIN, "nothing to spare"), (Verdict.STANDS, "")):
        those = [
            each.service for each in loss.effects if each.verdict is verdict and each.service not in already
        ]
        if those:
            said = ", ".join(those)
            yield labelled(verdict.word, f"{said}: {says}" if says else said, style=verdict.word)
    if already:
        yield labelled("down", f"{', '.join(already)}: already, without this loss", style="quiet")
    yield Line()
    yield from _margin(margins)
    yield Line()
    yield from _taking_down(down)
    if asked.picture is not None:
        yield Line()
        yield Line(f"The picture is in {asked.picture}.")


def _margin(margins: Sequence[Margin]) -> Iterator[Line]:
    """What one more loss would do, by part; parts that do the same together."""
    falls: dict[str, list[str]] = {}
    for margin in margins:
        for part in margin.singles:
            falls.setdefault(part, []).append(margin.thing)
    alike: dict[tuple[str, ...], list[str]] = {}
    for part, hurt in falls.items():
        alike.setdefault(tuple(hurt), []).append(part)
    if not alike:
        yield Line("After this no other part has become a single point.")
        return
    worst = sorted(alike, key=lambda services: -len(services))
    yield Line("After this, one part more brings down what it alone would not:")
    for services in worst[:MOST_PARTS]:
        says = listed(services, 4)
        parts = listed(alike[services], 2)
        yield labelled("", f"{parts}: {counted(len(services), 'service')}{' (' + says + ')'}", width=8)
    rest = sum(len(alike[services]) for services in worst[MOST_PARTS:])
    if rest:
        yield labelled(
            "", f"and {counted(rest, 'part')} more; --json lists {'it' if rest == 1 else 'them'}", width=8
        )


_MAY = {May.YES: "stands", May.BUT: "thin", May.NO: "falls"}


def _taking_down(down: TakingDown) -> Iterator[Line]:
    """Whether the parts may be taken down for upkeep, and what to do first."""
    yield Line(
        sentence(down.says),
        f"May {'it' if len(down.parts) < 2 else 'they'} be taken down now: ",
        _MAY[down.may],
    )
    broken = [each.about[0] for each in down.because if each.what is What.AIM]
    if broken:
        said = f"{listed(broken, MOST_AIMS)}: met now, and not until it is back"
        yield labelled("aims", said, style="quiet", indent=2, width=9)
    for number, each in enumerate(down.first):
        yield labelled("" if number else "first", sentence(each), style="quiet", indent=2, width=9)
    if down.not_asked:
        said = listed([each.name for each in down.not_asked], MOST_AIMS)
        yield labelled("unasked", f"aims {said}", style="quiet", indent=2, width=9)
    if down.caution:
        yield labelled("mind", down.caution, style="quiet", indent=2, width=9)
