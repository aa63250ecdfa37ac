"""Records on disk of drills that a test makes up, written by the product's own recorder."""

from __future__ import annotations

from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder, record_of
from falsework.record.seen import Mark, Marked, Seen, Told
from falsework.support.probing import questions


def recorded(
    path,
    lost,
    down,
    *,
    drill="",
    tries="loss",
    done_s=10.0,
    put_back_s=130.0,
    until_s=140.0,
    every_s=0.5,
    began=1_795_678_512.0,
    marks=True,
):
    """Write a run into the record beside a lab file.

    Args:
        path: the lab file.
        lost: what the drill takes out.
        down: by probe when it is not answered: (from, until), seconds since the run began.
        drill: its name.
        tries: what it tries.
        done_s: when it is done.
        put_back_s: when it is put back.
        until_s: when the run ends.
        every_s: how often probes ask.
        began: by the clock on the wall.
        marks: whether anything is marked.
    """
    lab = load(path)
    asked = questions(lab, usual_s=every_s)
    run = NewRun(
        lab=lab.name,
        digest=digest_of(lab.files),
        drill=drill,
        tries=tries,
        lost=tuple(lost),
        machine="m",
        began=began,
    )
    recorder = Recorder(record_of(path), run, asked)
    marked = (
        [Marked(at_s=done_s, mark=Mark.DONE), Marked(at_s=put_back_s, mark=Mark.PUT_BACK)] if marks else []
    )
    for tick in range(int(until_s / every_s)):
        at_s = tick * every_s
        for mark in [each for each in marked if at_s <= each.at_s < at_s + every_s]:
            recorder.mark(mark)
        recorder.answers(
            [
                Seen(
                    number,
                    at_s,
                    at_s + 0.01,
                    Told.SILENT if _down(down.get(each.name, ()), at_s) else Told.YES,
                )
                for number, each in enumerate(asked)
            ]
        )
    recorder.beat(until_s, began + until_s)
    recorder.end(until_s)
    return record_of(path)


def _down(times, at_s):
    return any(first <= at_s < last for first, last in times)
