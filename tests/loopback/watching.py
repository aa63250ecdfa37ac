"""A stopwatch that watches a yard: the product's own, in a process of its own, within the yard's network.

Run as `python -m tests.loopback.watching LAB RECORD`: it says when it began, and ends with its standard input.
"""

import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.loopback.yard import ROOT, Done, Yard
from tests.waiting import LONGEST_S

from falsework.errors import FalseworkError
from falsework.model.build import load
from falsework.record.keeping import NewRun, live, observed
from falsework.record.live import LiveProbe
from falsework.record.observed import Observed, Outage
from falsework.record.seen import Told
from falsework.stopwatch.handle import Stopwatch
from falsework.support.probing import DRILL_S, questions

Span = tuple[float, float]
"""Between which two moments something happened, seconds."""
WITHIN_S = 0.15
"""By how much a measured moment may differ from the true one, seconds."""
_LOOK_S = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """A run that goes on: where it is taken down, and what the boot clock said as it began."""

    record: Path
    zero_s: float

    def when(self, done: Done) -> Span:
        """Between which moments of the run something was done; a server that is started serves once that is done."""
        begun_s = done.done_s if done.do == "restart" else done.begun_s
        return begun_s - self.zero_s, done.done_s - self.zero_s

    def until(self, holds: Callable[[tuple[LiveProbe, ...]], bool], *, patience_s: float = LONGEST_S) -> None:
        """Wait until it holds of the probes as they are told."""
        given_up_s = time.monotonic() + patience_s
        while (now := live(self.record)) is None or not holds(now.probes):
            assert time.monotonic() < given_up_s, now
            time.sleep(_LOOK_S)

    def until_all(self, told: Told) -> None:
        """Wait until every probe is told so."""
        self.until(lambda probes: bool(probes) and all(each.told is told for each in probes))

    def seen(self) -> Observed:
        """All that was seen."""
        return observed(self.record, 1)


@contextlib.contextmanager
def watched(yard: Yard, lab: Path, *, trusted: Path | None = None) -> Iterator[Watch]:
    """Watch the probes of a lab file from within a yard."""
    record = lab.with_suffix(".record")
    process = subprocess.Popen(
        yard.command(sys.executable, "-m", "tests.loopback.watching", str(lab), str(record)),
        cwd=ROOT,
        env=os.environ
        | {"PYTHONPATH": f"{ROOT / 'src'}"}
        | ({"SSL_CERT_FILE": str(trusted)} if trusted else {}),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin
    assert process.stdout
    try:
        yield Watch(record=record, zero_s=float(process.stdout.readline()))
        process.stdin.close()
        process.wait(LONGEST_S)
    finally:
        process.kill()
        process.wait()
        process.stdin.close()
        process.stdout.close()
        with contextlib.suppress(FalseworkError):  # it may not have begun
            for gap in observed(record, 1).run.gaps:
                yard.held_up(gap.until_s - gap.from_s)


def off_s(outage: Outage, began_s: Span, ended_s: Span) -> tuple[float, float]:
    """By how much the measured beginning and end differ from the true ones, beyond what a late stopwatch says itself.

    It asks ten times a second; where it could not, the outage says between which moments its ends lie, and only
    what lies outside half of a usual step around those counts.

    Args:
        outage: what was measured.
        began_s: between which moments it truly began, seconds since the run began.
        ended_s: between which moments it truly ended.
    """

    def off(low_s: float, high_s: float, true_s: Span) -> float:
        late_s = max(0.0, (high_s - low_s - DRILL_S) / 2)
        return max(0.0, apart_s((low_s + high_s) / 2, true_s) - late_s)

    return (off(outage.good_s, outage.bad_s, began_s), off(outage.last_bad_s, outage.good_again_s, ended_s))


def apart_s(measured_s: float, true_s: Span) -> float:
    """How far a measured moment lies outside the span in which the true one lies, seconds."""
    return max(true_s[0] - measured_s, measured_s - true_s[1], 0.0)


def main() -> None:
    """Watch until the input ends."""
    lab = load(Path(sys.argv[1]))
    run = NewRun(lab=lab.name, digest="")
    with Stopwatch.begin(questions(lab, usual_s=DRILL_S), Path(sys.argv[2]), run) as stopwatch:
        sys.stdout.write(f"{stopwatch.zero_s}\n")
        sys.stdout.flush()
        sys.stdin.read()


if __name__ == "__main__":
    main()
