"""What do the logs say around an event, in which order, and which of it was foretold?"""

from __future__ import annotations

import datetime
import json
import math
import re
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.evidence.clocks import at_us, clock_of, ties
from falsework.analyses.evidence.foretold import scene
from falsework.analyses.evidence.homes import Homes
from falsework.analyses.evidence.laying import lay
from falsework.analyses.evidence.result import Evidence
from falsework.analyses.evidence.telling import (
    CAUTION,
    clocks_say,
    differs_say,
    headline,
    notes,
    unforetold_says,
)
from falsework.errors import QuestionError, counted, listed
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.evidence_rows import HEAD, chosen, clock, row
from falsework.faces.plain_evidence import evidence_answer
from falsework.logs.gathering import Stretch, gather
from falsework.logs.stamps import SECOND, Stamps
from falsework.record.keeping import observed, record_of, runs
from falsework.record.observed import Observed
from falsework.support.standing import Standing
from falsework.units import Dimension

MOST_UNFORETOLD = 10
LATEST_US = 32_503_680_000 * SECOND
"""The year 3000; later moments are slips."""
LONGEST_S = 400 * 86_400.0
_OFFSET = re.compile(r"([+-])(\d\d):?(\d\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    files: tuple[Path, ...]
    run: int | None = None
    at: str | None = None
    lose: tuple[str, ...] = ()
    before: str = "10min"
    after: str = "30min"
    ordinary: str = "1day"
    zone: str = "UTC"
    record: Path | None = None
    out: tuple[str, ...] = ()
    picture: Path | None = None
    report: Path | None = None
    all: bool = False
    json: bool = False


def tell_evidence(asked: Asked) -> int:
    """Read logs, print the time line, return the exit status.

    Raises:
        FalseworkError: the lab, the record, the question, or the place for a file.
    """
    zone = zone_of(asked.zone)
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing, seen, lost, moment = _event(asked, zone)
        homes = Homes(standing.lab)
        before, after, ordinary = (
            _length(text, option)
            for text, option in (
                (asked.before, "--before"),
                (asked.after, "--after"),
                (asked.ordinary, "--ordinary"),
            )
        )
        begin = moment - before
        found = gather(
            asked.files,
            Stretch(
                ordinary_us=begin - ordinary, from_us=begin, moment_us=moment, until_us=moment + max(after, 1)
            ),
            zone=zone,
            name_of=homes.name,
            reference=clock_of(seen.run, homes) if seen is not None else "",
            ties=None if seen is None else lambda entries: ties(standing.lab, homes, seen, entries),
            tell=tell,
        )
        if not found.files:
            raise QuestionError(
                "none of the files can be read as a log: "
                + "; ".join(
                    (
                        *(f"'{each.path}': {each.what}" for each in found.refused[:8]),
                        *(f"'{each}': it is no log, or empty" for each in found.passed[:8]),
                    )
                ),
                found.refused[0].mend if found.refused else "Name logs whose lines have a time.",
            )
        tell("laying it on one time line", 0, 1)
        evidence = lay(standing, found, homes=homes, observed=seen, lost=lost, grace_s=grace_s(asked.at))
        if asked.picture is not None or asked.report is not None:
            _draw(asked, standing, evidence, zone, tell)
    status = BROKEN if evidence.unforetold or evidence.refused else MET
    if asked.json:
        put_text(json.dumps(evidence_answer(standing, evidence, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, evidence, zone, asked))
    return status


def _draw(asked: Asked, standing: Standing, found: Evidence, zone: datetime.tzinfo, tell: Told) -> None:
    # Only here: drawing and setting load what no other answer needs.
    from falsework.faces.report.time_line import time_line

    tell("drawing", 0, 1)
    drawn = time_line(standing.lab.name, found, zone)
    if asked.picture is not None:
        write(asked.picture, f"{drawn}\n", over=True)
    if asked.report is not None:
        from falsework.faces.report.evidence import evidence_report

        write(asked.report, evidence_report(standing.lab.name, found, zone), over=True)


def _event(asked: Asked, zone: datetime.tzinfo) -> tuple[Standing, Observed | None, tuple[str, ...], int]:
    """The lab with what was out, the run, the parts lost, and the moment in microseconds."""
    if asked.at is not None and asked.run is not None:
        raise QuestionError("both --at and --run say when", "Leave one of them out.")
    if asked.at is not None:
        standing = opened(asked.lab, asked.out)
        return standing, None, standing.known(asked.lose), moment_of(asked.at, zone)
    if asked.lose:
        raise QuestionError(
            "--lose goes with --at: a run knows what it lost",
            "Say the moment with --at, or leave --lose out.",
        )
    path = asked.record if asked.record is not None else record_of(asked.lab)
    if asked.run is None and not path.exists():
        raise QuestionError(
            "nobody says when it happened, and the stopwatch has no record here",
            "Say the moment, as in --at '2026-03-01 04:05:06', or name the record with --record.",
        )
    number = asked.run if asked.run is not None else max((each.number for each in runs(path)), default=0)
    if not number:
        raise QuestionError(f"the record '{path}' has no run", "Say the moment with --at.")
    seen = observed(path, number)
    standing = opened(asked.lab, (*asked.out, *seen.run.out))
    return standing, seen, scene(standing, seen.run.lost).known(seen.run.lost), at_us(seen.run, began_s(seen))


def grace_s(at: str | None) -> float:
    """How long before the moment the first line may be: what is typed is seldom known to the second."""
    if at is None:
        return 0.5
    return 5.0 if at.count(":") > 1 else 60.0


def began_s(seen: Observed) -> float:
    """What a run is about, seconds after it began: what was done, else the first outage, else its beginning."""
    if seen.run.done_s is not None:
        return seen.run.done_s
    return min(
        (outage.from_s for probe in seen.probes for outage in probe.outages if math.isfinite(outage.from_s)),
        default=0.0,
    )


def zone_of(text: str) -> datetime.tzinfo:
    """A zone by its name, or by its offset.

    Raises:
        QuestionError: there is none of that name.
    """
    if text.upper() in ("UTC", "Z"):
        return datetime.UTC
    offset = _OFFSET.fullmatch(text)
    if offset is not None and int(offset[2]) < 24 and int(offset[3]) < 60:
        minutes = (int(offset[2]) * 60 + int(offset[3])) * (-1 if offset[1] == "-" else 1)
        return datetime.timezone(datetime.timedelta(minutes=minutes))
    try:
        return zoneinfo.ZoneInfo(text)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        raise QuestionError(
            f"there is no zone {text[:60]!r}", "Name one such as Europe/Berlin, or an offset such as +01:00."
        ) from None


def moment_of(text: str, zone: datetime.tzinfo) -> int:
    """A moment as typed, in microseconds since 1970.

    Raises:
        QuestionError: it cannot be read.
    """
    given = text.strip()
    found = Stamps(zone).iso(given if given.count(":") > 1 else f"{given}:00") or Stamps(zone).epoch(given)
    if found is None or found[1] < len(given) or not 0 <= found[0] < LATEST_US:
        raise QuestionError(
            f"{text[:60]!r} is no moment",
            "Write it with its date, as in 2026-03-01 04:05:06 or 2026-03-01T04:05:06+01:00.",
        )
    return found[0]


def _length(text: str, option: str) -> int:
    seconds = units.asked(text, Dimension.TIME, by=option)
    if seconds > LONGEST_S:
        raise QuestionError(f"{option} {text} is longer than a year", "Ask about a shorter time.")
    return round(seconds * SECOND)


def _lines(standing: Standing, found: Evidence, zone: datetime.tzinfo, asked: Asked) -> Iterator[Line]:
    run = f", run {found.run}" if found.run is not None else ""
    yield Line(f"{standing.lab.name}{run}: {headline(found)}.", style="head")
    yield Line(
        f"  around {clock(found, 0.0, zone, whole=True)}{', the loss of ' + listed(found.lost) if found.lost else ''}."
    )
    yield Line(f"  {differs_say(found)}.")
    if not found.lines:
        yield Line("  Look at the moment and its zone (--at, --zone), or ask about more (--before, --after).")
    for each in found.refused:
        yield Line()
        yield labelled("remark", f"'{each.file}': {each.what}", style="remark")
        yield labelled("mend", each.mend, style="quiet", indent=8, width=6)
    said = tuple(clocks_say(found))
    if said:
        yield Line()
    for number, clause in enumerate(said):
        yield labelled("" if number else "clocks", f"{clause}.", style="quiet")
    if found.unforetold:
        yield Line()
    for number, (thing, point) in enumerate(found.unforetold[:MOST_UNFORETOLD]):
        yield labelled("" if number else "strange", f"{unforetold_says(thing, point)}.", style="broken")
    if len(found.unforetold) > MOST_UNFORETOLD:
        yield Line(
            f"        and {len(found.unforetold) - MOST_UNFORETOLD} more that the plan did not foretell; --json lists all."
        )
    shown = found.points if asked.all else chosen(found.points)
    if shown:
        yield Line()
        yield from table(HEAD, [row(found, point, zone) for point in shown], right=(1,))
    if len(shown) < len(found.points):
        yield Line(f"  and {counted(len(found.points) - len(shown), 'more point')}; --all shows them.")
    told = tuple(notes(found))
    if told:
        yield Line()
    for number, clause in enumerate(told):
        yield labelled("" if number else "note", f"{clause}.", style="quiet")
    yield Line()
    yield labelled("mind", CAUTION, style="quiet")
