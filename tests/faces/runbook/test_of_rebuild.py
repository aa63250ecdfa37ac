import datetime
import math
from dataclasses import replace

import pytest
from tests.faces.handmade_raising import shed, three
from tests.faces.runbook.papers import pages

from falsework.analyses.rebuild.result import (
    Fate,
    Loss,
    Objective,
    Save,
    Source,
    Task,
    Teardown,
    Way,
    Work,
)
from falsework.faces.runbook.markdown import markdown
from falsework.faces.runbook.of_rebuild import of_rebuild
from falsework.faces.runbook.pdf import pdf

DAY = datetime.date(2026, 12, 4)
MEND = Work(
    number=1,
    task=Task.MEND,
    things=("desk-1",),
    says="replace desk-1",
    takes=three(30, 60, 180),
    hands_s=1200.0,
    waits_s=9 * 86400.0,
    begins_s=9 * 86400.0,
    ends_s=9 * 86400.0 + 3600.0,
    by=("me",),
    command="install desk-1",
    check="it answers",
    cautions=("desk-1 weighs 21 kg.",),
    assumed=True,
)
RESTORE = Work(
    number=2,
    task=Task.RESTORE,
    things=("zones",),
    says="restore zones from drawer",
    takes=three(5, 10, 20),
    after=(1,),
    moves=float(1024**3),
    slowest="one drive",
    begins_s=9 * 86400.0 + 3600.0,
    ends_s=9 * 86400.0 + 4200.0,
)
LOSS = Loss(
    lost=("desk-1",),
    destroyed=("desk-1", "names.1"),
    fallen=("installer",),
    way=Way.ONLY_HERE,
    fates=(
        Fate(thing="diary", word="data", way=Way.ONLY_HERE, mend="keep a backup in the drawer", reasons=("it lay on desk-1 alone",), loses_s=math.inf, back_s=math.inf),
        Fate(
            thing="zones",
            word="data",
            way=Way.RESTORED,
            source=Source(to=("drawer",), every_s=86400.0, proved=None, outside=True, needs=("root key",)),
            loses_s=86400.0,
            back_s=9 * 86400.0 + 4200.0,
        ),
        Fate(thing="desk-1", word="node", way=Way.MADE, back_s=9 * 86400.0 + 3600.0),
    ),
    works=(MEND, RESTORE),
    back_s=three(9 * 1440 + 35, 9 * 1440 + 70, 9 * 1440 + 200),
    hands_s=1200.0,
    objectives=(
        Objective(data="zones", may_lose_s=3600.0, loses_s=86400.0, back_within_s=None, back_s=781800.0),
    ),
    assumed=("a spare is ordered at once",),
)  # fmt: skip
SAVE = Save(
    thing="diary",
    word="data",
    size=2.0**30,
    to="outside",
    why=("it is nowhere else",),
    brings=("diary",),
    takes_s=60.0,
    slowest="one drive",
    assumed=False,
)


def test_a_loss():
    """Each piece of work is a box in its order; what never comes back, whence the rest, and broken aims are told."""
    of = of_rebuild(shed().lab, LOSS, date=DAY)
    boxes = of.chapters[-1].boxes
    assert [box.number for box in boxes] == ["1", "2"]
    assert boxes[0].needs == ("a delivery, 9 days after the loss",)
    assert boxes[0].hands == "20 min of work, me"
    assert boxes[1].needs == ("step 1 done",)
    assert boxes[1].moves == ("1 GiB (one drive)",)
    assert boxes[1].when == "from 9 days 1 h to 9 days 1 h after the loss"
    assert "Diary was only here and does not come back." in of.lead
    assert "What would have brought back diary: keep a backup in the drawer." in of.lead
    assert "A spare is ordered at once." in of.lead
    text = " ".join(pages(pdf(of)))
    assert "drawer, with root key; never seen restored" in text
    assert "NOT MET" in text
    assert "install desk-1" in text


def test_a_teardown():
    """What to save comes before everything else, with how much and how long, and what is lost even so."""
    down = Teardown(
        remains=("drawer", "me"),
        unsaved=LOSS,
        saves=(SAVE,),
        size=SAVE.size,
        takes_s=60.0,
        proven=True,
        saved=replace(LOSS, works=(replace(MEND, task=Task.SAVE, says="copy diary out"), replace(RESTORE))),
        gone=("old logs",),
    )
    of = of_rebuild(shed().lab, down, date=DAY)
    assert of.chapters[0].title == "Save before anything is taken down"
    assert of.chapters[-1].boxes[0].when == "before the teardown"
    assert "Save diary first: 1 GiB, 1 min of copying; no shorter list does." in of.lead
    assert "Even so old logs can't be got back." in of.lead
    assert "data diary" in markdown(of)


@pytest.mark.parametrize("works", [(), (MEND,)])
def test_nothing_to_restore(works):
    """A loss without data or objectives makes a paper without empty tables."""
    of = of_rebuild(shed().lab, replace(LOSS, fates=(), objectives=(), works=works), date=DAY)
    assert [chapter.title for chapter in of.chapters] == (["The work"] if works else [])
    assert pdf(of)
