"""A record as two drills and a watch that was killed leave it."""

import datetime
import shutil
from pathlib import Path

from falsework.lab.digest import digest_of
from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder, record_of
from falsework.record.seen import Gap, Jump, Mark, Marked, Seen, Told, Why
from falsework.support.probing import questions

LAB = Path(__file__).with_name("rock.yaml")
STEP_S = 0.5


def kept(folder):
    """A copy of the lab with its record beside it; the lab file's path."""
    lab = folder / "rock.yaml"
    shutil.copyfile(LAB, lab)
    drilled(lab, 3, {"front": (10.0, 14.0), "post": (10.0, 45.0)}, back_s=90.0)
    drilled(
        lab,
        4,
        {"front": (10.0, 13.0), "post": (10.0, 91.5), "pages": (30.0, 33.0)},
        back_s=90.0,
        gap=Gap(from_s=60.0, until_s=62.0, why=Why.ASLEEP),
        jump=Jump(at_s=62.0, by_s=-3600.0),
    )
    drilled(lab, 5, {"pages": (20.0, 20.5)}, drill="", until_s=30.0, ends=False)
    return lab


def drilled(
    lab, day, out, *, drill="pull a desk", back_s=None, until_s=120.0, gap=None, jump=None, ends=True
):
    """One run of the stopwatch: each probe is out from, until."""
    asked = questions(load(lab), usual_s=STEP_S)
    began = datetime.datetime(2026, 3, day, 9, 30, tzinfo=datetime.UTC).timestamp()
    run = NewRun(
        lab="Small Rock",
        digest=digest_of(load(lab).files),
        drill=drill,
        tries="loss" if drill else "",
        lost=("desk-1",) if drill else (),
        machine="laptop",
        began=began,
    )
    taker = Recorder(record_of(lab), run, asked)
    for step in range(int(until_s / STEP_S)):
        at_s = step * STEP_S
        if gap and gap.from_s < at_s < gap.until_s:
            continue
        batch = []
        for number, question in enumerate(asked):
            from_s, to_s = out.get(question.name, (0.0, 0.0))
            bad = from_s <= at_s < to_s
            says = "refused" if bad else "certificate ends in 9 days" if number == 0 and at_s > 100 else ""
            batch.append(Seen(number, at_s, at_s + 0.002, Told.NO if bad else Told.YES, says))
        taker.answers(batch)
        if drill and at_s == 10.0:
            taker.mark(Marked(at_s=at_s, mark=Mark.DONE, says="the plug of desk-1"))
        if at_s == back_s:
            taker.mark(Marked(at_s=at_s, mark=Mark.PUT_BACK))
    if gap:
        taker.gap(gap)
    if jump:
        taker.jump(jump)
    if ends:
        taker.end(until_s)
    else:
        taker.beat(until_s, began + until_s)
        # As a kill leaves it: nobody ends it, and its process is no more.
        taker._file.execute(
            'UPDATE run SET process = \'["elsewhere", "", 1, ""]\' WHERE number = ?', (taker.number,)
        )
        taker._file.close()
