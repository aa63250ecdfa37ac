"""Which answers can be done without, when there is room for some only?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.record.seen import Seen


def thinned(answers: Sequence[Seen], *, most: int) -> list[Seen]:
    """The answers that matter most, in their order.

    Of answers of one probe that say the same the first and the last of each row are kept: no change is lost, and each
    change keeps both its bounds. If even those are too many, the oldest go.

    Args:
        answers: in the order in which they came.
        most: how many may be left at most; above 0.

    Cost:
        O(n) for n answers.
    """
    rows: dict[int, tuple[Seen, int]] = {}
    kept = [False] * len(answers)
    for number, seen in enumerate(answers):
        before = rows.get(seen.probe)
        if before is None or before[0].told is not seen.told or before[0].says != seen.says:
            kept[number] = True
            if before is not None:
                kept[before[1]] = True
        rows[seen.probe] = (seen, number)
    for _, number in rows.values():
        kept[number] = True
    left = [seen for seen, keep in zip(answers, kept, strict=True) if keep]
    return left[-most:]
