"""How often is each service out, how long, and what matters most?"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.odds.odds import LISTED, odds
from falsework.analyses.odds.result import Odds
from falsework.errors import QuestionError, listed, nearest
from falsework.faces.cli.lines import put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.odds_lines import lines
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.limits import limits, passed
from falsework.faces.plain_odds import odds_answer
from falsework.support.standing import Standing

FEWEST_DRAWS, USUAL_DRAWS, MOST_DRAWS = 20, 200, 100_000
"""Of fewer draws nobody can tell 5 and 95 percent; more than the most tell nothing new."""
MOST_SETS = 10_000
"""Cut sets that may be asked for: a terminal shows no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    services: tuple[str, ...] = ()
    ranges: bool = False
    draws: int | None = None
    most: int = 8
    all: bool = False
    out: tuple[str, ...] = ()
    picture: Path | None = None
    json: bool = False


def odds_of(asked: Asked) -> int:
    """Work out how often and how long, print the answer, return the exit status: 1 where an aim's limit is passed.

    Raises:
        FalseworkError: the file, the question, or the place for the picture.
    """
    draws = _draws(asked)
    if not 1 <= asked.most <= MOST_SETS:
        raise QuestionError(
            f"--most {asked.most} cut sets can't be shown", f"Ask for 1 to {MOST_SETS:,} of them."
        )
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        services = known_services(standing, asked.services)
        found = odds(
            standing,
            services or None,
            draws=draws,
            listed=max(asked.most, LISTED) if services or asked.picture or asked.json else 0,
            progress=lambda done, of: tell("working out each service", done, of),
        )
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.odds import odds_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{odds_sheet(standing, found)}\n", over=True)
    status = status_of(standing, found)
    if asked.json:
        put_text(json.dumps(odds_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, found, asked))
    return status


def known_services(standing: Standing, names: tuple[str, ...]) -> tuple[str, ...]:
    """The services of these names, each once.

    Raises:
        QuestionError: one is no service; names the nearest, or all.
    """
    services = standing.support.services
    for name in names:
        if name in services:
            continue
        near = nearest(name, services)
        other = standing.support.things.get(name)
        what = f"'{name}' is a {other.word}, no service" if other else f"no service is called '{name}'"
        raise QuestionError(
            what, f"Did you mean '{near}'?" if near and not other else f"Services: {listed(services)}."
        )
    return tuple(dict.fromkeys(names))


def status_of(standing: Standing, found: Odds) -> int:
    """1 where a service is expected out for longer than an aim allows, else 0."""
    limit = limits(standing)
    over = any(passed(each, limit.get(each.service)) for each in found.services)
    return BROKEN if over else MET


def _draws(asked: Asked) -> int:
    if asked.draws is None:
        return USUAL_DRAWS if asked.ranges else 0
    if not FEWEST_DRAWS <= asked.draws <= MOST_DRAWS:
        raise QuestionError(
            f"ranges can't be told from {asked.draws:,} draws",
            f"Ask for {FEWEST_DRAWS} to {MOST_DRAWS:,}, or leave --draws out.",
        )
    return asked.draws
