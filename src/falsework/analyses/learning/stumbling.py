"""How often was a service asked to take over or to restart, and how often did it not do so?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.comparing import Comparison, Line, Sort, Wrong
from falsework.analyses.learning.measured import active_fell
from falsework.analyses.learning.moments import is_later, written
from falsework.analyses.learning.proving import worked
from falsework.analyses.learning.result import Counts
from falsework.analyses.verdicts import Loss, Verdict
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.model.stumbling import Stumbled, guess_of, share_of
from falsework.record.observed import Run
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One time in which a service had to take over or to restart by itself.

    Attributes:
        service: its id.
        worked: whether it did.
        run: in which.
    """

    service: str
    worked: bool
    run: Run


def trials(standing: Standing, loss: Loss, comparison: Comparison, run: Run) -> Iterator[Trial]:
    """The services that were foretold to come back by their own doing, and did or did not.

    Not counted is what was not seen whole, what went wrong otherwise, and what stayed out while something that it leans on
    did too.
    """
    window_s = comparison.until_s - comparison.from_s
    for line in comparison.lines:
        if not line.service or line.foretold.verdict is not Verdict.BLINKS or not _own(standing, loss, line):
            continue
        if worked(line, window_s):
            yield Trial(service=line.thing, worked=True, run=run)
        elif line.sort is Sort.WRONG and line.wrong is Wrong.STAYED and line.sure:
            under = standing.support.under(line.thing)
            if not any(
                other.wrong is Wrong.STAYED and other.thing in under
                for other in comparison.lines
                if other is not line
            ):
                yield Trial(service=line.thing, worked=False, run=run)


def counts(lab: Lab, found: Sequence[Trial]) -> Iterator[Counts]:
    """What trials add to what the lab file has counted, in the order of the lab; those that it has are left out."""
    for service in lab.of(Service):
        known = service.stumbled
        until = known.until if known is not None else ""
        some = [each for each in found if each.service == service.id and is_later(each.run.began, until)]
        corrected = known.corrected if known is not None else None
        before = corrected.before if corrected is not None else service.stumbles
        said = "stumbles" in service.places
        guess = guess_of(before, written=said) if before is not None else None
        if not some or guess is None:
            continue
        failed = sum(not each.worked for each in some)
        prior = corrected.belief if corrected is not None else guess
        posterior = prior.updated(failed, len(some))
        after = Stumbled(
            failed + (known.failed if known is not None else 0),
            len(some) + (known.of if known is not None else 0),
            written(max(each.run.began for each in some)),
        )
        yield Counts(
            thing=service.id,
            known=known,
            failed=failed,
            of=len(some),
            after=after,
            source="written" if said else "assumed",
            guess=guess,
            posterior=posterior,
            share_before=service.stumbles,
            share_after=share_of(posterior),
            runs=tuple(each.run.number for each in some),
        )


def _own(standing: Standing, loss: Loss, line: Line) -> bool:
    """Whether coming back was its own doing, and not only that of what it leans on."""
    service = standing.lab.things[ThingId(line.thing)]
    if not isinstance(service, Service):
        return False
    if service.takes_over is not None or service.floats is not None:
        return active_fell(standing, loss, service.id)
    gone = {*loss.down, *loss.lost}
    return any(
        copy.service == service.id and (copy.host in gone or copy.id in loss.lost)
        for copy in standing.lab.of(Copy)
    )
