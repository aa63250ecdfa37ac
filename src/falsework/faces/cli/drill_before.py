"""How does a drill begin: with everything answered well, and with somebody's word?"""

from __future__ import annotations

from falsework.errors import QuestionError, few, sentence
from falsework.faces.cli.drill_during import done_at
from falsework.faces.cli.drill_scene import Scene, who_stopped
from falsework.faces.cli.drill_words import by_hand, moment
from falsework.faces.cli.lines import Line, labelled
from falsework.record.seen import Mark
from falsework.stopwatch.acting import Action

BASELINE_S = 10.0
"""So long, and a few answers, it is waited for all probes before the action."""


def baseline(scene: Scene) -> None:
    """Wait until every probe has been answered well for a moment, and tell which are not.

    Raises:
        QuestionError: some are not, and nobody wants to go on so; nothing was done.
    """
    if not scene.questions:
        return
    every = frozenset(range(len(scene.questions)))
    scene.foot = "waiting until everything is answered well; nothing has been done yet; Ctrl-C ends it"
    patience = BASELINE_S + max(each.every_s * 3 + each.patience_s for each in scene.questions)
    scene.until(lambda: scene.steady() >= every, patience_s=patience)
    scene.good, scene.based = scene.steady(), True
    if scene.stopped:
        return
    if scene.blind:
        raise QuestionError(
            f"the stopwatch has ended ({scene.blind}); nothing was done",
            "Mend that first, then do the drill again.",
        )
    poorly = scene.names(every - scene.good)
    if not poorly:
        scene.tell(Line("Everything is answered well."))
        return
    said = f"{few(poorly)} {'is' if len(poorly) == 1 else 'are'} not answered well before anything was done"
    scene.mark(Mark.SAID, said)
    if not scene.although and (scene.yes or not scene.person.there):
        raise QuestionError(
            f"{said}; nothing was done",
            "See to it first, take the probe out of the lab file, or say why it does not matter with --although.",
        )
    scene.tell(labelled("mind", f"{said}: what they see is not measured.", style="thin"))
    if scene.although:
        return
    if not scene.person.agrees("Go on all the same? Type yes to do so:", scene.look) and not scene.stopped:
        raise QuestionError(f"{said}; nothing was done", "See to it first.")


def begin(scene: Scene) -> bool:
    """Do what the drill is about, on somebody's word; False if they do not give it."""
    if scene.stopped:
        return _not_begun(scene)
    return _run_it(scene) if scene.plan.do else _have_it_done(scene)


def _run_it(scene: Scene) -> bool:
    plan = scene.plan
    _show_commands(scene)
    if not scene.yes and not scene.person.agrees("Type yes to run it:", scene.look):
        return _not_begun(scene)
    scene.mark(Mark.SAID, f"begun: {plan.do}")
    if scene.stopped:
        return _not_begun(scene)
    scene.began_s = scene.watch.now_s()
    scene.acting = Action.begin(plan.do, folder=scene.folder)
    scene.done.begun = True
    return True


def _have_it_done(scene: Scene) -> bool:
    """Ask the person to do it by hand, and to say when."""
    scene.tell(Line(), Line("Now it is for your hands:"), *by_hand(scene.plan.do_words))
    scene.tell(Line(f"Press Enter at the moment {moment(scene.plan)}; Ctrl-C gives it up."))
    scene.began_s = scene.watch.now_s()
    scene.done.begun = True  # from here on hands may be at it, whatever is typed
    scene.mark(Mark.SAID, "begun: by hand")
    scene.foot = f"press Enter at the moment {moment(scene.plan)}; Ctrl-C gives it up"
    with scene.person.keys():
        while scene.person.there and not scene.stopped and not scene.blind:
            scene.look()
            if scene.person.key() == "\n":
                done_at(scene, scene.watch.now_s(), "by hand")
                break
    scene.shown.pause()
    return True


def _not_begun(scene: Scene) -> bool:
    why = who_stopped(scene) if scene.stopped else "nobody said yes"
    scene.done.given_up = why
    scene.person.stops.take()
    scene.mark(Mark.SAID, f"not begun: {why}")
    scene.tell(Line(f"{sentence(why)} Nothing was done."))
    return False


def _show_commands(scene: Scene) -> None:
    plan = scene.plan
    scene.tell(Line())
    scene.command("This command of yours is run now, on this machine:", plan.do)
    if plan.put_back:
        scene.command(
            "This one puts it back: on your word, or by itself if the drill is given up:", plan.put_back
        )
    elif plan.put_back_words:
        scene.tell(Line("No command of yours puts it back (`put back` in the lab file); that is by hand:"))
        scene.tell(*by_hand(plan.put_back_words))
