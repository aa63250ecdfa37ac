"""How long did it take to bring data back from a backup?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.analyses.drilling import plan_for
from falsework.analyses.learning.moments import written
from falsework.analyses.learning.result import Measured, Passed
from falsework.analyses.learning.worked_out import worked_out_s
from falsework.errors import QuestionError
from falsework.model.drilling import Drill
from falsework.model.parts import ThingId
from falsework.model.services import Data
from falsework.model.timed import Timing
from falsework.model.timing import belief_of
from falsework.record.observed import Run
from falsework.support.standing import Standing


def restored_data(standing: Standing, run: Run) -> tuple[Data, ...]:
    """The data that a run brought back: those of the drill, the owner's or one of the list of those worth doing."""
    if run.tries != "restore" or run.done_s is None:
        return ()
    names: Sequence[str]
    own = standing.lab.things.get(ThingId(run.drill))
    if isinstance(own, Drill):
        names = own.of.ids if own.of is not None else ()
    else:
        try:
            names = plan_for(standing, [run.drill]).of
        except QuestionError:
            return ()  # the lab has no such drill any more
    things = [standing.lab.things.get(ThingId(name)) for name in names]
    return tuple(each for each in things if isinstance(each, Data))


def restored(standing: Standing, run: Run) -> Iterator[Measured | Passed]:
    """From the mark that it was begun until the one that it is done, of one set of data with one backup.

    What was quicker than it can be believed to be was a part of it, and no more.
    """
    some = restored_data(standing, run)
    for data in some:
        begun_s = run.begun_s
        if len(some) > 1:
            why = "other data were brought back with it, so that its own time can't be told"
        elif len(data.backed_up) > 1:
            why = "it has several backups, and which one takes how long can't be said of it yet"
        elif begun_s is None or run.done_s is None:
            why = "nobody marked when bringing it back began"
        else:
            took_s = run.done_s - begun_s
            belief = belief_of(data, "restores_in", worked_out_s(standing.lab, data, "restores_in"))
            if took_s > 0 and (belief is None or took_s >= belief.next[0]):
                timing = Timing(took_s, written(run.began))
                yield Measured(thing=data.id, attribute="restores_in", timing=timing, run=run.number)
                continue
            why = "it was back so soon that it can hardly have been all of it; tell it with --took if it was"
        yield run.number, data.id, why
