"""Which edges does every course of an elevation keep to?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from falsework.faces.report.columns import Columns
from falsework.faces.report.drawn import Address, drawn, touched
from falsework.faces.report.spots import Spot, Spots
from falsework.faces.report.states import States
from falsework.faces.report.svg import Svg, label, line, tag, thing

THIN = 8.0
"""What is thinner is touched in a box of this width, px."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The edges of a sheet, from left to right.

    Attributes:
        prefix: of ids.
        states: how everything is.
        columns: the uprights.
        course: middle of the turned titles of courses.
        arches: left edge of the gutter of arches.
        names: right edge of the names of rows.
        left: left edge of the middle, where bars may begin.
        right: right edge of the middle.
        serves: left edge of what serves when.
        words: left edge of what happens.
        width: of the sheet.
        address: where a touch of a group leads; None for a drawing that is only looked at.
        open: groups that are not folded.
        opening: where a touch leads that opens a group, or folds it; None where nothing can be opened.
        spots: where everything is drawn, gathered on the way.
    """

    prefix: str
    states: States
    columns: Columns
    course: float
    arches: float
    names: float
    left: float
    right: float
    serves: float
    words: float
    width: float
    address: Address | None = None
    open: frozenset[str] = frozenset()
    opening: Callable[[str], str | None] | None = None
    spots: Spots = field(default_factory=Spots)

    def thing(
        self,
        names: Sequence[str],
        *shapes: Svg,
        says: str,
        word: str,
        state: str,
        before: Sequence[Svg] = (),
        named: bool = True,
        at: tuple[float, float, float, float] | None = None,
        touch: bool = True,
        reach: tuple[float, float, float, float] | None = None,
        whole: str = "",
        group: str = "",
    ) -> Svg:
        """A group for one thing of the lab or several, so that a page can find it.

        Args:
            names: ids of what it stands for.
            shapes: its own drawing.
            says: its title.
            word: what it is.
            state: how it is.
            before: groups of other things within it, that lie over its drawing.
            at: x, y, width and height of its drawing, to be found again.
            touch: whether it can be touched at all.
            reach: where it can be touched, x, y, width and height; `at`, a little larger where that is thin, if
                not given.
            whole: a part that holds all of them and nothing else; it is what a touch takes out.
            group: what opens it, where it is a fold.
            named: whether it gets an id of its own, as it must not where a thing is drawn more than once.
        """
        self.spots.groups.setdefault(tuple(names))
        if at is not None:
            spot = Spot(x=at[0], y=at[1], width=at[2], height=at[3])
            for name in names:
                self.spots.found.setdefault(name, spot)
        if touch and self.address is not None:
            each = drawn(self.states, names, word, whole=whole)
            href = self.address(each)
            if href is not None:
                shapes = (touched(each, (self._reach(reach, at), *shapes), says, href),)
        return thing(
            " ".join(names),
            *shapes,
            *before,
            says=says,
            word=word,
            state=state,
            prefix=self.prefix if named and len(names) == 1 else "",
            group=group,
        )

    def _reach(
        self, wanted: tuple[float, float, float, float] | None, at: tuple[float, float, float, float] | None
    ) -> Svg:
        """What is seen by a pointer only: fingers and pointers miss a line of two pixels."""
        if wanted is None:
            if at is None or min(at[2:]) >= THIN:
                return Svg("")
            x, y, wide, high = at
            more, deeper = max(THIN - wide, 0.0), max(THIN - high, 0.0)
            wanted = (x - more / 2, y - deeper / 2, wide + more, high + deeper)
        x, y, wide, high = wanted
        return tag("rect", x=x, y=y, width=wide, height=high, fill="none", pointer_events="all")

    def course_title(self, text: str, top: float, bottom: float) -> Svg:
        """The title of a course at the far left: upright where it is high enough, else level."""
        middle = (top + bottom) / 2
        if bottom - top < 6.6 * len(text):
            return label(self.course - 5, middle + 4, text, size=11, fill="faint", italic=True)
        return Svg(
            label(
                self.course + 3,
                middle,
                text,
                size=11,
                fill="faint",
                anchor="middle",
                italic=True,
                turned=True,
            )
            + line(self.course + 8, top, self.course + 8, bottom, stroke="hair", stroke_width=0.8)
        )

    def row_words(
        self,
        base: float,
        name: str,
        serves: str,
        happens: str,
        *,
        size: float,
        shade: str = "ink",
        happens_shade: str = "faint",
    ) -> Svg:
        """A row's name at its left; at its right, what serves when, and what happens.

        Args:
            base: the base line.
            name: of the row.
            serves: the first words at the right; where no others follow, they may take their room.
            happens: the others.
            size: of the name; the words are a little smaller.
            shade: of the name; brick is bold.
            happens_shade: of what happens.
        """
        end = self.words if happens else self.width - 6
        bold = shade == "brick"
        room = self.names - self.arches - 6
        return Svg(
            label(
                self.names, base, name, size=size, fill=shade, anchor="end", bold=bold, room=room, told=False
            )
            + label(
                self.serves,
                base,
                serves,
                size=size - 1,
                fill="faint",
                room=end - self.serves - 8,
                told=False,
            )
            + label(
                self.words,
                base,
                happens,
                size=size - 1,
                fill=happens_shade,
                italic=True,
                room=self.width - self.words - 14,
                told=False,
            )
        )
