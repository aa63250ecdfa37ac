"""What does one read of how often and how long: every service, worst first, and what to mend first?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Protocol

from falsework.analyses.odds.result import DataOdds, Hangs, Odds, Weight
from falsework.errors import counted, listed
from falsework.faces.amounts import (
    lasting_said,
    minutes_said,
    often_said,
    share_said,
)
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.odds_detail import detail
from falsework.faces.cli.words import joined, without
from falsework.faces.limits import limits, named, passed
from falsework.faces.odds_words import summary
from falsework.findings.finding import DATA_CAUTION
from falsework.support.standing import Standing

MOST_SERVICES = 10
MOST_WEIGHTS = 5
MOST_DATA = 6
MOST_HANGS = 3
WIDEST_NAME = 24
EXPECTED = (
    "These are expectations, over many years: most years have less than that, and a bad one far more. "
    "They are as good as the figures in the lab file."
)


class Wanted(Protocol):
    """What was asked for, as far as it shows."""

    @property
    def services(self) -> tuple[str, ...]:
        """The services that were named."""
        ...

    @property
    def most(self) -> int:
        """How many cut sets."""
        ...

    @property
    def all(self) -> bool:
        """Whether nothing is left out."""
        ...

    @property
    def picture(self) -> Path | None:
        """Where the drawing is."""
        ...


def lines(standing: Standing, found: Odds, asked: Wanted) -> Iterator[Line]:
    """The answer for people: short first, worst first; in detail where services are named."""
    limit = limits(standing)
    if asked.services:
        for number, service in enumerate(found.services):
            if number:
                yield Line()
            yield from detail(service, found, limit=limit.get(service.service), most=asked.most)
    else:
        yield from _overview(standing, found, limit, whole=asked.all)
        yield from data_lines(found.data, whole=asked.all)
    yield Line()
    yield from _assumed(standing, found)
    yield Line(EXPECTED, style="quiet")
    if asked.picture is not None:
        yield Line(f"The picture is in {asked.picture}.")


def headline(standing: Standing, found: Odds) -> str:
    """One line: the worst service, and what would help most."""
    out = without(standing.out)
    if not found.services:
        return f"{standing.lab.name}{out}: no service to speak of"
    worst = found.services[0]
    said = f"{named(standing, worst.service)} is out most, {minutes_said(worst.minutes.best)} a year"
    best = next((each for each in found.weights if each.minutes_off > 0), None)
    if best is not None:
        said += f"; {best.name} would take most off, {minutes_said(best.minutes_off)} over all services"
    return f"{standing.lab.name}{out}: {said}"


def _overview(standing: Standing, found: Odds, limit: Mapping[str, float], *, whole: bool) -> Iterator[Line]:
    yield Line(headline(standing, found), style="head")
    yield Line()
    shown = found.services if whole else found.services[:MOST_SERVICES]
    names = max((min(len(each.service), WIDEST_NAME) for each in shown), default=0)
    times = max((len(minutes_said(each.minutes.best)) for each in shown), default=0)
    for each in shown:
        over = passed(each, limit.get(each.service))
        label = f"{each.service:{names}}  {minutes_said(each.minutes.best):>{times}}  "
        yield Line(summary(each, limit.get(each.service)), label, "broken" if over else "remark")
    left = found.services[len(shown) :]
    if left:
        many = counted(len(left), "more service")
        yield Line(
            f"{many}, none above {minutes_said(left[0].minutes.best)} a year; "
            f"--all shows {'it' if len(left) == 1 else 'them'}."
        )
    if all(each.exact for each in found.services):
        yield Line("All of it is exact, given the figures of the parts.", style="quiet")
    yield from _mend_first(found, whole=whole)
    if found.services and found.services[0].hangs:
        yield Line()
        yield Line(f"What the figure of {found.services[0].service} hangs on most:")
        yield from hangs_lines(found.services[0].hangs[:MOST_HANGS])


def _mend_first(found: Odds, *, whole: bool) -> Iterator[Line]:
    """Parts that help most, those that help the same together."""
    useful = [each for each in found.weights if each.minutes_off > 0]
    if not useful:
        return
    alike: dict[str, list[Weight]] = {}
    for each in useful:
        alike.setdefault(_helps(each, found), []).append(each)
    groups = list(alike.items())
    shown = groups if whole else groups[:MOST_WEIGHTS]
    yield Line()
    yield Line("Mend this first; if it never failed, that would take off a year:")
    times = max(len(minutes_said(parts[0].minutes_off)) for _, parts in shown)
    for says, parts in shown:
        names = [each.name for each in parts]
        name = joined(names) if len(names) <= 3 else f"each of {listed(names, 3)}"
        if 1 < len(names) <= 3:
            name = f"each of {name}"
        yield Line(f"{name}{says}", f"  {minutes_said(parts[0].minutes_off):>{times}}  ")
    rest = sum(len(parts) for _, parts in groups[len(shown) :])
    if rest:
        yield labelled("", f"and {counted(rest, 'part')} more, each less; --all shows them", width=2)


def _helps(weight: Weight, found: Odds) -> str:
    """Off which services a part would take how much: `: mail 30 min, files 4 min`."""
    off = [
        (mine.minutes_off, each.service)
        for each in found.services
        for mine in each.weights
        if mine.name == weight.name and mine.minutes_off > 0
    ]
    if not off:
        return ""
    off.sort(key=lambda pair: -pair[0])
    said = [f"{service} {minutes_said(minutes)}" for minutes, service in off]
    return f": {listed(said, 4)}"


def hangs_lines(hangs: Sequence[Hangs]) -> Iterator[Line]:
    """Assumptions and how much of the spread each makes."""
    for each in hangs:
        about = f" ({listed(each.names, 3)})" if each.names else ""
        said = (
            f"`{each.key}` in the lab file says it"
            if each.said
            else f"assumed; `{each.key}` in the lab file replaces it"
        )
        yield Line(f"{each.of}{about}: {said}", f"  {share_said(each.share):>5}  ")


def data_lines(data: Sequence[DataOdds], *, whole: bool) -> Iterator[Line]:
    """How often data are gone, worst first, and the caution that belongs to it."""
    if not data:
        return
    yield Line()
    ranked = sorted(data, key=lambda each: (-each.lost_per_year, -each.restored_per_year))
    shown = ranked if whole else ranked[:MOST_DATA]
    for each in shown:
        said = [f"gone, its backups too, {often_said(each.lost_per_year)}"]
        if each.restored_per_year > 0:
            work = f", with {lasting_said(each.work_lost_s)} of work lost" if each.work_lost_s else ""
            said.append(f"brought back from a backup {often_said(each.restored_per_year)}{work}")
        yield labelled("data", f"{each.data}: {'; '.join(said)}", style="remark")
    left = len(ranked) - len(shown)
    if left:
        yield labelled("", f"and {counted(left, 'set')} more of data, each safer; --all shows them")
    yield labelled("mind", DATA_CAUTION, style="quiet")


def _assumed(standing: Standing, found: Odds) -> Iterator[Line]:
    for each in found.assumed:
        yield labelled("assumed", f"{each}.", style="quiet", width=9)
    figures = len(standing.lab.assumptions)
    if figures:
        yield Line(
            f"{counted(figures, 'figure')} assumed; `falsework check --assumed` lists {'it' if figures == 1 else 'them'}."
        )
    if found.services and not found.draws:
        yield Line("--ranges tells how sure the figures are, and what they hang on.")
