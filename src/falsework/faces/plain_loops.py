"""What does an answer on loops look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.loops import Cut, Cuts, Loop, Loops
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.support.standing import Standing

Plain = dict[str, Any]


def loops_answer(standing: Standing, found: Loops, status: int) -> Plain:
    """Every loop, and the cheapest way out of those that stop a build or a start."""
    return {
        **head("loops", standing, status),
        "loops": [_loop(each) for each in found.loops],
        "cheapest": [_cuts(each) for each in found.cheapest],
    }


def _loop(loop: Loop) -> Plain:
    return {
        "kind": loop.kind,
        "ring": list(loop.ring),
        "says": loop.says,
        "means": loop.means,
        "links": [
            {
                "thing": link.thing,
                "on": link.on,
                "says": link.says,
                "kind": link.kind,
                "where": place(link.where),
            }
            for link in loop.links
        ],
        "cuts": [_cut(each) for each in loop.cuts],
    }


def _cut(cut: Cut) -> Plain:
    return {
        "says": cut.says,
        "needs": [{"thing": thing, "on": on} for thing, on in cut.things],
        "costs_s": cut.costs_s,
        "assumed": cut.assumed,
        "stand_in": cut.stand_in,
    }


def _cuts(cuts: Cuts) -> Plain:
    return {
        "kind": cuts.kind,
        "cuts": [_cut(each) for each in cuts.cuts],
        "costs_s": cuts.costs_s,
        "bound_s": cuts.bound_s,
        "proven": cuts.proven,
        "left": list(cuts.left),
    }
