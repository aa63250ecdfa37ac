"""What does a page need to show what leans on what of a drawing?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.support.shown import shown_leans
from falsework.support.standing import Standing


def hover_answer(standing: Standing, groups: Sequence[Sequence[str]]) -> dict[str, object]:
    """The leans between the groups of a drawing, for a script: direct ones, which it walks as far as it shows.

    Args:
        standing: the lab.
        groups: what each group stands for, as `Spots.groups` has them.

    Returns:
        `ids`: the `data-id` of each group; `on`: for each, the positions of those that it leans on; `by`: of those
        that lean on it.
    """
    found = shown_leans(standing.support, groups)
    return {
        "ids": [" ".join(names) for names in groups],
        "on": [list(each) for each in found.on],
        "by": [list(each) for each in found.by],
    }
