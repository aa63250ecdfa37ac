"""A drill on a stage: run by the tests in a terminal of its own, with a stopwatch that looks at files.

A probe is answered well while the file of its name is there, so the owner's commands are `rm` and `touch`. What is marked goes
to the file `marks`, a line each. The file `dies` ends the stopwatch, `breaks` makes the view fail, `full` makes marks
fail, as a full disk does. The file `later` moves the stage's clock on by an hour: whatever was waited for is over then,
and no sooner, however long the machine is held up.
"""

import json
import sys
import time

from falsework.analyses.drilling import late
from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.verdicts import Verdict
from falsework.errors import FalseworkError
from falsework.faces.cli import drill_before, drill_during, drill_scene
from falsework.faces.cli.drill_conduct import conduct
from falsework.faces.cli.drill_person import Person
from falsework.faces.cli.drill_scene import Scene
from falsework.faces.cli.stopwatch_shown import shown
from falsework.faces.cli.stopwatch_stops import Stops
from falsework.model.asks import Ask, Sort
from falsework.record.live import Live, LiveProbe
from falsework.record.seen import Told
from falsework.support.probing import Question
from falsework.where import Where

NAMES = ("web", "mail")


class Staged:
    """A stopwatch that looks whether files are there."""

    def __init__(self, folder):
        self.folder = folder
        self.began = time.monotonic()
        self.states = {}

    def now_s(self):
        """Seconds since it began."""
        return time.monotonic() - self.began + (3600.0 if (self.folder / "later").exists() else 0.0)

    def mark(self, marked):
        """A line in the file of marks."""
        if (self.folder / "full").exists():
            return False
        with (self.folder / "marks").open("a") as stream:
            stream.write(f"{marked.mark}: {marked.says}\n")
        return True

    def live(self):
        """How the files stand."""
        now = self.now_s()
        if (self.folder / "breaks").exists():
            raise ZeroDivisionError("a defect")
        if (self.folder / "gone").exists():
            raise FalseworkError("the pipe is closed")
        probes = []
        for name in NAMES:
            told = Told.YES if (self.folder / name).exists() else Told.SILENT
            if self.states.get(name, (None, 0))[0] is not told:
                self.states[name] = (told, now)
            probes.append(LiveProbe(told=told, since_s=self.states[name][1], asked_s=now, usual_s=0.002))
        return Live(
            at_s=now,
            probes=tuple(probes),
            until_s=now,
            ended=(self.folder / "dies").exists(),
        )


def question(name):
    """A probe that sees the service of its name."""
    return Question(
        name=f"{name} probe",
        sees=name,
        ask=Ask(sort=Sort.COMMAND, about=f"test -e {name}"),
        expects="",
        from_="",
        every_s=0.05,
        patience_s=0.1,
        where=Where("lab.yaml", 1, 1),
    )


def play(folder, **said):
    """Do the drill; the last line that is printed says what became of it.

    Fields of the plan and of the scene may be given.
    """
    # Where all goes well it goes on as soon as it is seen; a machine that is held up must not be taken for trouble.
    drill_scene.STEADY_S, drill_before.BASELINE_S = said.pop("steady", 0.3), 600.0
    drill_during.MARGIN_S = said.pop("margin", 0.2)
    late.LEAST_LATE_S = said.pop("late", late.LEAST_LATE_S)
    drill_during.LONG_S, drill_during.DOUBT_S, drill_during.HEARD_S = 0.3, 0.3, 0.1
    plan = {
        "name": "stop web",
        "tries": "loss",
        "title": "lose desk-1",
        "lost": ("desk-1",),
        "effects": (Foretold(service="web", verdict=Verdict.FALLS, falls_s=0.0, back_s=float("inf")),),
        "stands": ("mail",),
        "do_words": ("Pull the plug of desk-1",),
        "put_back_words": ("Plug desk-1 in again",),
        "do": "echo done >> did; rm web",
        "put_back": "echo back >> did; touch web",
        "stop_after_s": 600.0,
    }
    plan |= {key: value for key, value in said.items() if key in plan}
    rest = {key: value for key, value in said.items() if key not in plan}
    with Stops() as stops:
        scene = Scene(
            plan=Plan(**plan),
            questions=tuple(question(name) for name in NAMES),
            watch=Staged(folder),
            person=Person(stops, sys.stdin, sys.stdout),
            shown=shown(sys.stdout, plain=True),
            folder=folder,
            **rest,
        )
        try:
            done = conduct(scene)
        finally:
            (folder / "end").write_text(
                json.dumps(
                    {"back": scene.done.back, "given_up": scene.done.given_up, "well": scene.done.well}
                )
            )
    sys.stdout.write(f"STAGE {done.back}; {done.given_up}; {done.well}\n")
