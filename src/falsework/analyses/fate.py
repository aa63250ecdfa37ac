"""What does a loss do to any one thing, service or not?"""

from __future__ import annotations

from falsework.analyses.verdicts import Effect, Loss, Verdict


def fate(loss: Loss, thing: str) -> Effect:
    """The effect of a loss on a thing of the support graph.

    For a service it is the loss's own; for any other thing only standing, blinking and falling are told apart.
    """
    if any(effect.service == thing for effect in loss.effects):
        return loss.of(thing)
    at = loss.down.get(thing)
    if at is None:
        return Effect(service=thing, verdict=Verdict.STANDS)
    if loss.view.back(thing):
        return Effect(service=thing, verdict=Verdict.BLINKS, falls_s=at.falls_s, blinks_s=at.back_s)
    return Effect(service=thing, verdict=Verdict.FALLS, falls_s=at.falls_s, before=at.before)
