"""How long does one wait until somebody may work, with hours that repeat every week?

Something breaks at a moment that knows nothing of the week (uniform over it).
Any delay before, such as noticing or fetching a spare, that is independent of that moment leaves it uniform.

Windows are (n, 2) seconds since Monday 00:00, from and to, in order and apart, as `model.hours.weekly` gives them;
one that runs past Sunday midnight is two: to the end of the week, and from its start.
A week is 7 x 24 h: the two nights a year when clocks change are left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import QuestionError
from falsework.units import WEEK_S


def open_share(windows_s: ArrayLike) -> float:
    """The share of the week in which one may work, above 0 up to 1.

    Raises:
        QuestionError: no window, or windows that are out of order, overlap or leave the week.
    """
    windows = _checked(windows_s)
    return float((windows[:, 1] - windows[:, 0]).sum() / WEEK_S)


def gaps_s(windows_s: ArrayLike) -> FloatArray:
    """The lengths of the times between windows, the one over the end of the week last; 0 where they touch.

    Raises:
        QuestionError: as `open_share`.
    """
    windows = _checked(windows_s)
    starts, ends = windows[:, 0], windows[:, 1]
    return np.asarray(np.append(starts[1:], starts[0] + WEEK_S) - ends)


def mean_wait_s(windows_s: ArrayLike) -> float:
    """The mean wait from a moment that knows nothing of the week: sum of gap^2 / (2 x week).

    A moment falls into a gap with the chance gap / week, and then waits gap / 2 on average; exact.

    Raises:
        QuestionError: as `open_share`.

    Source:
        Own derivation, the line above; it is the inspection paradox of renewal theory.
    """
    gaps = gaps_s(windows_s)
    return float((gaps**2).sum() / (2 * WEEK_S))


def wait_within(windows_s: ArrayLike, wait_s: ArrayLike) -> FloatArray:
    """The chance to wait at most so long: share open + sum of min(gap, wait) / week.

    Args:
        windows_s: as above.
        wait_s: 0 or more; any shape.

    Raises:
        QuestionError: as `open_share`, or a negative wait.
    """
    gaps = gaps_s(windows_s)
    wait = checked.not_negative("wait", wait_s)
    return np.asarray(1.0 - np.maximum(gaps - wait[..., np.newaxis], 0.0).sum(axis=-1) / WEEK_S)


def wait_percentile_s(windows_s: ArrayLike, chance: ArrayLike) -> FloatArray:
    """The shortest wait that is not exceeded with this chance; 0 up to the share of the week that is open.

    Args:
        windows_s: as above.
        chance: 0 to 1, any shape; 1 asks for the longest gap.

    Raises:
        QuestionError: as `open_share`, or a chance outside 0 to 1.
    """
    gaps = np.sort(gaps_s(windows_s))
    wanted = checked.chance("chance", chance)
    # The chance to be exceeded falls in straight pieces that bend at the lengths of the gaps:
    # with the i shortest gaps over, n - i of them are still running.
    bends = np.concatenate(([0.0], gaps))
    exceeded = np.maximum(gaps - bends[:, np.newaxis], 0.0).sum(axis=1) / WEEK_S
    within = 1.0 - exceeded
    # `interp` wants rising places; pieces without length (equal gaps, touching windows) are left out.
    keep = np.concatenate(([True], np.diff(within) > 0))
    found = np.interp(wanted, within[keep], bends[keep])
    return np.asarray(np.where(wanted <= within[0], 0.0, found))


def wait_from_s(windows_s: ArrayLike, moment_s: ArrayLike) -> FloatArray:
    """The wait from given moments: 0 inside a window, else until the next one opens.

    Args:
        windows_s: as above.
        moment_s: seconds since some Monday 00:00, any shape, may lie weeks later.

    Raises:
        QuestionError: as `open_share`, or a moment that is negative or infinite.
    """
    windows = _checked(windows_s)
    within = np.mod(checked.not_negative("moment", moment_s), WEEK_S)
    starts, ends = np.append(windows[:, 0], windows[0, 0] + WEEK_S), windows[:, 1]
    # The first window that ends later: open already, or the next to open.
    following = np.searchsorted(ends, within, side="right")
    return np.asarray(np.maximum(starts[following] - within, 0.0))


def done_from_s(windows_s: ArrayLike, moment_s: ArrayLike, work_s: ArrayLike) -> FloatArray:
    """How long after given moments so much work is done, laid down at the end of each window and taken up in the next.

    Args:
        windows_s: as above.
        moment_s: as `wait_from_s`.
        work_s: seconds of work, 0 or more; broadcasts with the moments. For none it is the wait.

    Raises:
        QuestionError: as `wait_from_s`, or work that is negative or infinite.
    """
    windows = _checked(windows_s)
    moment, work = checked.not_negative("moment", moment_s), checked.not_negative("work", work_s)
    checked.same_shape(moment=moment, work=work)
    starts, lengths = windows[:, 0], windows[:, 1] - windows[:, 0]
    worked = np.concatenate(([0.0], np.cumsum(lengths)))  # open seconds before each window, and of the week
    within = np.mod(moment, WEEK_S)
    following = np.searchsorted(windows[:, 1], within, side="right")
    opens = np.append(starts, starts[0] + WEEK_S)[following]
    target = worked[following] + np.maximum(within - opens, 0.0) + work
    # Work that just fills a window ends with it, not when the next one opens: hence "up to and with" everywhere.
    weeks = np.maximum(np.ceil(target / worked[-1]) - 1.0, 0.0)
    rest = target - weeks * worked[-1]
    last = np.minimum(np.searchsorted(worked[1:], rest, side="left"), len(windows) - 1)
    done = weeks * WEEK_S + starts[last] + rest - worked[last]
    return np.asarray(np.maximum(done - within, np.maximum(opens - within, 0.0)))


def mean_done_s(windows_s: ArrayLike, work_s: float) -> float:
    """The mean time until so much work is done, from a moment that knows nothing of the week.

    w + sum of g^2 / (2 x week) + sum of g / week x (time that w takes from the opening after g);
    exact. The first term is what moments inside windows come to: with F(u) the moment at which u of work is done,
    they add up to the integral of F(u + w) - F(u) over a week's work, and F repeats itself a week later, so it is w x week.

    Args:
        windows_s: as above.
        work_s: w, seconds of work, 0 or more.

    Raises:
        QuestionError: as `done_from_s`.

    Source:
        Own derivation; for no work it is `mean_wait_s`.
    """
    windows = _checked(windows_s)
    gaps = gaps_s(windows)
    openings = np.append(windows[1:, 0], windows[0, 0])
    after = done_from_s(windows, openings, work_s)
    return float(work_s + ((gaps**2 / 2 + gaps * after) / WEEK_S).sum())


def _checked(windows_s: ArrayLike) -> FloatArray:
    windows = checked.not_negative("window", windows_s)
    if windows.size == 0:
        raise QuestionError("there is no hour in the week in which one may work", "Give at least one window.")
    if windows.ndim != 2 or windows.shape[1] != 2:
        raise QuestionError(f"windows have the shape {windows.shape}", "Give pairs of from and to.")
    flat = windows.ravel()
    if (windows[:, 0] >= windows[:, 1]).any() or (np.diff(flat) < 0).any() or flat[-1] > WEEK_S:
        raise QuestionError(
            "windows are empty, out of order, overlap or leave the week", "Give them merged and in order."
        )
    return windows
