"""What stands on a sheet for things of the lab, and what does a touch of it do?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from falsework.faces.report.states import States
from falsework.faces.report.svg import Svg, tag
from falsework.model.parts import ThingId
from falsework.model.services import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What a touch of one group of a drawing is about.

    Attributes:
        names: ids of the things; several where they are folded or drawn as one and nothing holds just them.
        word: what they are.
        part: whether they can be taken out.
        out: whether all of them are out.
        some: whether any of them is out, or of what they hold.
    """

    names: tuple[str, ...]
    word: str
    part: bool = False
    out: bool = False
    some: bool = False

    @property
    def pressed(self) -> str:
        """Whether they are out, as `aria-pressed` says it: `true`, `false`, or `mixed` for some of several."""
        return "true" if self.out else "mixed" if self.some else "false"


Address = Callable[[Drawn], str | None]
"""Where a touch of a group leads; None where it leads nowhere."""


def drawn(states: States, names: Sequence[str], word: str, *, whole: str = "") -> Drawn:
    """What a group stands for.

    Args:
        states: how everything is.
        names: ids of what is drawn.
        word: what they are.
        whole: a part that holds all of them and nothing else; it stands for them, where it can be lost.
    """
    things, lab = states.standing.support.things, states.standing.lab.things
    if whole in things and things[whole].part:
        touch: Sequence[str] = (whole,)
        word = things[whole].word
    else:
        touch = names
    gone = states.gone
    pulled = [part for name in touch for part in _pulled(states, name)]
    return Drawn(
        names=tuple(touch),
        word=word,
        part=all(
            (name in things and things[name].part) or isinstance(lab.get(ThingId(name)), Store)
            for name in touch
        ),
        out=gone.issuperset(pulled),
        some=not gone.isdisjoint(pulled)
        or (touch is not names and any(not gone.isdisjoint(_pulled(states, name)) for name in names))
        or (len(names) > 1 and _reaches_in(states, names)),
    )


def _reaches_in(states: States, names: Sequence[str]) -> bool:
    """Whether a fold has something that is out in it: an enclosure of some of its machines, or a part of one."""
    folded = set(names)
    housing = {each for name in names for each in _houses(states, name)}
    out = states.gone
    enclosures = {each for each in out & housing if states.standing.support.things[each].word == "enclosure"}
    return bool(enclosures) or any(folded.intersection(_houses(states, part)) for part in out)


def _houses(states: States, name: str) -> tuple[str, ...]:
    """What a thing is in, as the lab file says."""
    within = getattr(states.standing.lab.things.get(ThingId(name)), "in_", None)
    return within.ids if within else ()


def _pulled(states: States, name: str) -> tuple[str, ...]:
    """What is taken out where a thing is: itself, or the drives of a store."""
    thing = states.standing.lab.things.get(ThingId(name))
    return thing.drives.ids if isinstance(thing, Store) and thing.drives else (name,)


def touched(each: Drawn, shapes: Sequence[Svg], says: str, href: str) -> Svg:
    """Shapes that lead somewhere: a link without a script, a button with one.

    Every one has the place -1 in the order of the keyboard; `reached` gives one of them the place 0.

    Args:
        each: what they stand for.
        shapes: the drawing.
        says: its words, with its state.
        href: where it leads.
    """
    button = each.part or each.word in ("service", "alarm")
    return tag(
        "a",
        *shapes,
        class_="touch",
        href=href,
        role="button" if button else None,
        tabindex="-1",
        aria_pressed=each.pressed if each.part else None,
        aria_label=says,
    )


def reached(svg: str) -> str:
    """The drawing with its first touchable group in the order of the keyboard; a script moves that place on."""
    return svg.replace(' tabindex="-1"', ' tabindex="0"', 1)
