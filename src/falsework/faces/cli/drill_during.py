"""How is a drill watched while something is out, and when is it over?"""

from __future__ import annotations

import math

from falsework.analyses.drilling.late import back_by_s, given_up_s, over_s
from falsework.analyses.verdicts import Verdict
from falsework.errors import few
from falsework.faces.cli.drill_scene import Back, Scene, who_stopped
from falsework.faces.cli.drill_words import by_hand, stays_down
from falsework.faces.cli.lines import Line, labelled
from falsework.faces.stopwatch_words import spell
from falsework.record.seen import Mark, Told

MARGIN_S, MARGIN = 5.0, 0.1
"""How much longer is watched than is foretold: seconds, and as a share."""
WORKS_S = 60.0
"""So much longer the owner's command may take to do its work, where nobody says when to stop: nothing counts before."""
DOUBT_S = 3.0
"""So long something of the work of a command is waited for that did not end well, where nobody can be asked."""
HEARD_S = 0.5
"""No more often than this it is told what a command writes."""
LONG_S = 30.0
"""After so long it is told that a command still runs."""


def watch_on(scene: Scene) -> None:
    """Watch until all that is foretold has come and gone, with a margin; or until somebody says so, or it is late."""
    plan = scene.plan
    end = over_s(plan) * (1 + MARGIN) + MARGIN_S
    if plan.tries not in ("cold start", "restore"):
        end = max(end, plan.lasts_s)
    stop, back_by = given_up_s(plan), math.inf if plan.stop_after_s is not None else back_by_s(plan)
    # A restore is as long as it is, and takes nothing out that would wait: it is stopped only where its owner says when.
    unhurried = plan.tries == "restore" and plan.stop_after_s is None
    scene.foot = "b puts it back now; Ctrl-C gives it up and puts it back"
    switched = plan.tries == "cold start" and not plan.put_back
    if switched:
        # Only who stands at the switch knows when the power is back, and everything counts from there.
        end, stop = math.inf, plan.stop_after_s or math.inf
        scene.foot = "press Enter at the moment when the power is back; Ctrl-C gives it up"
        scene.tell(Line("Press Enter at the moment when the power is back."))
    with scene.person.keys():
        while not scene.stopped and not scene.blind:
            scene.look()
            see_action(scene)
            done = not math.isinf(scene.done_s)
            if not done and _not_done(scene):
                break
            since = scene.watch.now_s() - (scene.done_s if done else scene.began_s)
            if since >= end and done and _over(scene):
                break
            if since >= back_by and done and _missing(scene):
                late(scene, back_by)
                break
            limit = stop if done or plan.stop_after_s is not None else stop + WORKS_S
            if since >= limit and (done or not unhurried):
                late(scene, limit)
                break
            key = scene.person.key()
            if switched and key in ("b", "\n"):
                scene.mark(Mark.PUT_BACK, "the power is back")
                scene.done.back, scene.putting_back = Back.HAND, True
                scene.note(Line("What comes back by itself is waited for."), *by_hand(plan.put_back_words))
                break
            if key == "b":
                scene.mark(Mark.SAID, "put back early, on somebody's word")
                break
            if key == "d" and not done and not math.isinf(scene.doubt_s):
                done_at(scene, scene.doubt_s, f"{plan.do}; somebody said that it did its work")
            if key == "s" and scene.acting is not None and scene.done.did is None:
                scene.mark(Mark.SAID, "the command is stopped, on somebody's word")
                scene.acting.stop()
    scene.shown.pause()
    if scene.stopped:
        scene.give_up(who_stopped(scene))
    elif scene.blind:
        scene.give_up(f"the stopwatch has ended ({scene.blind}) and nothing is measured any more")


def see_action(scene: Scene) -> None:
    """Tell what the owner's command says, and note when its work was done."""
    action = scene.acting
    if action is None:
        return
    if math.isinf(scene.done_s) and (first := scene.first_out_s()) is not None:
        # What it does shows before it has returned: that is the moment, at the latest.
        done_at(scene, first, scene.plan.do)
    if scene.done.did is not None:
        return
    ended = action.ended()
    heard(scene, all_=ended is not None)
    if ended is None:
        if action.lasts_s > LONG_S and "still runs" not in scene.foot:
            scene.foot = (
                "your command still runs: s stops it; b puts it back now; Ctrl-C gives up and puts it back"
            )
            scene.note(Line(f"Your command still runs after {spell(LONG_S)}."))
        return
    scene.done.did = ended
    scene.mark(Mark.SAID, f"the command {ended.says}")
    scene.note(Line(f"Your command {ended.says} after {spell(ended.lasted_s)}."))
    if not math.isinf(scene.done_s):
        return
    if ended.well:
        done_at(scene, scene.began_s + ended.lasted_s, scene.plan.do)
        return
    scene.doubt_s = scene.began_s + ended.lasted_s
    said = "it may not have done its work, and nothing counts before something of it is seen"
    scene.note(labelled("mind", f"{said}.", style="thin"))
    if scene.person.there and not scene.yes:
        scene.foot = (
            "d: it has done its work all the same; b puts it back now; Ctrl-C gives up and puts it back"
        )
        scene.note(Line("Press d if it has done its work all the same, b to put it back."))


def _not_done(scene: Scene) -> bool:
    """Whether a command did not end well, nothing of its work is seen, and nobody can be asked: it was not done."""
    if scene.watch.now_s() - scene.doubt_s < DOUBT_S or (scene.person.there and not scene.yes):
        return False
    assert scene.done.did is not None
    scene.give_up(f"your command {scene.done.did.says} and nothing of its work is seen")
    return True


def heard(scene: Scene, *, all_: bool = False) -> None:
    """Tell what a command has written since the last time, not so often that nobody could read it; `all_` at its end."""
    now = scene.watch.now_s()
    if scene.acting is None or not (all_ or now - scene.heard_s >= HEARD_S):
        return
    scene.heard_s = now
    if said := scene.acting.says():
        scene.note(*(labelled("|", each, style="quiet", indent=2, width=2) for each in said))


def done_at(scene: Scene, at_s: float, how: str) -> None:
    """It is done: from this moment on what is foretold counts; not later than the first that went out by it."""
    first = scene.first_out_s()
    if first is not None and first < at_s:
        how, at_s = f"{how}; told at {at_s:.1f} s, seen before", first
    scene.done_s = at_s
    scene.mark(Mark.DONE, how, at_s=at_s)
    scene.note(Line(f"Done at {spell(at_s)} of the run; what is foretold counts from there."))


def late(scene: Scene, stop_s: float) -> None:
    """The time for it is over."""
    slow = scene.names(frozenset(each for each in scene.good if not _as_foretold(scene, each, stop_s)))
    said = f"{spell(stop_s)} are over"
    if slow:
        said += f" and {few(slow)} {'is' if len(slow) == 1 else 'are'} not as foretold"
    scene.give_up(said)


def _over(scene: Scene) -> bool:
    """Whether everything is up again that does not wait for the put-back."""
    return all(
        stays_down(scene.plan, scene.effect(each))
        or scene.questions[each].whole
        or _told(scene, each) is Told.YES
        for each in scene.good
    )


def _missing(scene: Scene) -> bool:
    """Whether something is not up that is foretold to come back by itself."""
    return any(
        effect.verdict is Verdict.BLINKS and _told(scene, each) is not Told.YES
        for each in scene.good
        if (effect := scene.effect(each)) is not None and not scene.questions[each].whole
    )


def _as_foretold(scene: Scene, number: int, at_s: float) -> bool:
    """Whether it is up or down as is foretold for so many seconds from the beginning."""
    if scene.questions[number].whole:
        return True  # nothing is foretold of when a store is whole again
    effect = scene.effect(number)
    down = effect is not None and stays_down(scene.plan, effect) and effect.falls_s <= at_s
    return (_told(scene, number) is Told.YES) is not down


def _told(scene: Scene, number: int) -> Told:
    return scene.live.probes[number].told if scene.live is not None else Told.UNKNOWN
