"""What does the record tell those who collect figures over time, as OpenMetrics 1.0 text?

Source: OpenMetrics 1.0, Internet-Draft draft-richih-opsawg-openmetrics-00, sections "Data Model" and "ABNF".
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework import __version__
from falsework.analyses.history import Left, Past, Recovery
from falsework.record.live import Live
from falsework.record.seen import Told
from falsework.support.standing import Standing

MEDIA_TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8"
_ESCAPES = str.maketrans({"\\": "\\\\", '"': '\\"', "\n": "\\n"})
Sample = tuple[Mapping[str, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Samples of one name.

    Attributes:
        name: without what its type puts behind it; ends with its unit where it has one.
        type: counter, gauge or info.
        help: what it says, in words.
        samples: labels and value; each set of labels once.
        unit: in the plural; empty for none.
    """

    name: str
    type: str
    help: str
    samples: tuple[Sample, ...]
    unit: str = ""


def exposition(
    standing: Standing,
    runs: Sequence[Past],
    recovery: Recovery,
    left: Sequence[Left],
    live: Live | None,
    aims: Mapping[str, bool | None] | None = None,
) -> str:
    """The whole text, its last line `# EOF`.

    Args:
        standing: the lab, with what is out today.
        runs: all runs of the record, oldest first.
        recovery: what they prove.
        left: the margins that are left.
        live: how the newest run stands; None if there is none.
        aims: which aims are met; None where nobody has judged them.
    """
    families = (
        *_lab(standing, aims),
        *_margins(left),
        *_recovery(recovery),
        *_runs(runs),
        *_now(runs, live),
    )
    return "".join(f"{line}\n" for line in (*_written(families), "# EOF"))


def _lab(standing: Standing, aims: Mapping[str, bool | None] | None) -> Iterator[Family]:
    yield Family(
        name="falsework_build",
        type="info",
        help="The program that wrote this.",
        samples=(({"version": __version__}, 1),),
    )
    yield Family(
        name="falsework_lab",
        type="info",
        help="The lab that this is about.",
        samples=(({"lab": standing.lab.name}, 1),),
    )
    yield Family(
        name="falsework_part_out",
        type="gauge",
        help="1 for each part that is known to be out.",
        samples=tuple(({"part": part}, 1.0) for part in sorted(standing.out)),
    )
    if aims is not None:
        yield Family(
            name="falsework_aim_met",
            type="gauge",
            help="1 where an aim of the lab file is met, 0 where it is broken, NaN where that can't be judged.",
            samples=tuple(
                ({"aim": name}, math.nan if met is None else float(met)) for name, met in aims.items()
            ),
        )


def _margins(left: Sequence[Left]) -> Iterator[Family]:
    yield Family(
        name="falsework_service_margin",
        type="gauge",
        help="How many further parts must fail, at the least, until the service falls; 0 if it is down, and one more "
        "than was looked at where that brings down none.",
        samples=tuple(
            ({"service": each.service}, float(each.looked_at + 1 if each.least is None else each.least))
            for each in left
        ),
    )


def _recovery(recovery: Recovery) -> Iterator[Family]:
    rows = [({"of": row.of, "comes_back": str(row.sort)}, row) for row in recovery.rows]
    for name, help_, values in (
        ("aim", "How long it may take to come back.", [row.aim_s for _, row in rows]),
        ("foretold", "The longest that the lab file foretells.", [row.foretold_s for _, row in rows]),
        (
            "worst",
            "The longest in any drill; +Inf where it did not come back.",
            [row.worst_s for _, row in rows],
        ),
        ("usual", "The median over the drills.", [row.usual_s for _, row in rows]),
    ):
        yield Family(
            name=f"falsework_recovery_{name}_seconds",
            type="gauge",
            unit="seconds",
            help=help_,
            samples=tuple(
                (labels, float(value))
                for (labels, _), value in zip(rows, values, strict=True)
                if value is not None
            ),
        )
    yield Family(
        name="falsework_recovery_proved_timestamp_seconds",
        type="gauge",
        unit="seconds",
        help="The day on which it was last seen to come back, from its midnight in UTC; missing where it never was.",
        samples=tuple((labels, _midnight(row.proof.on)) for labels, row in rows if row.proof is not None),
    )


def _runs(runs: Sequence[Past]) -> Iterator[Family]:
    yield Family(
        name="falsework_runs",
        type="counter",
        help="Runs of the stopwatch in the record.",
        samples=(({}, float(len(runs))),),
    )
    # What may fall is no counter (section "Counter"): drills are judged anew when the lab file changes, and an outage
    # ends before the moment up to which it was known to last.
    drills = [each for each in runs if each.observed.run.drill or each.observed.run.lost]
    yield Family(
        name="falsework_drills",
        type="gauge",
        help="Runs in which something was tried, by what came of it as the lab file stands now.",
        samples=tuple(
            ({"outcome": word}, float(sum(1 for each in drills if _outcome(each) == word)))
            for word in ("as foretold", "otherwise", "not judged")
        ),
    )
    out_s: dict[tuple[str, str], float] = {}
    for each in runs:
        for probe in each.observed.probes:
            key = (probe.probe, probe.sees)
            lasted_s = sum(
                max(min(outage.until_s, each.observed.run.until_s) - outage.from_s, 0.0)
                for outage in probe.outages
            )
            out_s[key] = out_s.get(key, 0.0) + lasted_s
    yield Family(
        name="falsework_probe_out_seconds",
        type="gauge",
        unit="seconds",
        help="How long a probe was not answered well, in all runs of the record.",
        samples=tuple(({"probe": probe, "sees": sees}, seconds) for (probe, sees), seconds in out_s.items()),
    )


def _now(runs: Sequence[Past], live: Live | None) -> Iterator[Family]:
    yield Family(
        name="falsework_stopwatch_running",
        type="gauge",
        help="1 while a stopwatch writes the record.",
        samples=(({}, 0.0 if live is None or live.ended else 1.0),),
    )
    if not runs:
        return
    newest = runs[-1].observed
    yield Family(
        name="falsework_run_known_timestamp_seconds",
        type="gauge",
        unit="seconds",
        help="How far the newest run is known.",
        samples=(({"run": str(newest.run.number)}, newest.run.began.timestamp() + newest.run.until_s),),
    )
    if live is not None and len(live.probes) == len(newest.probes):
        yield Family(
            name="falsework_probe_answered",
            type="gauge",
            help="1 where the newest run was answered well last, 0 where it was not, NaN where nobody knows.",
            samples=tuple(
                (
                    {"probe": seen.probe, "sees": seen.sees},
                    math.nan if now.told is Told.UNKNOWN else float(now.told is Told.YES),
                )
                for seen, now in zip(newest.probes, live.probes, strict=True)
            ),
        )


def _outcome(past: Past) -> str:
    if past.comparison is None:
        return "not judged"
    return "as foretold" if past.comparison.right else "otherwise"


def _midnight(day: datetime.date) -> float:
    return datetime.datetime.combine(day, datetime.time(), datetime.UTC).timestamp()


def _written(families: Iterable[Family]) -> Iterator[str]:
    for family in families:
        yield f"# TYPE {family.name} {family.type}"
        if family.unit:
            yield f"# UNIT {family.name} {family.unit}"
        yield f"# HELP {family.name} {_escaped(family.help)}"
        suffix = {"counter": "_total", "info": "_info"}.get(family.type, "")
        for labels, value in family.samples:
            said = ",".join(f'{name}="{_escaped(text)}"' for name, text in labels.items())
            yield f"{family.name}{suffix}{'{' + said + '}' if said else ''} {_number(value)}"


def _escaped(text: str) -> str:
    """Text between quotes; what UTF-8 can't carry is replaced, and what would steer a terminal is spelt out."""
    whole = text.encode("utf-8", "replace").decode("utf-8")
    shown = (
        sign if sign == "\n" or sign.isprintable() else sign.encode("unicode_escape").decode("ascii")
        for sign in whole
    )
    return "".join(shown).translate(_ESCAPES)


def _number(value: float) -> str:
    if math.isnan(value):
        return "NaN"
    if math.isinf(value):
        return "+Inf" if value > 0 else "-Inf"
    return repr(round(value, 6)) if value % 1 else str(int(value))
