"""How is a drill done so that, whatever happens, what was taken out is put back or somebody knows how?

An error, a full disk, a stopwatch that has died and a terminal that is lost all lead to the put-back.
"""

from __future__ import annotations

from falsework.faces.cli.drill_after import leave, put_back, well_again
from falsework.faces.cli.drill_before import baseline, begin
from falsework.faces.cli.drill_during import watch_on
from falsework.faces.cli.drill_scene import Done, LeftError, Scene, what_of


def conduct(scene: Scene) -> Done:
    """Do a drill; what became of it.

    Raises:
        QuestionError: it was not begun, and why.
        Exception: whatever went wrong meanwhile, once it is put back.
    """
    try:
        try:
            _go(scene)
        except LeftError:
            raise
        except Exception as error:
            if scene.done.begun:
                _rescue(scene, error)
            raise
    except LeftError:
        leave(scene)
    finally:
        scene.shown.pause()
        scene.settle()
        if scene.acting is not None:
            scene.acting.leave()
    return scene.done


def _go(scene: Scene) -> None:
    baseline(scene)
    if not begin(scene):
        return
    watch_on(scene)
    put_back(scene)
    well_again(scene)


def _rescue(scene: Scene, error: Exception) -> None:
    """Put it back although something of ours is broken."""
    if scene.putting_back:
        leave(scene)
        return
    scene.give_up(f"something went wrong ({what_of(error)})")
    put_back(scene)
