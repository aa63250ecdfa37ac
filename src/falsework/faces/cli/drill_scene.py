"""What does every stage of a drill work with: the plan, the stopwatch, the person, and what has become of it so far?"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.verdicts import Verdict
from falsework.errors import FalseworkError
from falsework.faces.cli.drill_person import Person
from falsework.faces.cli.drill_words import foretold_beside
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.cli.stopwatch_shown import Shown
from falsework.faces.cli.stopwatch_strip import Strips
from falsework.faces.cli.stopwatch_view import Sight
from falsework.faces.stopwatch_words import spell
from falsework.record.live import Live
from falsework.record.seen import Mark, Marked, Told
from falsework.stopwatch.acting import Action, Ended
from falsework.support.probing import Question

STEADY_S = 2.0
"""For so long, and for three answers, a probe is answered well before that counts."""


_TAKE_OUT = ("loss", "failover", "cut", "cold start")
"""What is tried here takes something out, so that the first outage after it began shows that it is done."""


class Watch(Protocol):
    """The stopwatch, as a drill needs it."""

    def mark(self, marked: Marked) -> object:
        """Note a moment; False where it is not in the record."""

    def now_s(self) -> float:
        """Seconds since the run began."""

    def live(self) -> Live:
        """How things stand."""


class Back(StrEnum):
    """What became of what was taken out."""

    NOTHING = "nothing was taken out"
    COMMAND = "put back by your command"
    FAILED = "your command to put it back did not end well"
    HAND = "put back by hand"
    LEFT = "not put back"


class LeftError(Exception):
    """Somebody asked twice to leave at once; no fault, only the way out."""


@dataclass(slots=True, kw_only=True)
class Done:
    """What became of a drill.

    Attributes:
        begun: whether the action was begun.
        given_up: why it was given up, a clause; empty where it came to its end.
        back: what became of what was taken out.
        well: whether everything was answered well at the end that was before.
        poorly: probes that were not, by name.
        did: how the owner's command ended, where there is one.
    """

    begun: bool = False
    given_up: str = ""
    back: Back = Back.NOTHING
    well: bool = False
    poorly: tuple[str, ...] = ()
    did: Ended | None = None


@dataclass(slots=True, kw_only=True)
class Scene:
    """One drill that is being done.

    Attributes:
        plan: what is tried.
        questions: that are asked meanwhile.
        watch: asks them.
        person: at the terminal.
        shown: shows what is seen.
        folder: where the owner's commands run.
        head: sentences over the view.
        foot: a sentence under it: what is being done, and which keys do what.
        yes: they have said yes to all of it beforehand.
        although: why it is done although something speaks against it; empty where nothing does.
        plain: only plain signs.
        done: what became of it so far.
        good: the probes that were answered well before the action, by number.
        based: whether those are known.
        live: how things stood at the last look.
        blind: why nothing is measured any more, a clause; empty while it is.
        acting: the owner's command that was begun last.
        began_s: when the action was begun, seconds since the run began; infinity before.
        done_s: when it was done.
        doubt_s: when the owner's command ended otherwise than well, with nothing seen of its work; infinity where not.
        putting_back: whether putting back has been begun.
        heard_s: when it was last told what a command wrote.
        owed: moments that are not in the record yet.
    """

    plan: Plan
    questions: Sequence[Question]
    watch: Watch
    person: Person
    shown: Shown
    folder: Path
    head: tuple[str, ...] = ()
    foot: str = ""
    yes: bool = False
    although: str = ""
    plain: bool = False
    done: Done = field(default_factory=Done)
    good: frozenset[int] = frozenset()
    live: Live | None = None
    blind: str = ""
    acting: Action | None = None
    began_s: float = math.inf
    done_s: float = math.inf
    doubt_s: float = math.inf
    based: bool = False
    putting_back: bool = False
    heard_s: float = -math.inf
    owed: list[Marked] = field(default_factory=list)
    _strips: Strips = field(init=False)
    _beside: Mapping[int, str] = field(init=False)
    _effects: Mapping[str, Foretold] = field(init=False)

    def __post_init__(self) -> None:
        self._strips = Strips(len(self.questions))
        self._beside = foretold_beside(self.plan, self.questions)
        self._effects = {each.service: each for each in self.plan.effects}

    @property
    def stopped(self) -> bool:
        """Whether somebody has asked to stop, and nothing has been done about it yet."""
        return self.person.stops.pending

    def effect(self, number: int) -> Foretold | None:
        """What is foretold of what a probe sees; None where it goes on, or nothing is foretold."""
        return self._effects.get(self.questions[number].sees)

    def look(self) -> None:
        """See how things stand, and show it."""
        try:
            live = self.watch.live()
        except (OSError, EOFError, FalseworkError) as error:
            self.blind = self.blind or what_of(error)
            return
        if live.ended and not self.blind:
            self.blind = live.faults[-1].what.rstrip(".") if live.faults else "nobody knows why"
        self.live = live
        changes = self._strips.look(live)
        self.shown.look(
            Sight(
                questions=self.questions,
                live=live,
                strips=self._strips,
                head=(*self.head, *self._since(live)),
                foot=(self.foot,) if self.foot else (),
                beside=self._foretold_of(),
                plain=self.plain,
            ),
            changes,
        )

    def steady(self) -> frozenset[int]:
        """The probes that have been answered well for a moment."""
        if self.live is None:
            return frozenset()
        return frozenset(
            number
            for number, each in enumerate(self.live.probes)
            if each.told is Told.YES
            and each.asked_s - each.since_s >= max(STEADY_S, 2 * self.questions[number].every_s) - 0.2
        )

    def _since(self, live: Live) -> tuple[str, ...]:
        """How long ago it was done: what is foretold counts from there."""
        return () if math.isinf(self.done_s) else (f"done {spell(live.at_s - self.done_s)} ago",)

    def _foretold_of(self) -> Mapping[int, str]:
        """What stands beside the probes: nothing where one was not answered well before, so that nobody can tell."""
        if not self.based:
            return self._beside
        return {number: says for number, says in self._beside.items() if number in self.good}

    def glance(self) -> None:
        """The same where nothing may be in the way: while it is put back, a view that fails is not."""
        try:
            self.look()
        except Exception as error:
            self.blind = self.blind or what_of(error)

    def names(self, numbers: frozenset[int]) -> tuple[str, ...]:
        """Probes by name, in lab order."""
        return tuple(self.questions[each].name for each in sorted(numbers))

    def until(self, met: Callable[[], bool], *, patience_s: float, key: str = "") -> None:
        """Look on until it is met, the patience is over, somebody asks to stop, a key is pressed, or all is dark."""
        end = self.watch.now_s() + patience_s
        with self.person.keys():
            while not self.blind and not self.stopped:
                self.look()
                if met() or self.watch.now_s() >= end:
                    break
                if key and self.person.key() == key:
                    break
                if not key:
                    self.person.key()
        self.shown.pause()

    def first_out_s(self) -> float | None:
        """Since when something is out that shows that the action is done: what is foretold to go out, if a probe sees it."""
        if self.live is None or self.plan.tries not in _TAKE_OUT:
            return None
        hurt = [number for number in self.good if self._goes_out(number)] or self.good
        since = [
            each.since_s
            for number, each in enumerate(self.live.probes)
            if number in hurt and each.told in (Told.NO, Told.SILENT) and each.since_s >= self.began_s
        ]
        return min(since, default=None)

    def _goes_out(self, number: int) -> bool:
        effect = self.effect(number)
        if effect is None:
            return self.questions[number].sees in self.plan.lost
        return effect.verdict >= Verdict.BLINKS and not math.isinf(effect.falls_s)

    def mark(self, mark: Mark, says: str, *, at_s: float | None = None) -> None:
        """Keep a moment in the record; a record that can't be written holds up nothing."""
        self.owed.append(Marked(at_s=self.watch.now_s() if at_s is None else at_s, mark=mark, says=says))
        self.settle()

    def settle(self) -> None:
        """Keep the moments that are owed to the record; a stopwatch that is stuck may take seconds over each."""
        while self.owed:
            marked = self.owed.pop(0)
            try:
                kept = self.watch.mark(marked)
            except (OSError, EOFError, FalseworkError):
                kept = False
            if kept is False:
                said = f"not in the record{'' if self.blind else ' yet'}: {marked.mark}: {marked.says}"
                self.note(labelled("mind", said, style="thin"))

    def give_up(self, why: str) -> None:
        """It does not go on as planned; what follows is the put-back."""
        self.person.stops.take()
        self.done.given_up = self.done.given_up or why
        # Kept once the put-back runs: nothing may hold that up.
        self.owed.append(Marked(at_s=self.watch.now_s(), mark=Mark.SAID, says=f"given up: {why}"))
        how = (
            "it is put back now; Ctrl-C once more leaves at once"
            if self.plan.put_back
            else "it is to be put back"
        )
        self.tell(Line(f"Given up, since {why}: {how}.", style="thin"))

    def note(self, *lines: Line) -> None:
        """Say something beside the view."""
        self.shown.note(lines)

    def tell(self, *lines: Line) -> None:
        """Say something to the person, in place of the view."""
        self.shown.pause()
        self.person.tell(*lines)

    def command(self, says: str, command: str, style: str = "") -> None:
        """Show a command of the owner's, in full and as it is, under a line that says what it is."""
        self.tell(Line(says, style=style))
        self.person.command(command)


def who_stopped(scene: Scene) -> str:
    """Who asked to stop, a clause."""
    asked = scene.person.stops.asked
    name = asked.name if asked else ""
    return {"SIGINT": "you pressed Ctrl-C", "SIGHUP": "the terminal is gone"}.get(
        name, f"it was told to end ({name})"
    )


def what_of(error: BaseException) -> str:
    """An error as a clause."""
    return getattr(error, "what", "") or " ".join(str(error).split()) or type(error).__name__
