"""What does one check say, on one page that needs nothing else?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from falsework.analyses.aims import AimResult
from falsework.analyses.raising.raised import Raised
from falsework.analyses.verdicts import Loss
from falsework.analyses.years.result import Years
from falsework.errors import few
from falsework.faces.report.chances import chances
from falsework.faces.report.elevation import elevation
from falsework.faces.report.failure_map import failure_map
from falsework.faces.report.piece import Piece
from falsework.faces.report.raised import raising
from falsework.faces.report.states import count_line, time
from falsework.faces.report.svg import COLOURS, DARK, FONT
from falsework.faces.report.template import template
from falsework.findings.finding import CODES, DATA_CAUTION, POWER_CAUTION, Finding
from falsework.model.lab import Lab
from falsework.study import Study

if TYPE_CHECKING:
    from falsework.analyses.placing.result import Placing
    from falsework.faces.report.places import Places

SHOWN = 12
"""How many names a list gives before it only counts."""


def report(
    study: Study,
    years: Years | None = None,
    *,
    raised: Raised | None = None,
    loops: tuple[str, ...] = (),
    placing: Placing | None = None,
    pieces: tuple[Piece, ...] = (),
) -> str:
    """One self-contained HTML page: no script, nothing fetched, ready to print.

    Args:
        study: everything that one check found out.
        years: years drawn of the same lab, if any were.
        raised: the order of work that raises it, if it was worked out.
        loops: what waits for each other when it is built or started, in sentences without full stops.
        placing: where copies should run, if that was looked for.
        pieces: what is told of drives, wire, addresses, power, noise and racks, if that was worked out.

    Returns:
        The whole file as text; the same study gives the same text.
    """
    broken = [aim for aim in study.aims if aim.met is False]
    worst = worst_witness(study.aims)
    mends = mends_of(study)
    words = {name: thing.word for name, thing in study.standing.support.things.items()}
    return template("report.html.j2").render(
        study=study,
        verdict=verdict(study),
        aims=worst_first(study.aims),
        mends=mends,
        groups=grouped(tuple(each for each in study.findings if each not in mends.values())),
        elevation=Markup(elevation(study.standing, circles=study.cold.circles)),
        worst=worst,
        worst_line=count_line(worst.witness) if worst is not None and worst.witness is not None else "",
        worst_elevation=Markup(
            elevation(study.standing, worst.witness, circles=study.cold.circles, prefix="worst")
        )
        if worst is not None
        else "",
        failure_map=Markup(failure_map(study.singles, words)),
        cold=cold_words(study),
        chances=chances(study.standing, study.odds, years),
        places=_places(study.lab, placing),
        pieces=pieces,
        raising=raising(study.lab, raised, loops=loops),
        rises=rises(study),
        several=len(broken) > 1,
        power_caution=POWER_CAUTION,
        data_caution=DATA_CAUTION,
        colours=COLOURS,
        dark=DARK,
        font=Markup(FONT),
        listed=listed,
    )


def _places(lab: Lab, found: Placing | None) -> Places | None:
    if found is None:
        return None
    # Only here: what tells of placing loads the solver with it, and most reports have none.
    from falsework.faces.report.places import places

    return places(lab, found)


def worst_first(aims: tuple[AimResult, ...]) -> list[AimResult]:
    """Broken aims, then those that can't be judged, then those that are met, each in the file's order."""
    return sorted(aims, key=lambda aim: {False: 0, None: 1, True: 2}[aim.met])


def mends_of(study: Study) -> dict[str, Finding]:
    """What is found of each broken aim, by the aim's name."""
    return {
        aim.name: finding
        for aim in study.aims
        if aim.met is False
        for finding in study.findings
        if finding.code == "aim broken" and finding.where == aim.where
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Findings of one code.

    Attributes:
        code: of all of them.
        means: what the code means.
        findings: in their order.
    """

    code: str
    means: str
    findings: tuple[Finding, ...]


def grouped(findings: tuple[Finding, ...]) -> tuple[Group, ...]:
    """Findings by code and level, in the order in which the first of each comes."""
    found: dict[tuple[str, int], list[Finding]] = {}
    for finding in findings:
        found.setdefault((finding.code, finding.level), []).append(finding)
    return tuple(
        Group(code=code, means=CODES.get(code, ""), findings=tuple(each)) for (code, _), each in found.items()
    )


def verdict(study: Study) -> str:
    """The sentence on top: "3 of 8 aims are broken"."""
    count = len(study.aims)
    broken = sum(1 for aim in study.aims if aim.met is False)
    unsure = sum(1 for aim in study.aims if aim.met is None)
    if not count:
        return "The lab file names no aims, so nothing can be broken"
    if broken:
        says = f"{broken} of {count} aims {'is' if broken == 1 else 'are'} broken"
    elif unsure < count:
        met = count - unsure
        says = f"No aim is broken, {met} of {count} {'is' if met == 1 else 'are'} met"
        if not unsure:
            says = f"All {count} aims are met" if count > 1 else "The one aim is met"
    else:
        says = f"None of the {count} aims could be judged"
    if unsure and (broken or unsure < count):
        says += f", {unsure} {'is' if unsure == 1 else 'are'} not judged"
    return says


def worst_witness(aims: tuple[AimResult, ...]) -> AimResult | None:
    """The broken aim whose witness hurts most; the first of equals."""
    shown = [aim for aim in aims if aim.met is False and aim.witness is not None]

    def hurts(aim: AimResult) -> tuple[int, int]:
        effects = aim.witness.effects if isinstance(aim.witness, Loss) else ()
        return max((int(each.verdict) for each in effects), default=0), sum(
            int(each.verdict) for each in effects
        )

    return max(shown, key=hurts, default=None)


def cold_words(study: Study) -> tuple[str, ...]:
    """What a cold start without hands does, in sentences without their full stops."""
    cold = study.cold
    found = []
    if cold.whole:
        last = max(
            ((cold.up_s[name], name) for name in study.standing.support.services if name in cold.up_s),
            default=None,
        )
        found.append(
            "Everything comes back by itself"
            + (f"; the last, {last[1]}, {time(last[0])} after the power" if last else "")
        )
    else:
        found.append(f"{listed(cold.stuck)} {'stays' if len(cold.stuck) == 1 else 'stay'} down")
    found.extend(f"Each waits for the next: {' → '.join(circle)}" for circle in cold.circles[:SHOWN])
    if cold.by_hand:
        found.append(f"A hand must switch on {listed(cold.by_hand)}")
    if cold.too_early:
        found.append(f"{listed(cold.too_early)} tried once, too early, and gave up")
    return tuple(found)


def rises(study: Study) -> tuple[tuple[str, str], ...]:
    """When each service is up after a power cut, the earliest first; what stays down comes last."""
    cold = study.cold
    up = [(cold.up_s[name], name) for name in study.standing.support.services if name in cold.up_s]
    down = [name for name in study.standing.support.services if name not in cold.up_s]
    return (*((name, time(at)) for at, name in sorted(up)), *((name, "stays down") for name in down))


def listed(names: tuple[str, ...]) -> str:
    """Names in a sentence: the first few, the rest counted."""
    return few(names, SHOWN) or "nothing"
