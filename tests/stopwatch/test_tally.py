import math

from falsework.record.seen import Seen, Told
from falsework.stopwatch.tally import Tally


def test_before_the_first_answer_nothing_is_known():
    """No probe is up or down until it was asked."""
    (probe,) = Tally(1).columns().probes
    assert (probe.told, probe.since_s, probe.asked_s) == (Told.UNKNOWN, 0.0, -math.inf)
    assert math.isnan(probe.usual_s)


def test_since_when_counts_from_the_first_of_its_kind():
    """A row of the same answers counts from the first of them; the words are the last ones."""
    tally = Tally(2)
    tally.take([Seen(1, 1.0, 1.1, Told.YES), Seen(1, 2.0, 2.3, Told.YES), Seen(1, 3.0, 3.2, Told.YES)])
    tally.take([Seen(1, 4.0, 4.0, Told.NO, "refused"), Seen(1, 5.0, 5.0, Told.NO, "reset")])
    probe = tally.columns().probes[1]
    assert (probe.told, probe.since_s, probe.asked_s, probe.says) == (Told.NO, 4.0, 5.0, "reset")
    assert math.isclose(probe.usual_s, 0.2)
    assert probe.changes == ((1.0, Told.YES), (4.0, Told.NO))


def test_silence_that_is_told_late_does_not_undo_what_was_asked_later():
    """A question that was asked before another that is answered already says nothing new."""
    tally = Tally(1)
    tally.take([Seen(0, 0.9, 0.91, Told.YES), Seen(0, 0.0, 1.0, Told.SILENT)])
    (probe,) = tally.columns().probes
    assert (probe.told, probe.since_s) == (Told.YES, 0.9)
