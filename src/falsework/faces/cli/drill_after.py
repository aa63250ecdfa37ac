"""How is what a drill took out put back, whatever has happened?

There are only three ways out: it is put back; the person says no to that; or they ask twice to leave at once, and then
read how to put it back.
The command is begun once, and again only on somebody's word.
"""

from __future__ import annotations

import math
import shlex

from falsework.analyses.drilling.late import last_back, late_s, over_s
from falsework.errors import QuestionError, few, sentence
from falsework.faces.cli.drill_during import LONG_S, done_at, heard, see_action
from falsework.faces.cli.drill_scene import Back, LeftError, Scene, who_stopped
from falsework.faces.cli.drill_words import by_hand
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.stopwatch_words import spell
from falsework.record.seen import Mark
from falsework.stopwatch.acting import Action, Ended

UNATTENDED_S = 600.0
"""So long a put-back, and then the return of everything, is waited for where nobody is at the terminal."""
_POLL_S = 0.05


def put_back(scene: Scene) -> None:
    """Put it back: on somebody's word, or by itself where the drill was given up or nobody can be asked.

    Raises:
        LeftError: they ask twice to leave at once.
    """
    if scene.putting_back:
        return
    scene.putting_back = True
    scene.done.back = Back.LEFT
    _stop_action(scene)
    if not scene.plan.put_back:
        _have_it_put_back(scene)
        return
    if not (scene.yes or scene.done.given_up or not scene.person.there):
        scene.tell(Line())
        scene.command("Now it is to be put back, by this command of yours:", scene.plan.put_back)
        said: str | None = ""
        while said not in ("yes", "no", None):
            said = scene.person.line("Type yes to run it, or no to leave things as they are:", scene.glance)
        if said == "no":
            scene.mark(Mark.SAID, "not put back, on somebody's word")
            _tell_how(scene)
            return
        if scene.stopped:
            scene.give_up(who_stopped(scene))
    _run_it(scene)


def well_again(scene: Scene) -> None:
    """Wait until everything is answered well that was before."""
    if scene.done.back is not Back.LEFT and scene.good:
        scene.foot = "waiting until everything is answered well again; e ends it now"
        # In a cold start all comes back only now, each in the time that is foretold of it.
        last = last_back(scene.plan.effects)
        patience = max(UNATTENDED_S, late_s(max(over_s(scene.plan), last.back_s if last else 0.0)))
        if scene.person.there and not scene.yes:
            patience = math.inf
        scene.until(lambda: scene.steady() >= scene.good, patience_s=patience, key="e")
        scene.person.stops.take()
    if scene.blind:
        scene.tell(
            labelled(
                "mind", "nothing is measured any more: see for yourself whether all is well.", style="thin"
            )
        )
        return
    poorly = scene.names(scene.good - scene.steady())
    scene.done.poorly = poorly
    scene.done.well = not poorly
    if poorly:
        said = f"{few(poorly)} {'is' if len(poorly) == 1 else 'are'} not answered well"
        scene.mark(Mark.SAID, f"ended while {said}")
        scene.tell(labelled("mind", f"{said}, though well before the drill. See to it.", style="thin"))
    elif scene.good:
        whole = len(scene.good) == len(scene.questions)
        said = f"everything {'' if whole else 'that was answered well before '}is answered well again"
        scene.mark(Mark.SAID, said)
        scene.tell(Line(sentence(said)))


def leave(scene: Scene) -> None:
    """They want to go at once: what is being done goes on by itself, and they read how to put things back."""
    scene.done.given_up = scene.done.given_up or who_stopped(scene)
    running = scene.acting is not None and scene.acting.ended() is None
    scene.mark(Mark.SAID, "left at once")
    if running and scene.done.back is Back.FAILED:
        scene.tell(
            Line("The command to put it back still runs and goes on by itself. See whether it ends well.")
        )
    if scene.done.back is not Back.COMMAND:
        _tell_how(scene)


def _run_it(scene: Scene) -> None:
    while True:
        scene.done.back = Back.FAILED
        scene.tell(Line(f"Putting it back: {scene.plan.put_back}"))
        ended = _once(scene)
        if ended is not None and ended.well:
            scene.done.back = Back.COMMAND
            return
        _tell_how(scene)
        if not scene.person.there or scene.yes:
            return
        said = scene.person.line(
            "Type yes to run it again, or press Enter when you have put it back by hand:", scene.glance
        )
        _hasten(scene)
        if said != "yes":
            if said is not None:
                scene.done.back = Back.HAND
                scene.mark(Mark.PUT_BACK, "by hand, after the command did not do it")
            return


def _once(scene: Scene) -> Ended | None:
    """Run the owner's command to its end; None where it could not be begun, or is left to itself."""
    at_s = scene.watch.now_s()
    try:
        action = scene.acting = Action.begin(scene.plan.put_back, folder=scene.folder)
    except QuestionError as error:
        scene.tell(labelled("mind", str(error), style="falls"))
        return None
    scene.mark(Mark.PUT_BACK, scene.plan.put_back, at_s=at_s)
    told_long = False
    scene.foot = "it is being put back; Ctrl-C leaves at once, and the command to itself"
    while (ended := action.ended()) is None:
        heard(scene)
        scene.glance()
        _hasten(scene)
        scene.person.stops.wait(_POLL_S)
        if action.lasts_s > LONG_S and not told_long:
            told_long = True
            scene.note(
                Line(
                    f"The command to put it back still runs after {spell(LONG_S)}; Ctrl-C leaves it to itself."
                )
            )
        if action.lasts_s > UNATTENDED_S and not scene.person.there:
            said = f"the command to put it back has not ended in {spell(UNATTENDED_S)} and is left to itself"
            scene.mark(Mark.SAID, said)
            scene.tell(labelled("mind", said, style="falls"))
            return None
    heard(scene, all_=True)
    scene.mark(Mark.SAID, f"the command to put it back {ended.says}")
    if ended.well:
        scene.tell(Line(f"It {ended.says} after {spell(ended.lasted_s)}."))
    else:
        scene.tell(
            labelled(
                "mind",
                f"the command to put it back {ended.says}; it may not have done its work.",
                style="falls",
            )
        )
    return ended


def _have_it_put_back(scene: Scene) -> None:
    """Ask the person to put it back by hand, and to say when."""
    if not scene.plan.put_back_words:
        scene.done.back = Back.NOTHING
        return
    scene.tell(Line(), Line("Now put it back:"), *by_hand(scene.plan.put_back_words))
    scene.mark(Mark.SAID, "asked to put it back by hand")
    while True:
        said = scene.person.line("Press Enter at the moment when it is back:", scene.glance)
        if said is None and scene.stopped:
            if scene.person.stops.again:
                raise LeftError
            scene.give_up(who_stopped(scene))
            continue
        if said is not None:
            scene.mark(Mark.PUT_BACK, "by hand")
            scene.done.back = Back.HAND
        return


def _stop_action(scene: Scene) -> None:
    """Nothing of the action goes on while it is put back."""
    see_action(scene)
    action = scene.acting
    if action is None or scene.done.did is not None:
        return
    scene.tell(Line("Your command still runs; it is stopped before it is put back."))
    action.stop()
    while (ended := action.ended()) is None:
        _hasten(scene)
        scene.person.stops.wait(_POLL_S)
    scene.done.did = ended
    if math.isinf(scene.done_s):
        done_at(scene, scene.began_s, f"{scene.plan.do}; stopped before it ended")
    scene.mark(Mark.SAID, f"the command was stopped: it {ended.says}")


def _hasten(scene: Scene) -> None:
    """Leave, if somebody asks for the second time; the first time they are told that it is being put back."""
    if not scene.stopped:
        return
    if scene.person.stops.again:
        raise LeftError
    scene.give_up(who_stopped(scene))


def _tell_how(scene: Scene) -> None:
    """What is still to be done, in full."""
    plan = scene.plan
    if plan.put_back:
        scene.command("This puts it back:", f"cd {shlex.quote(str(scene.folder))} && {plan.put_back}", "thin")
    if plan.put_back_words:
        scene.tell(Line("By hand:", style="thin"), *by_hand(plan.put_back_words))
